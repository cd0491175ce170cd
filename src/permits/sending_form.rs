//! The form for a sending: that it was sent, and when it arrived.

use super::fields::{optional, past};
use crate::events::Event;
use crate::permit_records::{Kind, Sending};
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;
use time::Date;

/// What was typed about a sending.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct SendingForm {
    pub sent_on: String,
    pub received_on: String,
    pub burn_day: String,
    pub rain_date: String,
    pub other_on: String,
    /// The place and time on it, as the page showed them.
    pub site: String,
    pub burn_time: String,
}

impl SendingForm {
    /// Today, with both dates, the place and the time of the event.
    pub fn fresh(event: &Event, today: Date) -> Self {
        Self {
            sent_on: words::iso(today),
            burn_day: words::iso(event.details.burn_on),
            rain_date: event.details.rain_on.map(words::iso).unwrap_or_default(),
            site: event.details.site.clone(),
            burn_time: words::iso_time(event.details.burn_time),
            ..Self::default()
        }
    }

    /// The sending; the store gives it its number.
    pub fn read(&self, kind: Kind, event: &Event, today: Date) -> Result<Sending, Mistakes> {
        let mut mistakes = Mistakes::default();
        let sent_on = mistakes.note("sent_on", past(&self.sent_on, today));
        let received_on = mistakes.note("received_on", optional(&self.received_on, |text| past(text, today)));
        if let (Some(sent), Some(Some(received))) = (sent_on, received_on)
            && received < sent
        {
            mistakes.add("received_on", "This is before the day it was sent.");
        }
        let mut names = Vec::new();
        for (field, text) in
            [("burn_day", &self.burn_day), ("rain_date", &self.rain_date), ("other_on", &self.other_on)]
        {
            names.extend(mistakes.note(field, optional(text, form::day)).flatten());
        }
        names.sort_unstable();
        names.dedup();
        if names.is_empty() && matches!(kind, Kind::Permit | Kind::Notice) {
            mistakes.add("burn_day", "Choose the dates that are on it.");
        }
        // If these are missing, they are the event's own.
        let site = if self.burn_time.is_empty() { &event.details.site } else { &self.site };
        let site = mistakes.note("site", form::optional_line(site, 200));
        let burn_time = optional(&self.burn_time, form::time_of_day);
        let burn_time = mistakes.note("burn_time", burn_time).map(|time| time.unwrap_or(event.details.burn_time));
        match (sent_on, received_on, site, burn_time) {
            (Some(sent_on), Some(received_on), Some(site), Some(burn_time)) if mistakes.is_empty() => {
                Ok(Sending { id: 0, names, sent_on, received_on, site, burn_time })
            }
            _ => Err(mistakes),
        }
    }
}
