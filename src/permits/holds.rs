//! How a record's rule limits the burn day.

use super::records::Seen;
use crate::calc::calendar::Basis;
use crate::calc::notice::Counted;
use crate::permit_records::Permit;
use crate::web::words;

/// How its rule limits the burn day.
pub(super) struct Holds {
    pub says: String,
    /// The earliest burn day if it is sent today, in ISO format; none once notice was given.
    pub earliest: Option<String>,
}

/// How its rule limits the burn day, counted from today.
pub(super) fn holds(seen: &Seen<'_>, permit: &Permit) -> Option<Holds> {
    let burn_on = seen.event.details.burn_on;
    let notice = permit.holding().filter(|_| seen.today <= burn_on && permit.details.task_id.is_some())?;
    if !notice.holds(seen.calendar, burn_on) {
        let says = format!("Notice was given for {}, so it no longer limits the burn day.", seen.near(burn_on));
        return Some(Holds { says, earliest: None });
    }
    let earliest = notice.rule.earliest(seen.calendar, seen.today);
    let first = seen.near(earliest);
    let arrives = match (notice.rule.counted, notice.rule.delivery) {
        (Counted::Received, days @ 1..) => {
            format!(" and {} for delivery", words::days(u32::from(days), Basis::Calendar))
        }
        _ => String::new(),
    };
    let days = words::days(u32::from(notice.rule.days), notice.rule.basis);
    let says = format!(
        "It limits the burn day: if it goes out today, with {days} of notice{arrives}, the earliest burn day is {first}."
    );
    Some(Holds { says, earliest: Some(words::iso(earliest)) })
}
