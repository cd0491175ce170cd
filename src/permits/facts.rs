//! What is known about a record, beside its label.

use super::records::Seen;
use crate::accounts::{Private, User};
use crate::calc::notice::Heard;
use crate::permit_records::{Permit, Rule, deadline_says, heard_says, rule_says};
use crate::web::words;
use time::Date;

/// What is known about a record, beside its label.
pub(super) struct Fact {
    pub label: &'static str,
    pub text: String,
    /// For a date: the day, and what the authority knows about it, for scripts and tests.
    pub heard: Option<(String, &'static str)>,
}

pub(super) fn facts(seen: &Seen<'_>, user: &User, permit: &Permit) -> Vec<Fact> {
    let details = &permit.details;
    let day = |on: Option<Date>| on.map(|on| seen.near(on)).unwrap_or_default();
    let learned = details.rule.learned().map(|learned| match learned.on {
        Some(on) => format!("{}, {}", learned.by, seen.near(on)),
        None => "not recorded".to_owned(),
    });
    let fact = |label, text| Fact { label, text, heard: None };
    let dated = |label, on: Date| {
        let (text, heard) = heard(seen, permit, on);
        Fact { label, text, heard: Some((words::iso(on), heard)) }
    };
    let event = &seen.event.details;
    let facts = [
        fact("Type", details.kind.to_string()),
        fact("Authority", authority(user, permit)),
        fact("Number", details.number.clone()),
        fact("Notice rule", rule_says(&details.rule)),
        fact("Asked by", learned.unwrap_or_default()),
        dated("Burn day", event.burn_on),
        event.rain_on.map_or_else(|| fact("Rain date", String::new()), |on| dated("Rain date", on)),
        fact("Granted", day(details.granted_on)),
        fact("Expires", day(details.expires_on)),
        fact("Conditions", details.conditions.clone()),
        fact("Notes", user.shown(Private::Notes, &details.notes)),
    ];
    facts.into_iter().filter(|fact| !fact.text.is_empty()).collect()
}

/// What the authority knows about a date, in words and as a mark: "Sat, Oct 9: not sent
/// yet for this date; must be sent by …". Without words, nothing is known.
fn heard(seen: &Seen<'_>, permit: &Permit, day: Date) -> (String, &'static str) {
    let on = seen.near(day);
    match &permit.details.rule {
        Rule::Days { rule, .. } if permit.dates_wanted(&seen.event.details).contains(&day) => {
            let Some(heard) = permit.heard(seen.calendar, day) else { return (String::new(), "") };
            let says = heard_says(heard, rule.counted, seen.today);
            let by = || deadline_says(*rule, seen.calendar, day, seen.today);
            match heard {
                Heard::Granted => (format!("{on}: {says}"), "granted"),
                Heard::InTime(_) => (format!("{on}: {says}"), "in-time"),
                Heard::UnderWay(_) => (format!("{on}: {says}; {}", by()), "under-way"),
                Heard::TooLate(_) => (format!("{on}: {says}; {}", by()), "too-late"),
                Heard::Not => (format!("{on}: {says}; {}", by()), "not"),
            }
        }
        _ if permit.is_granted_for(day) => (format!("{on}: granted"), "granted"),
        _ if permit.names(day) => (format!("{on}: on what was sent"), "sent"),
        _ => (String::new(), ""),
    }
}

/// Who decides and how to reach them, which not everyone may see.
pub(super) fn authority(user: &User, permit: &Permit) -> String {
    let details = &permit.details;
    let mut parts = vec![details.authority.clone()];
    let (person, phone) = (details.person.as_deref().unwrap_or_default(), words::phone(&details.phone));
    parts.extend([person, &phone, &details.mail].map(|part| user.shown(Private::Contact, part)));
    parts.retain(|part| !part.is_empty());
    parts.join(" · ")
}

/// When the conditions were read back, and who recorded it; empty if they weren't.
pub(super) fn read_back(seen: &Seen<'_>, permit: &Permit) -> String {
    permit.read_back.as_ref().map(|(on, by)| format!("{}, recorded by {by}", seen.near(*on))).unwrap_or_default()
}
