use super::super::testing::ROOM;
use super::*;
use proptest::prelude::*;

fn of(frame: &Frame, sizes: &CutSizes) -> Vec<(CutOf, u32, f64, f64)> {
    let feet = |length: f64| (length / FOOT * 1e6).round() / 1e6;
    let cuts = cut_list(frame, sizes).into_iter();
    cuts.map(|cut| (cut.what, cut.count, feet(cut.width), feet(cut.length))).collect()
}

/// By hand, in feet. Floor, ceiling, and each of three walls take 2 sheets: 10 a room, 20
/// for both, and 2 to spare. The lining takes 8 a room, 16, and 1.6 to spare.
#[test]
fn rooms_of_eight_feet() {
    let cuts = of(&ROOM, &CutSizes::USUAL);
    // 7 ft less an inch.
    let drop = 6.916_667;
    assert_eq!(
        cuts,
        [
            (CutOf::Carpet, 2, 8.0, 8.0),
            (CutOf::Curtain, 2, 4.0, drop),
            (CutOf::ClearPanel, 2, 4.0, 8.0),
            (CutOf::CatchBoard, 1, 4.0, 8.0),
            (CutOf::Plywood, 22, 4.0, 8.0),
            (CutOf::Gypsum, 18, 4.0, 8.0),
        ]
    );
}

/// By hand, in feet: 12 × 12 takes 3 × 2 sheets, and a wall of 12 × 8 takes 3. So 6 + 6 +
/// 9 a room, 15 of them lined. A front of 12 takes two panels of 6.
#[test]
fn rooms_of_twelve_feet() {
    let frame = Frame { width: 12.0 * FOOT, depth: 12.0 * FOOT, height: 8.0 * FOOT };
    let sizes = CutSizes { spare_share: 0.0, panel_drop: 2.0 * FOOT, ..CutSizes::USUAL };
    let cuts = of(&frame, &sizes);
    assert_eq!(cuts[0], (CutOf::Carpet, 2, 12.0, 12.0));
    assert_eq!(cuts[2], (CutOf::ClearPanel, 4, 2.0, 6.0));
    assert_eq!(cuts[4..], [(CutOf::Plywood, 42, 4.0, 8.0), (CutOf::Gypsum, 30, 4.0, 8.0)]);
}

/// By hand, in feet: a wall of 8 × 4 is one sheet on its side. So 2 + 2 + 3 a room.
#[test]
fn sheets_on_their_side() {
    let frame = Frame { height: 4.0 * FOOT, ..ROOM };
    let cuts = of(&frame, &CutSizes { spare_share: 0.0, ..CutSizes::USUAL });
    assert_eq!(cuts[4..], [(CutOf::Plywood, 14, 4.0, 8.0), (CutOf::Gypsum, 10, 4.0, 8.0)]);
}

/// A tenth of 100 is 10, though 100 × 1.1 is a little more than 110 in binary.
#[test]
fn rounding_adds_no_sheet() {
    assert_eq!(with_spare(100, 0.1), 110);
    assert_eq!(with_spare(101, 0.1), 112);
    assert_eq!(with_spare(100, -1.0), 100);
}

#[test]
fn nothing_for_no_panels() {
    let cuts = cut_list(&ROOM, &CutSizes { panel_drop: 0.0, ..CutSizes::USUAL });
    assert!(cuts.iter().all(|cut| cut.what != CutOf::ClearPanel));
    let none = Frame { width: 0.0, depth: -1.0, height: 0.0 };
    assert_eq!(cut_list(&none, &CutSizes::USUAL).len(), 1);
}

proptest! {
    /// Sheets cover the room, and panels the part of the front that they should.
    #[test]
    fn it_is_enough(width in 0.1..20.0, depth in 0.1..20.0, height in 0.1..5.0, spare_share in 0.0..0.5) {
        let frame = Frame { width, depth, height };
        let cuts = cut_list(&frame, &CutSizes { spare_share, ..CutSizes::USUAL });
        let area = |what| -> f64 {
            let cuts = cuts.iter().filter(|cut| cut.what == what);
            cuts.map(|cut| f64::from(cut.count) * cut.width * cut.length).sum()
        };
        let lined = 2.0 * (width * depth + 2.0 * depth * height + width * height);
        prop_assert!(area(CutOf::Gypsum) >= lined * (1.0 + spare_share) - 1e-6);
        prop_assert!(area(CutOf::Plywood) >= (lined + 2.0 * width * depth) * (1.0 + spare_share) - 1e-6);
        let panels = 2.0 * width * (4.0 * FOOT).min(height);
        prop_assert!((area(CutOf::ClearPanel) - panels).abs() < 1e-6);
    }
}
