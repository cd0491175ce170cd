use super::*;
use crate::calc::fire::testing::near;
use proptest::prelude::*;

/// The exercise that Plus publishes: 30 m away, 10 m up, rows of 1 m, wanted 150 mm. Its
/// formula solved for N, as the worksheet prints it, gives 0.15·31/30 + 10·31/30 − 10.
#[test]
fn published_exercise() {
    near(step_for(0.15, 30.0, 10.0, 1.0), 0.488_333, 1e-5);
    near(c_value(30.0, 10.0, 1.0, 0.488_333), 0.15, 1e-5);
    // Its first question, when the view is just not blocked: a third of a meter.
    near(step_for(0.0, 30.0, 10.0, 1.0), 1.0 / 3.0, 1e-9);
}

/// The same formula by hand with N = 0: −R·T/(D + T).
#[test]
fn level_ground() {
    near(c_value(12.0, 0.65, 1.0, 0.0), -0.65 / 13.0, 1e-9);
    near(c_value(12.0, -1.45, 1.0, 0.0), 1.45 / 13.0, 1e-9);
    // A point at eye level is exactly behind the eyes in front.
    assert!(c_value(12.0, 0.0, 1.0, 0.0).abs() < 1e-12);
    // To lift C by 120 + 50 mm takes 0.17 · 13 m.
    near(raise_for(0.12, 12.0, 1.55, 1.0, 0.0, 0.9), 2.21, 1e-9);
    assert!(raise_for(0.12, 12.0, 1.55, 1.0, 0.0, 4.0).abs() < 1e-12);
}

/// The worksheet's table.
#[test]
fn grades() {
    for (c, grade) in [
        (-0.05, Grade::Hidden),
        (0.059, Grade::Hidden),
        (0.06, Grade::BetweenHeads),
        (0.09, Grade::Tilted),
        (0.112, Grade::Tilted),
        (0.12, Grade::Clear),
        (0.15, Grade::OverHats),
        (f64::NAN, Grade::Hidden),
    ] {
        assert_eq!(Grade::of(c), grade, "{c}");
    }
    assert!(Grade::Hidden < Grade::BetweenHeads && Grade::Clear < Grade::OverHats);
}

/// A row that is hidden on level ground isn't once the point is above the eyes, and far
/// enough back it is again, as −R·T/(D + T) says.
#[test]
fn rows_on_level_ground() {
    let rows = Rows { first: 12.0, depth: 1.0, count: 20, step: 0.0, posture: Posture::Standing };
    assert_eq!(rows.each().count(), 20);
    assert_eq!(rows.each().last(), Some(Row { number: 20, distance: 31.0, eye: 1.55 }));
    assert_eq!(rows.first_hidden(0.9).map(|row| row.number), Some(2));
    // 1.45/(D + 1) is 0.06 at D = 23.17: 12 m and 11 rows sees, 12 m and 12 rows doesn't.
    let hidden = rows.first_hidden(3.0).unwrap();
    assert_eq!((hidden.number, hidden.distance), (14, 25.0));
    assert_eq!(rows.first_hidden(5.0), None);
    // People on chairs look over heads that are 0.40 m lower.
    let seated = Rows { posture: Posture::Seated, ..rows };
    near(seated.raise_for(0.06, 0.0), rows.raise_for(0.06, 0.0) - 0.40, 1e-9);
}

#[test]
fn few_rows_hide_nothing() {
    for count in [0, 1] {
        let rows = Rows { first: 5.0, depth: 1.0, count, step: 0.0, posture: Posture::Standing };
        assert_eq!(rows.each().count(), usize::from(count));
        assert_eq!(rows.first_hidden(0.0), None);
        assert!(rows.raise_for(0.12, 0.0).abs() < 1e-12);
    }
}

#[test]
fn nothing_is_divided_by_zero() {
    for distance in [-5.0, 0.0, 1e12] {
        for row in [-1.0, 0.0, 1e12] {
            for value in [
                c_value(distance, 1.0, row, 0.1),
                step_for(0.12, distance, 1.0, row),
                raise_for(0.12, distance, 1.55, row, 0.1, 0.9),
            ] {
                assert!(value.is_finite(), "{distance} {row}");
            }
        }
    }
}

fn lengths() -> impl Strategy<Value = (f64, f64, f64, f64)> {
    (1.0..100.0, -10.0..10.0, 0.5..2.0, -0.2..0.6)
}

proptest! {
    /// The definition, drawn: the line from the eyes behind to the point, where it passes
    /// the person in front.
    #[test]
    fn c_is_what_passes_above_the_eyes_in_front((distance, eye, row, step) in lengths()) {
        let slope = (eye + step) / (distance + row);
        let passes = eye + step - slope * row;
        prop_assert!((c_value(distance, eye, row, step) - (passes - eye)).abs() < 1e-9);
    }

    #[test]
    fn raising_the_point_never_lowers_c((distance, eye, row, step) in lengths(), raise in 0.0..5.0) {
        let raised = c_value(distance, eye - raise, row, step);
        prop_assert!(raised >= c_value(distance, eye, row, step) - 1e-9);
    }

    #[test]
    fn a_step_gives_the_c_it_is_for((distance, eye, row, _) in lengths(), c in -0.1..0.3) {
        let step = step_for(c, distance, eye, row);
        prop_assert!((c_value(distance, eye, row, step) - c).abs() < 1e-9);
    }

    /// No less than needed, and no more.
    #[test]
    fn a_raise_gives_the_c_it_is_for((distance, eye, row, step) in lengths(), c in 0.06..0.2, point in 0.0..3.0) {
        let raise = raise_for(c, distance, eye, row, step, point);
        let reached = c_value(distance, eye - point - raise, row, step);
        prop_assert!(reached >= c - 1e-9);
        prop_assert!(raise.abs() < 1e-12 || (reached - c).abs() < 1e-9);
    }

    /// What a whole block of rows needs is what its worst row needs.
    #[test]
    fn raised_enough_no_row_is_hidden(
        first in 3.0..40.0, count in 2..40_u16, step in 0.0..0.3, point in 0.0..2.0, seated in any::<bool>()
    ) {
        let posture = if seated { Posture::Seated } else { Posture::Standing };
        let rows = Rows { first, depth: 1.0, count, step, posture };
        let raise = rows.raise_for(0.12, point);
        for (row, c) in rows.c_values(point + raise) {
            prop_assert!(Grade::of(c) >= Grade::Clear, "{row:?} {c}");
        }
        if raise > 0.01 {
            prop_assert!(rows.c_values(point + raise - 0.01).any(|(_, c)| Grade::of(c) < Grade::Clear));
        }
    }
}
