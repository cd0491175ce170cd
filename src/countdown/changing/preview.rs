//! What a change to the event does, shown before it is saved.

use super::telling::ToUpdate;
use crate::asks::Count;
use crate::countdown::moves::{Moves, MovesByPlace};
use crate::error::Result;
use crate::events::{Details, Event, EventForm};
use crate::state::App;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use crate::zone;
use askama::Template;
use time::{Duration, OffsetDateTime};

/// What a change does, shown before it is saved.
#[derive(Template)]
#[template(path = "countdown/change.html")]
pub(super) struct ChangePage {
    page: Page,
    id: i64,
    form: EventForm,
    changes: Vec<(&'static str, String, String)>,
    told: ToUpdate,
    /// "3 hours later"; empty if first ignition stays the same.
    by: String,
    rain_day: String,
    places: MovesByPlace,
}

/// What a change would do.
pub(super) struct Effects {
    told: ToUpdate,
    places: MovesByPlace,
}

impl Effects {
    pub async fn load(app: &App, moves: &Moves, event: &Event, to: &Details, now: OffsetDateTime) -> Result<Self> {
        let told = ToUpdate::load(app, event, to).await?;
        let is_told = event.details.tells_other_than(to);
        let places = if is_told { moves.lines(app, event, to, now).await? } else { Vec::new() };
        Ok(Self { told, places })
    }

    /// Does it concern anyone, or anything in a place?
    pub fn concern_any(&self) -> bool {
        self.told.count != Count::default() || self.places.iter().any(|(_, lines)| !lines.is_empty())
    }
}

pub(super) fn change_page(
    page: Page,
    event: &Event,
    details: &Details,
    form: EventForm,
    effects: Effects,
) -> ChangePage {
    ChangePage {
        page,
        id: event.id,
        form,
        changes: changes(&event.details, details),
        told: effects.told,
        by: later(details.burn_time - event.details.burn_time),
        rain_day: details.rain_on.map(|on| Reader::App.day(on)).unwrap_or_default(),
        places: effects.places.into_iter().filter(|(_, lines)| !lines.is_empty()).collect(),
    }
}

/// What differs: its name, and what it was and will be.
fn changes(old: &Details, details: &Details) -> Vec<(&'static str, String, String)> {
    let rain = |details: &Details| details.rain_on.map_or("none".to_owned(), |on| Reader::App.day(on));
    let place = |details: &Details| details.visitors.place.map(|place| place.to_string()).unwrap_or_default();
    let (visitors, theirs) = (&details.visitors, &old.visitors);
    let all = [
        ("Name", old.name.clone(), details.name.clone()),
        ("Site", old.site.clone(), details.site.clone()),
        ("Time zone", zone::plain(old.zone.name()).to_owned(), zone::plain(details.zone.name()).to_owned()),
        ("First ignition", Reader::App.time(old.burn_time), Reader::App.time(details.burn_time)),
        ("Rain date", rain(old), rain(details)),
        ("Rooms burn", old.format.to_string(), details.format.to_string()),
        ("Street address", theirs.address_line(), visitors.address_line()),
        ("Place on the map", place(old), place(details)),
        ("Parking", theirs.parking.clone(), visitors.parking.clone()),
        ("What to wear", theirs.clothing.clone(), visitors.clothing.clone()),
    ];
    all.into_iter().filter(|(_, was, now)| was != now).collect()
}

/// "3 hours later", "1 hour 30 minutes earlier"; empty for no time.
fn later(by: Duration) -> String {
    let minutes = usize::try_from(by.whole_minutes().unsigned_abs()).unwrap_or(usize::MAX);
    let parts = [(minutes / 60, "hour", "hours"), (minutes % 60, "minute", "minutes")];
    let parts = parts.map(|(number, one, many)| (number > 0).then(|| words::count(number, one, many)));
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let side = if by.is_negative() { "earlier" } else { "later" };
    if parts.is_empty() { String::new() } else { format!("{} {side}", parts.join(" ")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shift_reads_in_hours_and_minutes() {
        assert_eq!(later(Duration::minutes(180)), "3 hours later");
        assert_eq!(later(Duration::minutes(-90)), "1 hour 30 minutes earlier");
        assert_eq!(later(Duration::minutes(20)), "20 minutes later");
        assert_eq!(later(Duration::ZERO), "");
    }
}
