//! Times, temperatures, and what an estimate comes to, in words.

use super::listed;
use super::reading::Read;
use super::setup::{Ceiling, Fuel, Walls};
use super::typed::feet;
use crate::calc::fire::bands::{Band, Bands, Factor};
use crate::calc::fire::flashover::{Thresholds, ventilation_limit};
use crate::calc::fire::{FOOT, FREEZING};
use crate::rooms::{Measured, Thing};
use crate::web::words::{capital, grouped};

/// "1:05".
pub(super) fn clock(seconds: f64) -> String {
    let seconds = whole(seconds);
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

/// A number that is shown without decimals. Below zero it counts as none.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is within the limits of the form")]
pub(super) fn whole(value: f64) -> usize {
    value.round().max(0.0) as usize
}

/// "45 seconds", "1 minute", "2 1/2 minutes": as exact as an estimate deserves.
fn about(seconds: f64) -> (String, &'static str) {
    if seconds < 57.5 {
        return ((whole(seconds / 5.0) * 5).max(5).to_string(), "seconds");
    }
    let halves = whole(seconds / 30.0);
    let minutes = if halves % 2 == 1 && halves < 10 {
        format!("{} 1/2", halves / 2)
    } else {
        (whole(seconds / 60.0)).to_string()
    };
    (minutes, if halves == 2 { "minute" } else { "minutes" })
}

/// "45 seconds to 2 minutes", "1 to 5 minutes".
fn span(low: f64, high: f64) -> String {
    let ((low, small), (high, unit)) = (about(low), about(high));
    if low == high && small == unit {
        format!("{low} {unit}")
    } else if small.trim_end_matches('s') == unit.trim_end_matches('s') {
        format!("{low} to {high} {unit}")
    } else {
        format!("{low} {small} to {high} {unit}")
    }
}

/// The same of one time.
pub(super) fn one(seconds: f64) -> String {
    let (number, unit) = about(seconds);
    format!("{number} {unit}")
}

/// A temperature in both units: "600 °C (1,110 °F)".
pub(super) fn temperature(kelvin: f64) -> String {
    let celsius = kelvin - FREEZING;
    let tens = |degrees: f64| {
        let sign = if degrees <= -5.0 { "−" } else { "" };
        format!("{sign}{}", grouped(whole(degrees.abs() / 10.0) * 10))
    };
    format!("{} °C ({} °F)", tens(celsius), tens(celsius * 1.8 + 32.0))
}

/// A length in both units: "46 ft (14.2 m)".
pub(super) fn distance(meters: f64) -> String {
    format!("{} ft ({meters:.1} m)", grouped(whole((meters / FOOT).ceil())))
}

/// A height in both units: "3 ft 2 in (1.0 m)".
pub(super) fn height(meters: f64) -> String {
    format!("{} ({meters:.1} m)", feet(meters))
}

/// Heat release: "1.5 MW", "250 kW".
pub(super) fn heat(kilowatts: f64) -> String {
    if kilowatts < 995.0 { format!("{} kW", whole(kilowatts)) } else { format!("{:.1} MW", kilowatts / 1000.0) }
}

/// "0:32 to 0:57", "1:55 or later", "not in most simulated fires".
pub(super) fn inner(band: &Band) -> String {
    between(band.inner())
}

/// The same of nine in ten.
pub(super) fn outer(band: &Band) -> String {
    between(band.outer())
}

fn between(times: (Option<f64>, Option<f64>)) -> String {
    match times {
        (Some(low), Some(high)) => format!("{} to {}", clock(low), clock(high)),
        (Some(low), None) => format!("{} or later, or not at all", clock(low)),
        (None, _) => "not in most simulated fires".to_owned(),
    }
}

/// "in 4 of 100 simulated fires".
fn of_hundred(part: f64) -> String {
    match whole(part * 100.0) {
        0 if part > 0.0 => "in fewer than 1 of 100 simulated fires".to_owned(),
        100 if part < 1.0 => "in more than 99 of 100 simulated fires".to_owned(),
        100 => "in every simulated fire".to_owned(),
        number => format!("in {number} of 100 simulated fires"),
    }
}

/// What the estimate comes to, in one sentence that stands alone, and in a few more.
pub(super) fn summary(bands: &Bands) -> (String, Vec<String>) {
    let minutes = one(bands.until);
    let partly = if bands.flashover.never >= 0.005 { ", if that room flashes over" } else { "" };
    let first = match bands.sooner.inner() {
        _ if bands.flashover.never > 0.9 => {
            format!("The room without a sprinkler is not likely to flash over within {minutes}.")
        }
        (Some(low), Some(high)) if low > 0.0 => format!(
            "After lighting, the sprinkler opens about {} sooner than the other room flashes over{partly}.",
            span(low, high)
        ),
        _ => "The sprinkler may not open before the other room flashes over.".to_owned(),
    };
    let mut rest = vec![
        "Each room's clock starts when that room is lit.".to_owned(),
        "Bars hold eight in ten simulated fires, dotted lines nine in ten.".to_owned(),
    ];
    if bands.flashover.never > 0.0 {
        let how = of_hundred(bands.flashover.never);
        rest.push(if bands.flashover.never < 1.0 {
            format!("{} the room does not flash over within {minutes}.", capital(&how))
        } else {
            format!("The room does not flash over within {minutes} in any simulated fire.")
        });
    }
    if bands.sprinkler.never >= 1.0 {
        rest.push(format!("The sprinkler does not open within {minutes} in any simulated fire."));
    } else if bands.sprinkler.never > 0.0 {
        rest.push(format!(
            "{} the sprinkler does not open within {minutes}.",
            capital(&of_hundred(bands.sprinkler.never))
        ));
    }
    if let Some(seconds) = talk(bands) {
        rest.push(format!(
            "The alarm can sound as early as {seconds} seconds after lighting, so count on no more talk before it."
        ));
    }
    (first, rest)
}

/// Seconds of talk before the alarm: 19 of 20 alarms leave as much.
fn talk(bands: &Bands) -> Option<usize> {
    bands.alarm.at[0].map(|time| whole(time.floor()))
}

/// What a factor is, in words; none for the model's own error, which nobody can look up.
fn factor(factor: Factor, read: &Read) -> Option<String> {
    let item = |place: usize| read.fuels.get(place).map_or("item", |fuel| fuel.as_str());
    Some(match factor {
        Factor::Delay(0) => format!("when the {} catches", item(0)),
        Factor::Delay(place) => format!("how soon the {} catches", item(place)),
        Factor::Peak(place) => format!("how much heat the {} gives off", item(place)),
        Factor::Pace(place) => format!("how fast the {} burns up", item(place)),
        Factor::Surface => "how high the fire is above the floor".to_owned(),
        Factor::Ambient => "how warm the day is".to_owned(),
        Factor::SprinklerDistance => "the head's distance from the fire".to_owned(),
        Factor::Rti => "the head's response time index (RTI)".to_owned(),
        Factor::Conductance => "how much heat the head's frame draws off (C)".to_owned(),
        Factor::AlarmDistance => "the alarm's distance from the fire".to_owned(),
        Factor::AlarmLag => "the type of alarm".to_owned(),
        Factor::Threshold | Factor::SprinklerError | Factor::FlashoverError | Factor::FloorError => return None,
    })
}

/// What moves a time most that someone could find out; none if nothing stands out.
pub(super) fn moves_most(all: &[(Factor, f64)], read: &Read) -> Option<String> {
    let mut known = all.iter().filter(|(_, strength)| strength.abs() >= 0.2);
    known.find_map(|(one, _)| factor(*one, read))
}

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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_as_exact_as_an_estimate() {
        for (low, high, says) in [
            (32.0, 47.0, "30 to 45 seconds"),
            (44.0, 130.0, "45 seconds to 2 minutes"),
            (58.0, 62.0, "1 minute"),
            (60.0, 301.0, "1 to 5 minutes"),
            (71.0, 151.0, "1 to 2 1/2 minutes"),
            (92.0, 700.0, "1 1/2 to 12 minutes"),
        ] {
            assert_eq!(span(low, high), says);
        }
        assert_eq!((clock(65.4), clock(599.7)), ("1:05".to_owned(), "10:00".to_owned()));
    }

    #[test]
    fn quantities_have_both_units() {
        assert_eq!(temperature(873.15), "600 °C (1,110 °F)");
        assert_eq!(distance(14.19), "47 ft (14.2 m)");
        assert_eq!(height(0.97), "3 ft 2 in (1.0 m)");
        assert_eq!((heat(250.4), heat(2_440.0)), ("250 kW".to_owned(), "2.4 MW".to_owned()));
    }

    /// Bands in which the sprinkler opens and the room flashes over, each in a part of all fires.
    fn bands(sprinkler_never: f64, flashover_never: f64, sooner: Option<f64>) -> Bands {
        let band = |at: Option<f64>, never| Band { at: [at; 5], never };
        Bands {
            count: 300,
            until: 600.0,
            alarm: band(Some(20.9), 0.0),
            sprinkler: band(Some(40.0), sprinkler_never),
            flashover: band(Some(200.0), flashover_never),
            at_500: band(None, 1.0),
            at_600: band(None, 1.0),
            floor: band(None, 1.0),
            sooner: band(sooner, flashover_never),
            pictures: [Vec::new(), Vec::new()],
            fires: Vec::new(),
            moves_sprinkler: Vec::new(),
            moves_flashover: Vec::new(),
            peak: band(Some(2000.0), 0.0),
        }
    }

    #[test]
    fn the_summary_says_what_the_bands_hold() {
        let says = |bands: Bands| {
            let (first, rest) = summary(&bands);
            format!("{first} {}", rest.join(" "))
        };
        let usual = says(bands(0.0, 0.0, Some(120.0)));
        assert!(usual.contains("about 2 minutes sooner") && !usual.contains("if that room"), "{usual}");
        assert!(usual.contains("20 seconds") && !usual.contains("not open"), "{usual}");
        let some = says(bands(0.0, 0.32, Some(120.0)));
        assert!(some.contains("if that room flashes over") && some.contains("In 32 of 100"), "{some}");
        let rarely = says(bands(0.0, 0.95, Some(120.0)));
        assert!(rarely.contains("not likely to flash over within 10 minutes"), "{rarely}");
        let never = says(bands(1.0, 1.0, None));
        assert!(never.contains("The sprinkler does not open within 10 minutes in any simulated fire."), "{never}");
        assert!(never.contains("The room does not flash over within 10 minutes in any simulated fire."), "{never}");
        let late = says(bands(0.2, 0.0, Some(-600.0)));
        assert!(late.contains("may not open before"), "{late}");
    }

    #[test]
    fn what_never_happens_is_said() {
        let band = |at| Band { at, never: 0.3 };
        assert_eq!(inner(&band([Some(60.0), Some(70.0), Some(90.0), None, None])), "1:10 or later, or not at all");
        assert_eq!(outer(&band([Some(60.0), Some(70.0), Some(90.0), Some(100.0), Some(130.0)])), "1:00 to 2:10");
        assert_eq!(inner(&band([None; 5])), "not in most simulated fires");
        for (part, says) in [(0.04, "in 4 of 100 simulated fires"), (0.001, "in fewer than 1 of 100 simulated fires")] {
            assert_eq!(of_hundred(part), says);
        }
    }
}
