//! A burn for tests.

use crate::events::{Details, Format, VisitorFacts, Weekdays};
use crate::zone::Zone;
use time::Weekday;
use time::macros::{date, time};

/// Sat, Oct 9, 2027 at 10:00, with the rain date a week later.
pub(super) fn details() -> Details {
    Details {
        name: "Two Rooms".to_owned(),
        site: "Fairground".to_owned(),
        zone: Zone::named("America/Chicago").unwrap(),
        burn_on: date!(2027 - 10 - 09),
        burn_time: time!(10:00),
        rain_on: Some(date!(2027 - 10 - 16)),
        format: Format::OneAtATime,
        audience: None,
        weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
        visitors: VisitorFacts::default(),
    }
}
