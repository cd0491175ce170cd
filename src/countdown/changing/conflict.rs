//! Both versions of an event that someone else changed in the meantime.

use crate::events::{Event, EventForm};
use crate::web::conflict::Conflict;
use crate::web::form;
use crate::web::words::Reader;
use crate::zone;

pub(super) fn stale(event: &Event, mine: &EventForm) -> Conflict {
    let theirs = EventForm::of(event);
    let mut conflict = Conflict::new(&event.details.name, format!("/events/{}/edit", event.id), event.version);
    conflict.field("name", "Name", &theirs.name, &mine.name);
    conflict.field("site", "Site", &theirs.site, &mine.site);
    conflict.compare("Time zone", zone::plain(&theirs.zone), zone::plain(&mine.zone));
    conflict.silent("zone", &mine.zone);
    conflict.field("burn_time", "First ignition", &theirs.burn_time, &mine.burn_time);
    conflict.compare("Rain date", &day(&theirs.rain_on), &day(&mine.rain_on));
    conflict.silent("rain_on", &mine.rain_on);
    conflict.field("format", "Rooms burn", &theirs.format, &mine.format);
    conflict.field("audience", "People expected", &theirs.audience, &mine.audience);
    conflict.list("weekday", "Weekdays", &theirs.weekday, &mine.weekday);
    conflict.field("address", "Street address", &theirs.address, &mine.address);
    conflict.field("coordinates", "Place on the map", &theirs.coordinates, &mine.coordinates);
    conflict.field("parking", "Parking", &theirs.parking, &mine.parking);
    conflict.field("clothing", "What to wear", &theirs.clothing, &mine.clothing);
    conflict
}

/// A day from a form, as people read it.
fn day(typed: &str) -> String {
    form::day(typed).map_or_else(|_| typed.to_owned(), |on| Reader::App.day(on))
}
