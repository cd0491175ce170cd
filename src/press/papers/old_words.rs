//! How releases wrote facts and embargoes before there were marks, and before dates were
//! written the American way ("Saturday 2 January 2027", "13:00").

use super::marks::{BURN_DAY, PHONE, RAIN_DATE, TIME, WHAT_HAPPENS};
use super::paper_facts::{Fact, PaperFacts};
use crate::web::words;
use crate::zone::Zone;
use time::{Date, Time};

/// The facts as texts had them then.
pub(super) fn as_then(facts: &PaperFacts) -> PaperFacts {
    let shown = |fact: &Fact| match fact.mark {
        BURN_DAY => long_day(facts.burn_on),
        RAIN_DATE => facts.rain_on.map_or("None".to_owned(), long_day),
        TIME => fact.raw.clone(),
        WHAT_HAPPENS => format!("Two rooms, furnished alike, are set on fire {}", burned(&fact.raw)),
        PHONE if !fact.raw.is_empty() => fact.raw.clone(),
        _ => fact.shown.clone(),
    };
    let all = facts.all.iter().map(|fact| Fact { shown: shown(fact), ..fact.clone() }).collect();
    PaperFacts { all, ..facts.clone() }
}

fn long_day(on: Date) -> String {
    format!("{} {} {} {}", on.weekday(), on.day(), on.month(), on.year())
}

fn burned(format: &str) -> &'static str {
    if format == "one at a time" {
        "one after the other: one without a home fire sprinkler, one with."
    } else {
        "at the same time: one without a home fire sprinkler, one with."
    }
}

/// The requests to hold a text until then, as they were worded then.
pub(super) fn embargoes(on: Date, at: Time, zone: &Zone) -> [String; 2] {
    let offset = zone.instant(on, at).map(|instant| {
        let minutes = (zone.wall(instant).assume_utc() - instant).whole_minutes();
        let sign = if minutes < 0 { '-' } else { '+' };
        format!(" (UTC{sign}{:02}:{:02})", minutes.abs() / 60, minutes.abs() % 60)
    });
    let (weekday, month) = (on.weekday().to_string(), on.month().to_string());
    let day = format!("{} {} {} {}", &weekday[..3], on.day(), &month[..3], on.year());
    let (clock, offset) = (words::iso_time(at), offset.unwrap_or_default());
    [zone.plain().to_owned(), format!("time of {}", zone.name())]
        .map(|zone| format!("Please hold until {day}, {clock}, {zone}{offset}. This is a request."))
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, time};

    /// Chicago is six hours behind UTC in winter and five in summer.
    #[test]
    fn a_request_to_hold_is_known_again_in_its_old_words() {
        let zone = Zone::named("America/Chicago").unwrap();
        assert_eq!(
            embargoes(date!(2027 - 01 - 02), time!(12:00), &zone),
            [
                "Please hold until Sat 2 Jan 2027, 12:00, Central Time (UTC-06:00). This is a request.",
                "Please hold until Sat 2 Jan 2027, 12:00, time of America/Chicago (UTC-06:00). This is a request.",
            ]
        );
        assert!(embargoes(date!(2027 - 06 - 05), time!(12:00), &zone)[0].contains("(UTC-05:00)"));
    }
}
