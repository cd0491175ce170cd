//! What an estimate comes to, in a few sentences.

use super::quantities::{one, span, whole};
use super::reading::Read;
use crate::calc::fire::bands::{Bands, Factor};
use crate::web::words::capital;

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

/// "in 4 of 100 simulated fires".
fn of_hundred(part: f64) -> String {
    match whole(part * 100.0) {
        0 if part > 0.0 => "in fewer than 1 of 100 simulated fires".to_owned(),
        100 if part < 1.0 => "in more than 99 of 100 simulated fires".to_owned(),
        100 => "in every simulated fire".to_owned(),
        number => format!("in {number} of 100 simulated fires"),
    }
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::fire::bands::Band;

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
        for (part, says) in [(0.04, "in 4 of 100 simulated fires"), (0.001, "in fewer than 1 of 100 simulated fires")] {
            assert_eq!(of_hundred(part), says);
        }
    }
}
