//! What an estimate leaves out or stretches.

use super::choices::{Ceiling, Fuel, Walls};
use super::listed;
use super::quantities::heat;
use super::reading::Read;
use super::typed::feet;
use crate::calc::fire::FREEZING;
use crate::calc::fire::bands::Bands;
use crate::calc::fire::flashover::{Thresholds, ventilation_limit};
use crate::rooms::{Measured, Thing};

/// What the estimate leaves out or stretches, and what that does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Caution {
    /// As a mark on pages.
    pub mark: &'static str,
    pub what: String,
    pub does: String,
}

/// Do the drawn rooms have another size? An inch doesn't matter.
fn another_room(read: &Read, drawn: &Measured) -> Option<Caution> {
    let room = &read.inputs.room;
    let sides = [(room.width, drawn.width), (room.length, drawn.depth), (room.height, drawn.height)];
    let is_another = sides.into_iter().any(|(one, other)| (one - other).abs() > 0.03);
    is_another.then(|| Caution {
        mark: "drawn",
        what: format!(
            "The room layouts are {} wide, {} deep, and {} high. This estimate uses a different room size.",
            feet(drawn.width),
            feet(drawn.depth),
            feet(drawn.height)
        ),
        does: "Change whichever is out of date.".to_owned(),
    })
}

/// As far as heads were in the tests, in heights of the ceiling above the fire.
const TESTED: f64 = 1.2;

pub(super) fn cautions(read: &Read, bands: &Bands, things: &[Thing], drawn: Option<&Measured>) -> Vec<Caution> {
    let caution = |mark, what: String, does: String| Caution { mark, what, does };
    let plain = |mark, what: &str, does: &str| caution(mark, what.to_owned(), does.to_owned());
    let room = &read.inputs.room;
    let factor = room.opening.factor();
    let peaks: f64 = read.inputs.items.iter().map(|item| item.shape.peak().high).sum();
    let thresholds = Thresholds::of(room, bands.flashover.median().unwrap_or(240.0));
    let mut all = Vec::new();
    if peaks < thresholds.highest() {
        let what = format!("All items together give off at most {}.", heat(peaks));
        let does = format!(
            "Published thresholds for flashover behind this front are {} to {}. The room may not flash over.",
            heat(thresholds.lowest()),
            heat(thresholds.highest())
        );
        all.push(caution("fuel", what, does));
    }
    for fuel in Fuel::ALL {
        let name = fuel.as_str();
        match (listed::is_listed(things, fuel), read.fuels.contains(&fuel)) {
            (true, false) => {
                let what = format!("The {name} on the room lists is not in this estimate.");
                all.push(caution("left-out", what, "Add it if the fire will reach it.".to_owned()));
            }
            (false, true) => {
                let what = format!("The {name} in this estimate is not on the room lists.");
                all.push(caution("not-listed", what, "List it, or take it out here.".to_owned()));
            }
            _ => {}
        }
    }
    all.extend(drawn.and_then(|drawn| another_room(read, drawn)));
    if peaks > ventilation_limit(factor) {
        let what = format!("Air for about {} gets in through this front.", heat(ventilation_limit(factor)));
        all.push(caution("air", what, "What is more burns in front of the room: flames come out.".to_owned()));
    }
    if bands.floor.never + 0.1 < bands.flashover.never {
        all.push(plain(
            "signs",
            "The signs of flashover disagree.",
            "In some fires the floor gets 20 kW/m², a sign of flashover, though the layer stays below 500 °C (930 °F). \
             Go by whichever comes first.",
        ));
    }
    if read.inputs.ambient.low < FREEZING {
        all.push(plain(
            "freezing",
            "The day may be below freezing.",
            "The sprinkler's pipe and tank can freeze. Keep them drained or warm until the burn.",
        ));
    }
    if read.walls == Walls::Plywood {
        all.push(plain(
            "lining",
            "The walls burn too.",
            "The estimate leaves that out. Expect flashover sooner and far more heat: a room with wood paneling gave \
             off 7 MW in a test (NBSIR 85-2998).",
        ));
    }
    if read.ceiling == Ceiling::Joists {
        all.push(plain(
            "joists",
            "Joists or beams catch the hot gas below the ceiling.",
            "In 18 NIST tests, sprinklers between beams opened about twice as late. The estimate leaves that out.",
        ));
    }
    let front = room.opening.width / room.width.min(room.length);
    if front > 0.75 {
        all.push(plain(
            "front",
            "None of the tests behind this model has a room with an open front.",
            "All times here stretch a model that was tested with doors and windows. Your own measured times are worth more.",
        ));
    }
    if room.opening.area() < 0.1 * room.width.max(room.length) * room.height {
        all.push(plain(
            "small",
            "The front is less than a tenth of the wall.",
            "The model is not made for so small an opening.",
        ));
    }
    let height = room.height - read.inputs.surface.high;
    let far = read.inputs.sprinkler.distance.high.max(read.inputs.alarm.distance.high) / height;
    if far > TESTED {
        all.push(plain(
            "far",
            "The sprinkler head or the alarm is far from the fire for this ceiling.",
            "In the tests behind this model, heads were up to about 1.2 ceiling heights away.",
        ));
    }
    all.push(plain(
        "wind",
        "Wind into the front is not in the estimate.",
        "It cools the layer: alarm, sprinkler, and flashover come later or not at all. Block it or wait.",
    ));
    all
}
