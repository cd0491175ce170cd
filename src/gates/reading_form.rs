//! The form that takes a reading.

use super::form::amount;
use super::gate::Gate;
use super::measure::{Measure, celsius, fahrenheit};
use super::reading::{Air, Noted};
use crate::calc::weather;
use crate::events::Event;
use crate::web::form::{Mistakes, optional_line, time_of_day};
use serde::Deserialize;
use time::{Duration, OffsetDateTime};

/// A reading as typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct ReadingForm {
    /// A number, "yes" or "no", or the place of a choice.
    pub value: String,
    pub temperature: String,
    pub humidity: String,
    /// "yes" for a forecast.
    pub forecast: String,
    /// When it was read, if not now.
    pub at: String,
    pub note: String,
}

/// A reading that came late still counts from when it was read, up to this long ago.
const OLDEST: Duration = Duration::hours(24);

impl ReadingForm {
    pub fn read(&self, gate: &Gate, event: &Event, now: OffsetDateTime) -> Result<Noted, Mistakes> {
        let mut mistakes = Mistakes::default();
        let air = (gate.details.measure == Measure::HeatIndex).then(|| self.air(&mut mistakes)).flatten();
        let value = match gate.details.measure {
            Measure::HeatIndex => air.map(heat_index),
            Measure::YesNo => mistakes.note("value", yes(&self.value)),
            Measure::Choice => mistakes.note("value", self.choice(gate)),
            measure => mistakes.note("value", amount(measure, &self.value)),
        };
        let at = mistakes.note("at", self.at(event, now));
        let note = mistakes.note("note", optional_line(&self.note, 200));
        let read = value.zip(at).zip(note).map(|((value, at), note)| Noted {
            value,
            air,
            is_forecast: self.forecast == "yes",
            note,
            at,
        });
        read.filter(|_| mistakes.is_empty()).ok_or(mistakes)
    }

    fn air(&self, mistakes: &mut Mistakes) -> Option<Air> {
        let temperature = mistakes.note("temperature", amount(Measure::Temperature, &self.temperature));
        let humidity = self.humidity.trim().parse().ok().filter(|humidity| (0.0..=100.0).contains(humidity));
        let humidity = mistakes.note("humidity", humidity.ok_or_else(|| "Enter a number from 0 to 100.".to_owned()));
        temperature.zip(humidity).map(|(temperature, humidity)| Air { temperature, humidity })
    }

    fn choice(&self, gate: &Gate) -> Result<f64, String> {
        let place = self.value.parse::<u32>().map(f64::from).ok().filter(|place| gate.details.choice(*place).is_some());
        place.ok_or_else(|| "Choose one.".to_owned())
    }

    /// The moment it was read: now, or a time of day that was the last to pass.
    fn at(&self, event: &Event, now: OffsetDateTime) -> Result<OffsetDateTime, String> {
        if self.at.trim().is_empty() {
            return Ok(now);
        }
        let (time, zone) = (time_of_day(&self.at)?, &event.details.zone);
        let today = zone.today(now);
        let latest = [today, today - Duration::DAY].into_iter().filter_map(|day| zone.instant(day, time));
        let read = latest.into_iter().find(|at| *at <= now && now - *at <= OLDEST);
        read.ok_or_else(|| "Enter a time in the last 24 hours.".to_owned())
    }
}

fn yes(text: &str) -> Result<f64, String> {
    match text {
        "yes" => Ok(1.0),
        "no" => Ok(0.0),
        _ => Err("Choose yes or no.".to_owned()),
    }
}

/// The heat index in °F. Cool air has none and is as it is; where the formula ends, the heat is
/// past extreme danger.
fn heat_index(air: Air) -> f64 {
    let celsius = celsius(air.temperature);
    let index = match weather::heat_index(celsius, air.humidity) {
        Some(index) => fahrenheit(index),
        None if celsius < weather::HEAT_FROM => air.temperature,
        None => air.temperature.max(BEYOND),
    };
    (index * 10.0).round() / 10.0
}

/// The National Weather Service's chart ends here, °F.
const BEYOND: f64 = 137.5;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heat_past_the_end_of_the_chart_is_never_taken_for_less() {
        let index = |temperature, humidity| heat_index(Air { temperature, humidity });
        // 100 °F and 50 percent are 118 °F by the National Weather Service's chart, within 1.3 °F.
        assert!((index(100.0, 50.0) - 118.0).abs() < 1.3);
        assert!(index(104.0, 100.0) >= BEYOND && index(130.0, 10.0) >= 130.0);
        assert!((index(50.0, 90.0) - 50.0).abs() < 1e-9);
    }
}
