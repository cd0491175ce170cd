//! The form for another burn day, and what it means.

use crate::events::{Details, Event};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;
use time::{Date, Weekday};

#[derive(Debug, Deserialize, Default, Clone)]
#[serde(default)]
pub(super) struct MoveForm {
    pub burn_on: String,
    pub rain_on: String,
    pub version: i64,
    /// IDs of done tasks to do again.
    pub redo: Vec<i64>,
    /// "yes" once the page had the checkboxes for them.
    pub chosen: String,
    /// Are people who were asked about the old day asked again?
    pub again: String,
    /// "yes" to use a weekday that isn't one of the event's.
    pub anyway: String,
}

impl MoveForm {
    /// The event's details with the dates that were typed.
    pub fn read(&self, event: &Event, today: Date) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let burn_on = mistakes.note("burn_on", form::day(&self.burn_on));
        let rain_on = if self.rain_on.trim().is_empty() {
            Some(None)
        } else {
            mistakes.note("rain_on", form::day(&self.rain_on).map(Some))
        };
        if burn_on == Some(event.details.burn_on) {
            mistakes.add("burn_on", "This is already burn day. Choose another day.");
        }
        if burn_on.is_some_and(|on| on < today) {
            mistakes.add("burn_on", "This day has passed. Choose a later one.");
        }
        if let (Some(burn_on), Some(Some(rain_on))) = (burn_on, rain_on)
            && rain_on <= burn_on
        {
            mistakes.add("rain_on", "The rain date must be after burn day. Choose a later day.");
        }
        if self.anyway != "yes" {
            note_odd_weekdays(event, burn_on, rain_on.flatten(), &mut mistakes);
        }
        match (burn_on, rain_on) {
            (Some(burn_on), Some(rain_on)) if mistakes.is_empty() => {
                Ok(Details { burn_on, rain_on, ..event.details.clone() })
            }
            _ => Err(mistakes),
        }
    }

    /// The weekday to ask about, if a date that was typed is on one that isn't the event's.
    pub fn odd_weekday(&self, event: &Event) -> Option<Weekday> {
        let burn_on = form::day(&self.burn_on).ok().filter(|on| !is_usual_burn_day(event, *on));
        let rain_on = form::day(&self.rain_on).ok().filter(|on| !is_usual_rain_date(event, *on));
        burn_on.or(rain_on).map(Date::weekday)
    }
}

fn note_odd_weekdays(event: &Event, burn_on: Option<Date>, rain_on: Option<Date>, mistakes: &mut Mistakes) {
    let odd = |on: Date| {
        let usual = event.details.weekdays;
        format!(
            "{} isn't a weekday that works for this burn ({usual}). Choose another day, or check the box to use it \
             anyway.",
            on.weekday()
        )
    };
    if let Some(on) = burn_on.filter(|on| !is_usual_burn_day(event, *on)) {
        mistakes.add("burn_on", odd(on));
    }
    if let Some(on) = rain_on.filter(|on| !is_usual_rain_date(event, *on)) {
        mistakes.add("rain_on", odd(on));
    }
}

/// The rain date was agreed on, whatever its weekday.
fn is_usual_burn_day(event: &Event, on: Date) -> bool {
    event.details.weekdays.contains(on.weekday()) || event.details.rain_on == Some(on)
}

/// So was its weekday, for another one.
pub(super) fn is_usual_rain_date(event: &Event, on: Date) -> bool {
    let is_like_now = event.details.rain_on.is_some_and(|now| now.weekday() == on.weekday());
    event.details.weekdays.contains(on.weekday()) || is_like_now
}
