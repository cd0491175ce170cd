//! What a gate reads, and how its numbers are said in US customary and SI units.

use crate::named::named;

named! {
    /// What a gate reads.
    Measure, "Choose what is read.", MEASURES: [
        Wind = "wind speed",
        Gust = "gust",
        // Worked out from temperature and humidity.
        HeatIndex = "heat index",
        Temperature = "temperature",
        // Minutes to sunset, worked out from the place and the date.
        Daylight = "daylight",
        Number = "number",
        YesNo = "yes or no",
        Choice = "choice",
    ]
}

/// Meters per second in a mile per hour.
pub(super) const MPH: f64 = 0.447_04;

impl Measure {
    /// Is it read as a number, with limits?
    #[must_use]
    pub const fn has_limits(self) -> bool {
        !matches!(self, Self::YesNo | Self::Choice)
    }

    /// Its unit; empty where the gate says its own, or there is none.
    pub(super) const fn unit(self) -> &'static str {
        match self {
            Self::Wind | Self::Gust => "mph",
            Self::HeatIndex | Self::Temperature => "°F",
            Self::Daylight => "minutes",
            Self::Number | Self::YesNo | Self::Choice => "",
        }
    }

    /// The smallest and largest number that can be meant.
    pub(super) const fn range(self) -> (f64, f64) {
        match self {
            Self::Wind | Self::Gust => (0.0, 200.0),
            Self::HeatIndex | Self::Temperature => (-60.0, 160.0),
            Self::Daylight => (-1_440.0, 1_440.0),
            Self::Number | Self::YesNo | Self::Choice => (-100_000.0, 100_000.0),
        }
    }

    /// The same number in the other system of units; empty where there is none.
    pub(super) fn in_si(self, value: f64) -> String {
        match self {
            Self::Wind | Self::Gust => format!("{:.1} m/s", value * MPH),
            Self::HeatIndex | Self::Temperature => format!("{:.0} °C", celsius(value)).replace("-0 ", "0 "),
            Self::Daylight | Self::Number | Self::YesNo | Self::Choice => String::new(),
        }
    }
}

/// Degrees Celsius, from degrees Fahrenheit.
pub(super) fn celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

/// Degrees Fahrenheit, from degrees Celsius.
pub(super) fn fahrenheit(celsius: f64) -> f64 {
    celsius * 1.8 + 32.0
}

/// A number without needless digits: "7", "7.5".
pub(super) fn plain(value: f64) -> String {
    let text = format!("{value:.1}");
    text.strip_suffix(".0").map_or(text.clone(), str::to_owned).replace('-', "−")
}

/// "7 mph (3.1 m/s)".
pub(super) fn in_both(measure: Measure, unit: &str, value: f64) -> String {
    let unit = if measure == Measure::Number { unit } else { measure.unit() };
    let us = format!("{} {unit}", plain(value)).trim_end().to_owned();
    let si = measure.in_si(value);
    if si.is_empty() { us } else { format!("{us} ({si})") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_said_in_both_systems() {
        // 15 mph is 6.7 m/s: a mile per hour is 0.44704 m/s by definition (NIST SP 811).
        assert_eq!(in_both(Measure::Gust, "", 15.0), "15 mph (6.7 m/s)");
        assert_eq!(in_both(Measure::HeatIndex, "", 103.0), "103 °F (39 °C)");
        assert_eq!(in_both(Measure::Temperature, "", 32.0), "32 °F (0 °C)");
        assert_eq!(in_both(Measure::Temperature, "", 31.5), "31.5 °F (0 °C)");
        assert_eq!(in_both(Measure::Number, "gpm", 95.0), "95 gpm");
        assert_eq!(in_both(Measure::Number, "", -2.0), "−2");
        assert!((fahrenheit(celsius(90.0)) - 90.0).abs() < 1e-9);
    }
}
