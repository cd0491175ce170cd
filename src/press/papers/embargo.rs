//! The request to hold a text until a date and time.

use super::old_words;
use crate::web::words;
use crate::zone::Zone;
use time::{Date, PrimitiveDateTime, Time};

/// "EMBARGO REQUEST: Please hold until noon Saturday, Jan. 2, 2027, Central Time." It
/// binds only those who agreed to it.
pub(super) fn embargo_says(embargo: Option<(Date, Time)>, zone: &Zone) -> String {
    let Some((on, at)) = embargo else { return String::new() };
    let moment = words::Reader::Press.moment(PrimitiveDateTime::new(on, at));
    format!("EMBARGO REQUEST: Please hold until {moment}, {}.", zone.plain())
}

/// The end of an embargo as the store has it: "2027-01-02 12:00 America/Chicago"; empty
/// without one.
pub(super) fn hold_of(embargo: Option<(Date, Time)>, zone: &Zone) -> String {
    let says = |(on, at)| format!("{} {} {}", words::iso(on), words::iso_time(at), zone.name());
    embargo.map(says).unwrap_or_default()
}

/// Is this the request to hold a text until then, in today's words or in those of before?
pub(super) fn is_embargo_in_words(embargo: Option<(Date, Time)>, words: &str, zone: &Zone) -> bool {
    let is_in_old_words = |(on, at)| old_words::embargoes(on, at, zone).iter().any(|old| old == words);
    words == embargo_says(embargo, zone) || embargo.is_some_and(is_in_old_words)
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, time};

    #[test]
    fn an_embargo_is_a_request_with_time_date_and_zone() {
        let zone = Zone::named("America/Chicago").unwrap();
        assert_eq!(embargo_says(None, &zone), "");
        assert_eq!(
            embargo_says(Some((date!(2027 - 01 - 02), time!(12:00))), &zone),
            "EMBARGO REQUEST: Please hold until noon Saturday, Jan. 2, 2027, Central Time."
        );
    }
}
