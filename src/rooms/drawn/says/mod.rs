//! What the checks of the drawn rooms found, in words.

mod alike;
mod quantities;

use super::said::Said;
use crate::calc::layout::{Fastening, Finding, Grade, What};
use crate::calc::site::INCH;
use crate::rooms::Room;
use crate::web::words::capital;
use quantities::{held, inches, percent, side, tall, use_name};

pub(super) use alike::alike;

const PRACTICE: &str = "common practice, no source";

const PANELS: &str = "common practice, no source; a clear panel gives no protection, it softens and falls";

// From memory.
const NFPA: &str = "NFPA 13 and 13D; check your edition and the product's listing";

/// Mark, title, number, what it rests on, and what would fix it.
type Words = (&'static str, String, String, &'static str, String);

pub(super) fn one(room: Room, finding: &Finding, name: &impl Fn(u64) -> String) -> Said {
    let names: Vec<String> = finding.items.iter().map(|id| name(*id)).collect();
    let first = names.first().map_or("item", String::as_str);
    let second = names.get(1).map_or("another item", String::as_str);
    let good = finding.grade == Grade::Good;
    let (mark, title, number, rests_on, fix) = worded(finding.what, good, first, second);
    let fix = if good { String::new() } else { fix };
    let title = format!("{}: {title}", capital(room.as_str()));
    let items = finding.items.clone();
    Said { grade: finding.grade, mark, room: Some(room), title, number, rests_on, fix, items }
}

#[expect(clippy::too_many_lines, reason = "one short arm for each kind of finding")]
fn worded(what: What, good: bool, first: &str, second: &str) -> Words {
    let text = str::to_owned;
    match what {
        What::Missing(what) => (
            "missing",
            format!("no {} is placed", use_name(what)),
            String::new(),
            PRACTICE,
            text("Add it to the list if it isn't there, then place it."),
        ),
        What::SprinklerInA => (
            "sprinkler in A",
            text("a sprinkler head is drawn"),
            String::new(),
            "room A burns without one",
            text("Take it off this room's list, or move it to room B."),
        ),
        What::Outside { side: at, by } => (
            "outside",
            format!("the {first} sticks {}", side(at)),
            inches(by),
            "measured on the drawing",
            text("Move it in, or correct its size on the list."),
        ),
        What::Overlap { by } => (
            "overlap",
            format!("the {first} and the {second} overlap"),
            inches(by),
            "measured on the drawing",
            text("Move one of them by this much."),
        ),
        What::BasketSize { height, .. } => (
            "basket size",
            text(if good { "the wastebasket has the usual size" } else { "the wastebasket has another size" }),
            inches(height),
            "12 to 14 in high: common practice, no source",
            text("Take one of 12 to 14 in, in both rooms."),
        ),
        What::BasketToCurtain { gap } => (
            "basket and curtain",
            text(if good { "the wastebasket touches the curtain" } else { "the wastebasket is away from the curtain" }),
            inches(gap),
            PRACTICE,
            text("Push it against the curtain, so that the curtain catches."),
        ),
        What::BasketToWall { gap } => (
            "basket and wall",
            text(if good {
                "the wastebasket is at the back wall"
            } else {
                "the wastebasket is away from the back wall"
            }),
            inches(gap),
            PRACTICE,
            text("Push it back, so that the fuse reaches it."),
        ),
        What::FuseHoleSize { width, .. } => (
            "fuse hole size",
            text(if good { "the fuse hole has the usual size" } else { "the fuse hole has another size" }),
            inches(width),
            "3 in: common practice, no source",
            text("Drill 3 in."),
        ),
        What::FuseHolePlace { above_rim, .. } => (
            "fuse hole",
            text(if good {
                "the fuse hole is behind the wastebasket"
            } else {
                "the fuse hole isn't behind the wastebasket"
            }),
            inches(above_rim),
            "above the rim of the basket; common practice, no source",
            text("Move the basket in front of the hole."),
        ),
        What::CurtainDrop { gap, .. } => (
            "curtain drop",
            text(if good { "the curtain reaches the floor" } else { "the curtain doesn't reach the floor" }),
            inches(gap),
            "above the floor; from rod to floor is common practice, no source",
            text("Hang a longer one, or lower the rod."),
        ),
        What::CurtainToWall { farthest } => (
            "curtain and wall",
            text(if good { "the curtain is on the back wall" } else { "the curtain is away from the back wall" }),
            inches(farthest),
            PRACTICE,
            text("Hang it on the back wall."),
        ),
        What::CarpetCover { share } => (
            "carpet",
            text(if good { "carpet covers the floor" } else { "carpet doesn't cover the floor" }),
            percent(share),
            PRACTICE,
            text("Cut the carpet to the size of the room."),
        ),
        What::PanelFastening { fastened, wanted } => (
            "panel",
            format!(
                "the clear panel is {}",
                if fastened == Fastening::Unknown { "mounted in a way nobody said" } else { held(fastened) }
            ),
            held(wanted).to_owned(),
            PANELS,
            format!("Have it {}, and say so under How it's mounted.", held(wanted)),
        ),
        What::CatchBoardSize { width, length } => (
            "catch board size",
            text(if good { "the catch board has the usual size" } else { "the catch board has another size" }),
            format!("{} × {}", tall(width), tall(length)),
            "4 × 8 ft: common practice, no source",
            text("Use a full sheet."),
        ),
        What::CatchBoardPlace { gap, share, .. } => {
            let is_partial = share < 0.9 && gap.abs() < 12.0 * INCH;
            (
                "catch board",
                text(match (good, is_partial) {
                    (true, _) => "the catch board is in front",
                    (false, true) => "the catch board covers part of the front",
                    (false, false) => "the catch board isn't right at the front",
                }),
                if is_partial { percent(share) } else { inches(gap) },
                PRACTICE,
                text(if is_partial {
                    "Lay a second sheet beside it."
                } else {
                    "Lay it on the ground against the front."
                }),
            )
        }
        What::SprinklerDepth { below_ceiling } => (
            "sprinkler depth",
            text(if good {
                "the sprinkler's deflector is close to the ceiling"
            } else {
                "the sprinkler's deflector is at another depth"
            }),
            inches(below_ceiling),
            NFPA,
            text("Ask the fitter; 1 to 4 in below the ceiling is usual."),
        ),
        What::SprinklerBlocked { gap, wanted, .. } => (
            "sprinkler blocked",
            format!("the {second} is in the sprinkler's spray"),
            inches(gap),
            NFPA,
            format!("Move it {} from the head, or lower its top.", inches(wanted)),
        ),
        What::SprinklerClear => {
            ("sprinkler clear", text("nothing is in the sprinkler's spray"), String::new(), NFPA, String::new())
        }
        What::OpenFront { share } => (
            "open front",
            text(if good { "the front is open" } else { "items block the front" }),
            percent(share),
            "open to air, panels aside; 70% or more is common practice, no source",
            text("Move what is within a foot of the front."),
        ),
    }
}
