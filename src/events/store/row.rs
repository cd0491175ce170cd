//! A row of the table, read and written.

use crate::error::{Error, Result};
use crate::events::{Coordinates, Details, Event, VisitorFacts, Weekdays};
use crate::web::words;
use crate::zone::Zone;
use anyhow::{Context, anyhow};
use serde::Deserialize;
use time::macros::format_description;
use time::{Date, Time};

/// A row of the table. Other modules may read it as JSON in a query of their own.
#[derive(Debug, Deserialize)]
pub struct Row {
    pub(super) id: i64,
    pub(super) name: String,
    pub(super) site: String,
    pub(super) zone: String,
    pub(super) burn_on: Date,
    pub(super) burn_time: String,
    pub(super) rain_on: Option<Date>,
    pub(super) format: String,
    pub(super) audience: Option<i64>,
    pub(super) weekdays: i64,
    pub(super) address: String,
    pub(super) latitude: Option<f64>,
    pub(super) longitude: Option<f64>,
    pub(super) parking: String,
    pub(super) clothing: String,
    pub(super) date_revision: i64,
    pub(super) facts_revision: i64,
    pub(super) is_current: i64,
    pub(super) version: i64,
}

impl Row {
    /// The event it holds.
    ///
    /// # Errors
    /// If a column holds something this version doesn't know.
    pub fn event(self) -> Result<Event> {
        let wrong = |what: &str| Error::Internal(anyhow!("event {}: unknown {what} in the store", self.id));
        let details = Details {
            name: self.name,
            site: self.site,
            zone: Zone::named(&self.zone).ok_or_else(|| wrong("zone"))?,
            burn_on: self.burn_on,
            burn_time: Time::parse(&self.burn_time, format_description!("[hour]:[minute]")).context("a burn time")?,
            rain_on: self.rain_on,
            format: self.format.parse().map_err(|_| wrong("format"))?,
            audience: self.audience.map(u32::try_from).transpose()?,
            weekdays: Weekdays::from_bits(self.weekdays)?,
            visitors: VisitorFacts {
                place: self.latitude.zip(self.longitude).and_then(|(north, east)| Coordinates::new(north, east)),
                address: self.address,
                parking: self.parking,
                clothing: self.clothing,
            },
        };
        Ok(Event {
            id: self.id,
            details,
            date_revision: self.date_revision,
            facts_revision: self.facts_revision,
            is_current: self.is_current != 0,
            version: self.version,
        })
    }
}

/// The details that a row holds in another form.
pub(super) struct Columns<'a> {
    pub zone: &'a str,
    pub burn_time: String,
    pub format: &'static str,
    pub weekdays: i64,
    pub latitude: Option<f64>,
    pub longitude: Option<f64>,
}

impl<'a> Columns<'a> {
    pub fn of(details: &'a Details) -> Self {
        let place = details.visitors.place;
        Self {
            zone: details.zone.name(),
            burn_time: words::iso_time(details.burn_time),
            format: details.format.as_str(),
            weekdays: details.weekdays.bits(),
            latitude: place.map(Coordinates::latitude),
            longitude: place.map(Coordinates::longitude),
        }
    }
}
