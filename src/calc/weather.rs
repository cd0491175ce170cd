//! How hot, how cold, and how windy it feels.
//!
//! Units: degrees Celsius, percent, and meters per second. The formulas are the National Weather
//! Service's, in degrees Fahrenheit and miles per hour, and are worked out in those.

/// The heat index holds from here, °C (68 °F): where the table by Steadman (1979) begins, which
/// the regression was fitted to.
pub const HEAT_FROM: f64 = 20.0;
/// The heat index holds up to here, °C (122 °F): where Steadman's table ends.
pub const HEAT_TO: f64 = 50.0;
/// The heat index stays below this, °F: the National Weather Service's chart goes up to 137 °F and
/// leaves out what would be above it.
const HIGHEST: f64 = 137.5;
/// From here up, °F, the simple formula gives way to the regression.
const SIMPLE_BELOW: f64 = 80.0;

/// Wind chill holds at this temperature and below, °C (50 °F).
pub const CHILL_TO: f64 = 10.0;
/// Wind chill holds above this wind, m/s (3 mph).
pub const CHILL_ABOVE: f64 = 3.0 * METERS_PER_SECOND;

/// One mile per hour, m/s.
const METERS_PER_SECOND: f64 = 0.447_04;

/// What heat and humidity together feel like, °C.
///
/// By the National Weather Service: the regression by Rothfusz (technical attachment SR 90-23,
/// 1990), less an adjustment below 13 % humidity and plus one above 85 %; and below 80 °F a simple
/// formula. The regression is within 1.3 °F of Steadman's table. The chart that the Service publishes
/// is the regression alone: at 80 °F with 95 % or more, the adjustment goes up to 2.3 °F above it.
///
/// **It holds in the shade with light wind.** Full sun adds up to 15 °F (8 °C). It is about people
/// in light clothing, and doesn't cover turnout gear.
///
/// None where it doesn't hold: a humidity that isn't from 0 to 100 %, air colder than
/// [`HEAT_FROM`] or hotter than [`HEAT_TO`], and where it would come to more than 137 °F, as the
/// published chart ends there. So none in hot air is no all-clear: it is past extreme danger.
///
/// ```
/// use burnday::calc::weather::heat_index;
///
/// // 90 °F with 60 % feels like 100 °F.
/// let feels = heat_index(32.2, 60.0).unwrap();
/// assert!((feels - 37.6).abs() < 0.1);
/// assert_eq!(heat_index(15.0, 60.0), None);
/// ```
#[must_use]
pub fn heat_index(celsius: f64, humidity_percent: f64) -> Option<f64> {
    let holds = (HEAT_FROM..=HEAT_TO).contains(&celsius) && (0.0..=100.0).contains(&humidity_percent);
    if !holds {
        return None;
    }
    let air = fahrenheit(celsius);
    let simple = simple(air, humidity_percent);
    let feels = if simple < SIMPLE_BELOW { simple } else { regression(air, humidity_percent) };
    (feels < HIGHEST).then(|| to_celsius(feels))
}

/// The average of the air and what it feels like by Steadman, °F.
fn simple(air: f64, humidity: f64) -> f64 {
    0.5 * (air + 61.0 + (air - 68.0) * 1.2 + humidity * 0.094)
}

/// By Rothfusz, with both adjustments, °F.
fn regression(air: f64, humidity: f64) -> f64 {
    let fitted = -42.379 + 2.049_015_23 * air + 10.143_331_27 * humidity
        - 0.224_755_41 * air * humidity
        - 0.006_837_83 * air * air
        - 0.054_817_17 * humidity * humidity
        + 0.001_228_74 * air * air * humidity
        + 0.000_852_82 * air * humidity * humidity
        - 0.000_001_99 * air * air * humidity * humidity;
    if humidity < 13.0 && (80.0..=112.0).contains(&air) {
        fitted - (13.0 - humidity) / 4.0 * ((17.0 - (air - 95.0).abs()) / 17.0).sqrt()
    } else if humidity > 85.0 && (80.0..=87.0).contains(&air) {
        fitted + (humidity - 85.0) / 10.0 * ((87.0 - air) / 5.0)
    } else {
        fitted
    }
}

