//! The hours when only urgent email goes out, by the local clock of each event.

use super::outside::Zones;
use crate::calc::reminder::Quiet;
use crate::web::words::Reader;
use crate::zone::Zone;
use serde::Serialize;
use time::{OffsetDateTime, Time};

/// Only urgent messages go out in these hours.
const NIGHT: Quiet = Quiet::USUAL;

/// Where messages belong that go by the same clock, and what time it is there.
#[derive(Debug, Clone, Serialize)]
pub struct Place {
    /// None for messages that belong to no event.
    pub event_id: Option<i64>,
    /// When the night ends; None by day.
    pub night_until: Option<i64>,
    /// When the day began; None at night.
    pub day_since: Option<i64>,
}

/// Is it night, when only urgent email goes out?
#[must_use]
pub fn is_night(zone: &Zone, now: OffsetDateTime) -> bool {
    let time = zone.wall(now).time();
    !(NIGHT.until..NIGHT.from).contains(&time)
}

/// When the night ends, by the local clock; None by day.
#[must_use]
pub fn goes_out_at(zone: &Zone, now: OffsetDateTime) -> Option<Time> {
    is_night(zone, now).then_some(NIGHT.until)
}

/// When an email that was just written goes out, if that isn't now: " Email waits
/// overnight and goes out at 08:00."
#[must_use]
pub fn night_note(zone: &Zone, now: OffsetDateTime) -> String {
    let says = |at| format!(" Email waits overnight and goes out at {}.", Reader::App.time(at));
    goes_out_at(zone, now).map(says).unwrap_or_default()
}

/// All places with the time there.
pub fn places(zones: &Zones, now: OffsetDateTime) -> Vec<Place> {
    let events = zones.events.iter().map(|(id, zone)| (Some(*id), Some(zone)));
    let all = events.chain([(None, zones.elsewhere.as_ref())]);
    all.map(|(event_id, zone)| place(event_id, zone, now)).collect()
}

fn place(event_id: Option<i64>, zone: Option<&Zone>, now: OffsetDateTime) -> Place {
    let morning = zone.and_then(|zone| morning(zone, now));
    let (night_until, day_since) =
        if zone.is_some_and(|zone| is_night(zone, now)) { (morning, None) } else { (None, morning) };
    Place { event_id, night_until, day_since }
}

/// The end of this night, or of the last one.
fn morning(zone: &Zone, now: OffsetDateTime) -> Option<i64> {
    let wall = zone.wall(now);
    let today = wall.date();
    let on = if wall.time() >= NIGHT.from { today.next_day().unwrap_or(today) } else { today };
    zone.instant(on, NIGHT.until).map(OffsetDateTime::unix_timestamp)
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::datetime;

    #[test]
    fn the_night_ends_at_eight_by_the_clock_of_the_place() {
        let zones = Zones { events: vec![(1, Zone::named("America/Chicago").unwrap())], elsewhere: None };
        let until = |now| places(&zones, now)[0].night_until;
        let eight = datetime!(2026-11-26 14:00 UTC).unix_timestamp();
        assert_eq!(until(datetime!(2026-11-26 02:59 UTC)), None);
        assert_eq!(until(datetime!(2026-11-26 03:00 UTC)), Some(eight));
        assert_eq!(until(datetime!(2026-11-26 13:59 UTC)), Some(eight));
        assert_eq!(until(datetime!(2026-11-26 14:00 UTC)), None);
        // The night when the clocks go forward is an hour shorter.
        let summer = datetime!(2027-03-14 13:00 UTC).unix_timestamp();
        assert_eq!(until(datetime!(2027-03-14 03:30 UTC)), Some(summer));
    }
}
