//! Times, temperatures, lengths, and heat in words.

use super::typed::feet;
use crate::calc::fire::bands::Band;
use crate::calc::fire::{FOOT, FREEZING};
use crate::web::words::grouped;

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
pub(super) fn span(low: f64, high: f64) -> String {
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

    #[test]
    fn a_band_that_never_ends_is_said() {
        let band = |at| Band { at, never: 0.3 };
        assert_eq!(inner(&band([Some(60.0), Some(70.0), Some(90.0), None, None])), "1:10 or later, or not at all");
        assert_eq!(outer(&band([Some(60.0), Some(70.0), Some(90.0), Some(100.0), Some(130.0)])), "1:00 to 2:10");
        assert_eq!(inner(&band([None; 5])), "not in most simulated fires");
    }
}
