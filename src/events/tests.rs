//! An event to try things on.

use super::{Details, Event, Format, VisitorFacts, Weekdays};
use crate::zone::Zone;
use time::Weekday;
use time::macros::{date, time};

/// An event to try things on.
pub(crate) fn event(id: i64) -> Event {
    let details = Details {
        name: "Two Rooms, One Spark".to_owned(),
        site: "Alder Bend fairground".to_owned(),
        zone: Zone::named("America/Chicago").unwrap(),
        burn_on: date!(2027 - 01 - 09),
        burn_time: time!(10:00),
        rain_on: Some(date!(2027 - 01 - 16)),
        format: Format::OneAtATime,
        audience: None,
        weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
        visitors: VisitorFacts::default(),
    };
    Event { id, details, date_revision: 1, facts_revision: 1, is_current: true, version: 1 }
}
