//! The form for an event, and what it means.

use super::visitors::Typed;
use super::{Details, Event, Format, WEEK, Weekdays};
use crate::web::form::{self, Mistakes};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use serde::Deserialize;
use serde_json::{Value, json};
use time::Date;

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub struct EventForm {
    pub name: String,
    pub site: String,
    pub zone: String,
    pub burn_on: String,
    pub burn_time: String,
    pub rain_on: String,
    pub format: String,
    pub audience: String,
    pub weekday: Vec<String>,
    pub address: String,
    pub coordinates: String,
    pub parking: String,
    pub clothing: String,
    pub version: i64,
    /// Which button was used: `earliest`, `anyway`, `save`, `back` or the plain one.
    pub act: String,
    /// Are people asked about dates they haven't been asked about yet?
    pub again: String,
    /// Do other times that day move along with first ignition?
    pub along: String,
}

/// The result of reading a form: what it means, or what is wrong with it.
pub type Read = Result<Details, Mistakes>;

impl EventForm {
    /// What the form of an event shows at first.
    #[must_use]
    pub fn of(event: &Event) -> Self {
        let details = &event.details;
        Self {
            name: details.name.clone(),
            site: details.site.clone(),
            zone: details.zone.name().to_owned(),
            burn_on: words::iso(details.burn_on),
            burn_time: words::iso_time(details.burn_time),
            rain_on: details.rain_on.map(words::iso).unwrap_or_default(),
            format: details.format.to_string(),
            audience: details.audience.map(|n| n.to_string()).unwrap_or_default(),
            weekday: details.weekdays.days().iter().map(ToString::to_string).collect(),
            address: details.visitors.address.clone(),
            coordinates: details.visitors.place.map(|place| place.to_string()).unwrap_or_default(),
            parking: details.visitors.parking.clone(),
            clothing: details.visitors.clothing.clone(),
            version: event.version,
            act: String::new(),
            again: String::new(),
            along: String::new(),
        }
    }

    /// The form of a new event.
    #[must_use]
    pub fn fresh(zone: &str) -> Self {
        Self {
            zone: zone.to_owned(),
            burn_time: "10:00".to_owned(),
            format: Format::OneAtATime.to_string(),
            weekday: vec!["Saturday".to_owned()],
            ..Self::default()
        }
    }

    /// Reads the form.
    ///
    /// # Errors
    /// What is wrong, by field.
    pub fn read(&self) -> Read {
        let mut mistakes = Mistakes::default();
        let name = mistakes.note("name", form::line(&self.name, 100));
        let site = mistakes.note("site", form::optional_line(&self.site, 150));
        let zone = Zone::named(self.zone.trim()).ok_or("Choose a time zone from the list.".to_owned());
        let zone = mistakes.note("zone", zone);
        let burn_on = mistakes.note("burn_on", form::day(&self.burn_on));
        let burn_time = mistakes.note("burn_time", form::time_of_day(&self.burn_time));
        let rain_on = mistakes.note("rain_on", optional(&self.rain_on, form::day));
        let format = mistakes.note("format", self.format.parse());
        let audience = mistakes.note("audience", optional(&self.audience, |n| form::number(n, 0, 1_000_000)));
        let weekdays = Weekdays::new(WEEK.into_iter().filter(|day| self.allows(day)));
        let weekdays = mistakes.note("weekday", weekdays.ok_or("Choose at least one weekday.".to_owned()));
        let visitors = self.visitors().read(&mut mistakes);
        if let (Some(burn_on), Some(Some(rain_on))) = (burn_on, rain_on) {
            mistakes.note("rain_on", after(rain_on, burn_on));
        }
        let all = (name, site, zone, burn_on, burn_time, rain_on, format, audience, weekdays, visitors);
        match (all, mistakes.is_empty()) {
            (
                (
                    Some(name),
                    Some(site),
                    Some(zone),
                    Some(burn_on),
                    Some(burn_time),
                    Some(rain_on),
                    Some(format),
                    Some(audience),
                    Some(weekdays),
                    Some(visitors),
                ),
                true,
            ) => Ok(Details { name, site, zone, burn_on, burn_time, rain_on, format, audience, weekdays, visitors }),
            _ => Err(mistakes),
        }
    }

    fn visitors(&self) -> Typed<'_> {
        let Self { address, coordinates, parking, clothing, .. } = self;
        Typed { address, coordinates, parking, clothing }
    }

    /// Is anything typed for visitors and helpers?
    #[must_use]
    pub fn has_visitor_facts(&self) -> bool {
        [&self.address, &self.coordinates, &self.parking, &self.clothing].iter().any(|text| !text.is_empty())
    }

    /// Takes another burn day. The rain date stays the same number of days after it.
    pub fn take_burn_day(&mut self, on: Date) {
        let apart = match (form::day(&self.burn_on), form::day(&self.rain_on)) {
            (Ok(burn_on), Ok(rain_on)) if rain_on > burn_on => rain_on - burn_on,
            _ => time::Duration::ZERO,
        };
        self.rain_on = if apart.is_zero() { String::new() } else { words::iso(on + apart) };
        self.burn_on = words::iso(on);
    }

    /// Is this weekday checked?
    #[must_use]
    pub fn allows(&self, day: &time::Weekday) -> bool {
        let name = day.to_string();
        self.weekday.contains(&name)
    }
}

/// A rain date must come after burn day, within a year.
fn after(rain_on: Date, burn_on: Date) -> Result<(), String> {
    let days = (rain_on - burn_on).whole_days();
    if (1..=366).contains(&days) {
        Ok(())
    } else {
        Err(format!("Choose a rain date after burn day, {}, and within a year of it.", Reader::App.day(burn_on)))
    }
}

fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.trim().is_empty() { Ok(None) } else { read(text).map(Some) }
}

/// The event as the history records it.
#[must_use]
pub fn snapshot(details: &Details) -> Value {
    json!({
        "name": details.name,
        "site": details.site,
        "time zone": details.zone.plain(),
        "burn day": Reader::App.day(details.burn_on),
        "first ignition": Reader::App.time(details.burn_time),
        "rain date": details.rain_on.map(|on| Reader::App.day(on)),
        "rooms burn": details.format.as_str(),
        "people expected": details.audience,
        "weekdays": details.weekdays.to_string(),
        "address": details.visitors.address_line(),
        "map": details.visitors.place.map(|place| place.to_string()),
        "parking": details.visitors.parking,
        "what to wear": details.visitors.clothing,
    })
}
