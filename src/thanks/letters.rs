//! What a thank-you letter says.

use super::{Day, Owed, Reason, Whom};
use crate::asks::{Sender, greeted};
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::{Channel, Details, Person};
use crate::web::words;
use time::{Duration, OffsetDateTime};

/// How long we try to send an email. After that someone has to look into it.
const TRIED_FOR: Duration = Duration::days(14);

/// A letter without its greeting and signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Written {
    pub lead: String,
    /// The day and its figures: lines with a label and a text.
    pub facts: Vec<(String, String)>,
    /// The result of the day; may be empty.
    pub result: String,
    /// The keys of what it is for, for `data-` marks.
    pub keys: String,
}

/// Thanks for all of these, with the personal sentence and the day's figures.
pub(super) fn write(event: &Event, day: &Day, reasons: &[&Reason], sentence: &str) -> Written {
    let mut for_what: Vec<String> = Vec::new();
    for reason in reasons {
        let thanks = format!("for {}", reason.thanks);
        if !for_what.contains(&thanks) {
            for_what.push(thanks);
        }
    }
    let thanks = format!("Thank you {}.", words::and(&for_what));
    let lead = if sentence.is_empty() { thanks } else { format!("{thanks} {sentence}") };
    let on = words::Reader::Public.day(event.details.burn_on);
    let place = if event.details.site.is_empty() { on } else { format!("{on}, {}", event.details.site) };
    let mut facts = vec![("Live burn".to_owned(), place)];
    facts.extend(figures(day));
    Written { lead, facts, result: day.result.clone(), keys: keys(reasons) }
}

/// What someone is thanked for, by its keys: "gift/1 request/3".
pub(super) fn keys(reasons: &[&Reason]) -> String {
    reasons.iter().map(|reason| reason.key.as_str()).collect::<Vec<_>>().join(" ")
}

/// The figures that were entered, each with its unit.
pub(super) fn figures(day: &Day) -> Vec<(String, String)> {
    let after = |time: Option<u32>| time.map(|time| format!("{} after the first flame", spelled(time)));
    let flashover = after(day.flashover).map(|text| format!("{text}, in the room without a sprinkler"));
    let all = [
        ("Audience", day.came.map(|came| words::count(usize::try_from(came).unwrap_or(0), "person", "people"))),
        ("Smoke alarm", after(day.alarm)),
        ("Sprinkler", after(day.sprinkler)),
        ("Flashover", flashover),
    ];
    all.into_iter().filter_map(|(label, text)| Some((label.to_owned(), text?))).collect()
}

/// "48 seconds", "3 minutes 40 seconds".
fn spelled(all: u32) -> String {
    let count = |number: u32, one: &str, many: &str| words::count(usize::try_from(number).unwrap_or(0), one, many);
    let (minutes, seconds) = (count(all / 60, "minute", "minutes"), count(all % 60, "second", "seconds"));
    match (all / 60, all % 60) {
        (0, _) => seconds,
        (_, 0) => minutes,
        _ => format!("{minutes} {seconds}"),
    }
}

/// "48 s", "3 min 40 s".
pub(super) fn seconds(all: u32) -> String {
    match (all / 60, all % 60) {
        (0, seconds) => format!("{seconds} s"),
        (minutes, 0) => format!("{minutes} min"),
        (minutes, seconds) => format!("{minutes} min {seconds} s"),
    }
}

/// The parts of a letter that depend on the reader.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reader {
    pub whom: Whom,
    /// The name in lists and on an envelope.
    pub name: String,
    /// What lists are sorted by.
    pub sorts_as: String,
    pub hello: String,
    /// How a letter on paper begins.
    pub dear: String,
    /// Holds an office, so that an email to them is a formal letter too.
    pub is_official: bool,
    /// Lines of an address on paper.
    pub address: Vec<String>,
    /// The person's email; empty if there is none, and for a deputy, whose address is
    /// unknown.
    pub mail: String,
    /// Prefers letters on paper.
    pub likes_paper: bool,
}

impl Reader {
    pub fn of(owed: &Owed, person: &Person) -> Self {
        let details = &person.details;
        let filled = |lines: Vec<String>| lines.into_iter().filter(|line| !line.is_empty()).collect();
        if owed.whom.is_deputy {
            let office = [details.name.as_str(), details.office.as_str()].into_iter().filter(|part| !part.is_empty());
            let office = format!("Office of {}", office.collect::<Vec<_>>().join(", "));
            return Self {
                whom: owed.whom,
                name: owed.deputy.says(),
                sorts_as: Details::of_name(&owed.deputy.name).sorts_as(),
                hello: owed.deputy.name.clone(),
                dear: format!("Dear {}:", owed.deputy.name),
                is_official: false,
                address: filled(vec![owed.deputy.says(), office, details.organization.clone()]),
                mail: String::new(),
                likes_paper: false,
            };
        }
        let post = [details.office.as_str(), details.jurisdiction.as_str()].into_iter().filter(|part| !part.is_empty());
        let post = post.collect::<Vec<_>>().join(", ");
        Self {
            whom: owed.whom,
            name: details.name.clone(),
            sorts_as: details.sorts_as(),
            hello: greeted(person).to_owned(),
            dear: details.salutation(),
            is_official: !details.office.is_empty(),
            address: filled(vec![details.in_full(), post, details.organization.clone()]),
            mail: if person.has_mail() { details.mail.clone() } else { String::new() },
            likes_paper: details.channel == Channel::Letter,
        }
    }

    /// Is their letter printed?
    pub fn on_paper(&self) -> bool {
        self.mail.is_empty() || self.likes_paper
    }
}

/// Who signs: the name below the letter.
pub(super) fn signature(day: &Day, sender: &Sender) -> String {
    match (day.signed_by.as_str(), day.signed_as.as_str()) {
        ("", _) if sender.title.is_empty() => sender.name.clone(),
        ("", _) => format!("{}, {}", sender.name, sender.title),
        (name, "") => name.to_owned(),
        (name, post) => format!("{name}, {post}"),
    }
}

/// The letter as an email. `number` is how often this reader was thanked before.
///
/// # Errors
/// When a template can't be filled.
pub(super) fn mail(
    event: &Event,
    written: &Written,
    reader: &Reader,
    (day, sender): (&Day, &Sender),
    number: usize,
    now: OffsetDateTime,
) -> Result<Letter> {
    let words: Vec<String> = Some(written.result.clone()).into_iter().filter(|words| !words.is_empty()).collect();
    let from = signature(day, sender);
    let parts = Parts {
        hello: &reader.hello,
        dear: if reader.is_official { &reader.dear } else { "" },
        lead: &written.lead,
        facts: &written.facts,
        words: &words,
        from: &from,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    Ok(Letter {
        kind: Kind::Notice,
        event_id: Some(event.id),
        person_id: Some(reader.whom.person_id),
        request_id: None,
        // What has happened stays true, even if the date changes.
        facts_revision: None,
        dedup: format!("thanks/{}/{}/{number}", event.id, reader.whom.key()),
        to: Mailbox { name: reader.name.clone(), address: reader.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Thank you from {}", sender.department),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: now + TRIED_FOR,
    })
}