/// What cold and wind together feel like on bare skin, °C, by the National Weather Service's
/// formula of 2001.
///
/// The wind is the usual one, measured 33 ft (10 m) above open ground. Sun isn't counted.
///
/// None where it doesn't hold: above [`CHILL_TO`], and in a wind of [`CHILL_ABOVE`] or less.
///
/// ```
/// use burnday::calc::weather::wind_chill;
///
/// // 0 °F in a wind of 15 mph feels like −19 °F.
/// let feels = wind_chill(-17.8, 6.7).unwrap();
/// assert!((feels + 28.5).abs() < 0.1);
/// assert_eq!(wind_chill(12.0, 6.7), None);
/// ```
#[must_use]
pub fn wind_chill(celsius: f64, meters_per_second: f64) -> Option<f64> {
    let is_cold = celsius.is_finite() && celsius <= CHILL_TO;
    let is_windy = meters_per_second.is_finite() && meters_per_second > CHILL_ABOVE;
    let (air, wind) = (fahrenheit(celsius), (meters_per_second / METERS_PER_SECOND).powf(0.16));
    (is_cold && is_windy).then(|| to_celsius(35.74 + 0.6215 * air - 35.75 * wind + 0.4275 * air * wind))
}

fn fahrenheit(celsius: f64) -> f64 {
    celsius * 1.8 + 32.0
}

fn to_celsius(fahrenheit: f64) -> f64 {
    (fahrenheit - 32.0) / 1.8
}

/// A wind by what it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beaufort {
    /// 0 to 12.
    pub force: u8,
    /// What it is called: "light breeze".
    pub words: &'static str,
}

/// The scale of the World Meteorological Organization: where each force begins, m/s, and its
/// name.
const FORCES: [(f64, Beaufort); 13] = [
    (f64::NEG_INFINITY, Beaufort { force: 0, words: "calm" }),
    (0.3, Beaufort { force: 1, words: "light air" }),
    (1.6, Beaufort { force: 2, words: "light breeze" }),
    (3.4, Beaufort { force: 3, words: "gentle breeze" }),
    (5.5, Beaufort { force: 4, words: "moderate breeze" }),
    (8.0, Beaufort { force: 5, words: "fresh breeze" }),
    (10.8, Beaufort { force: 6, words: "strong breeze" }),
    (13.9, Beaufort { force: 7, words: "near gale" }),
    (17.2, Beaufort { force: 8, words: "gale" }),
    (20.8, Beaufort { force: 9, words: "strong gale" }),
    (24.5, Beaufort { force: 10, words: "storm" }),
    (28.5, Beaufort { force: 11, words: "violent storm" }),
    (32.7, Beaufort { force: 12, words: "hurricane" }),
];

/// A sustained wind on the Beaufort scale.
///
/// The scale is published in meters per second, in knots, and in miles per hour, each in round
/// numbers, so they differ a little at the limits: here 18 mph (8.05 m/s) is force 5 already, and
/// 73 mph (32.6 m/s) still force 11. What isn't a number counts as force 12, so that a mistake
/// never looks calm.
///
/// ```
/// use burnday::calc::weather::beaufort;
///
/// let wind = beaufort(2.0);
/// assert_eq!((wind.force, wind.words), (2, "light breeze"));
/// ```
#[must_use]
pub fn beaufort(meters_per_second: f64) -> Beaufort {
    let reached = |from: &(f64, Beaufort)| meters_per_second.is_nan() || meters_per_second >= from.0;
    FORCES[FORCES.partition_point(reached).max(1) - 1].1
}

#[cfg(test)]
mod tests;
