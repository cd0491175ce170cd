//! The emails people get about a question.

use super::kind::Style;
use super::lines::facts;
use super::live_burn::about;
use super::sender::{Sender, greeted};
use super::sending::Parties;
use super::{Answer, Ask, Request, Said, Statement, calendar};
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::web::link::Opens;
use crate::web::words::{self, Reader};
use time::{Date, Duration, OffsetDateTime};

/// "The live burn is on Saturday, January 2, 2027. The rain date is Saturday, January 9,
/// 2027."
fn dates(event: &Event, request: &Request) -> String {
    let is_rain = |ask: &Ask| Some(ask.for_on) == event.details.rain_on;
    let is_rain_alone = request.live().all(is_rain);
    let says = |ask: &Ask| {
        let day = Reader::Public.day(ask.for_on);
        match (is_rain(ask), is_rain_alone) {
            (true, true) => format!("We are asking about the rain date, {day}."),
            (true, false) => format!("The rain date is {day}."),
            (false, _) => format!("The live burn is on {day}."),
        }
    };
    request.live().map(says).collect::<Vec<_>>().join(" ")
}

/// How an email about a question begins if it is a formal letter. Empty if it is a friendly
/// message.
fn dear(style: Style, person: &Person) -> String {
    match style {
        Style::Letter => person.details.salutation(),
        Style::LetterToOfficials => person.details.dear_official(),
        Style::Message => String::new(),
    }
}

/// What an email is, before who it is from and to.
pub(super) struct Heading {
    pub kind: Kind,
    pub dedup: String,
    pub subject: String,
    pub due_at: OffsetDateTime,
    pub not_after: OffsetDateTime,
}

impl Heading {
    /// Of a notice that goes out at once, and is of use until the last date it is about.
    pub fn notice(request: &Request, dedup: String, subject: String, now: OffsetDateTime) -> Self {
        Self { kind: Kind::Notice, dedup, subject, due_at: now, not_after: last_moment(request, now) }
    }
}

/// An email about a question, without calendar entries.
pub(super) fn letter(
    heading: Heading,
    event: &Event,
    request: &Request,
    person: &Person,
    sender: &Sender,
    parts: &Parts<'_>,
) -> Result<Letter> {
    let Heading { kind, dedup, subject, due_at, not_after } = heading;
    let (signed, contact, phone) = (sender.signer.as_ref(), sender.contact(), words::phone(&sender.phone));
    let dear = dear(request.kind.style(), person);
    let title = if dear.is_empty() { "" } else { sender.title.as_str() };
    let parts = Parts {
        hello: greeted(person),
        dear: &dear,
        from: signed.map_or(&sender.name, |signer| &signer.name),
        title: signed.map_or(title, |signer| &signer.title),
        phone: if signed.is_some() { "" } else { &phone },
        questions: if signed.is_some() { &contact } else { "" },
        department: &sender.department,
        ..parts.clone()
    };
    Ok(Letter {
        kind,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: Some(request.id),
        facts_revision: Some(event.facts_revision),
        dedup,
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject,
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at,
        not_after,
    })
}

/// Until when they can change an answer.
pub(super) fn until(event: &Event, request: &Request) -> String {
    format!("Until {}, you can change your answer with this link.", closes(event, request))
}

/// By when to answer.
pub(super) fn answer_by(event: &Event, request: &Request) -> String {
    format!("Please answer by {}, with the link above. You can change your answer until then.", closes(event, request))
}

fn closes(event: &Event, request: &Request) -> String {
    Reader::Public.moment(event.details.zone.wall(request.closes_at))
}

/// The sentence, with its period unless it ends in one, as after "10 a.m."
pub(super) fn sentence(text: &str) -> String {
    if text.ends_with('.') { text.to_owned() } else { format!("{text}.") }
}

pub(super) fn press(request: &Request) -> (&'static str, String) {
    ("Answer", Opens::Question.mark(request.id, request.link_number))
}

/// The question itself.
///
/// # Errors
/// When a template can't be filled.
pub fn asking(
    event: &Event,
    request: &Request,
    person: &Person,
    sender: &Sender,
    now: OffsetDateTime,
) -> Result<Letter> {
    let (facts, after) = (facts(event, request, Reader::Public), answer_by(event, request));
    let lead = format!("{} {}", request.question, dates(event, request));
    let mut words = vec![about(&event.details)];
    words.extend(said_before(event, request));
    words.extend(Some(request.words.clone()).into_iter().filter(|words| !words.is_empty()));
    let parts = Parts {
        lead: &lead,
        facts: &facts,
        words: &words,
        press: Some(press(request)),
        after: &after,
        ..Parts::default()
    };
    let said: usize = request.asks.iter().map(|ask| ask.answers.len()).sum();
    let dedup = format!("ask/{}/{}/{}/{said}", request.id, event.facts_revision, request.version);
    let subject = request.question.clone();
    let heading = Heading { kind: Kind::Ask, dedup, subject, due_at: now, not_after: request.closes_at };
    letter(heading, event, request, person, sender, &parts)
}

/// Each date's answer, for a letter that asks about other dates.
fn said_before(event: &Event, request: &Request) -> Vec<String> {
    let answered = request.live().filter_map(|ask| Some((ask, ask.stands()?)));
    answered.map(|(ask, answer)| standing(event, request, ask, answer)).collect()
}

/// What they said to a date we ask about again because it came back.
pub(super) fn said_before_it_came_back(request: &Request) -> Vec<String> {
    let open = request.live().filter(|ask| ask.stands().is_none());
    let before = open.filter_map(|ask| {
        let earlier = request.asks.iter().filter(|other| other.is_lapsed && other.for_on == ask.for_on);
        let answer = earlier.max_by_key(|other| other.id)?.last()?;
        let day = Reader::Public.day(ask.for_on);
        Some(match answer.said {
            Said::Deputy => format!("You were sending {} on {day}, before the date changed.", answer.deputy_says()),
            said => format!("You said {said} to {day}, before the date changed."),
        })
    });
    before.collect()
}

/// "Saturday, January 2, 2027", "the rain date, Saturday, January 9, 2027".
#[must_use]
pub fn day_says(on: Date, is_rain: bool) -> String {
    let day = Reader::Public.day(on);
    if is_rain { format!("the rain date, {day}") } else { day }
}

/// The same for a date we ask about.
pub(super) fn day_of(event: &Event, ask: &Ask) -> String {
    day_says(ask.for_on, Some(ask.for_on) == event.details.rain_on)
}

/// "You said yes to the rain date, Saturday, January 9, 2027."
#[must_use]
pub fn said_to(said: Said, day: &str) -> String {
    format!("You said {said} to {day}.")
}

/// An answer, as we tell it to the person who gave it.
pub(super) fn standing(event: &Event, request: &Request, ask: &Ask, answer: &Answer) -> String {
    let day = day_of(event, ask);
    // A donation isn't for one day.
    let is_dated = !request.kind.takes_offer();
    let said = if is_dated { said_to(answer.said, &day) } else { format!("You said {}.", answer.said) };
    match answer.said {
        Said::Yes | Said::No => said,
        Said::Maybe => format!("{said} Please tell us when you know."),
        Said::Deputy => format!("For {day}, you are sending {}.", answer.deputy_says()),
    }
}

/// A confirmation, so that people have their answers in writing: one for each date, with
/// entries for their calendar. `known` is what they knew before; `promise` is what they
/// promised to donate, if anything.
///
/// # Errors
/// When a template can't be filled.
pub fn confirming(
    event: &Event,
    request: &Request,
    (known, promise): (&Statement, Option<&str>),
    parties: Parties<'_>,
    now: OffsetDateTime,
) -> Result<Letter> {
    let answered: Vec<(&Ask, &Answer)> = request.live().filter_map(|ask| Some((ask, ask.stands()?))).collect();
    let newest = answered.iter().map(|(_, answer)| answer.at).max();
    let (fresh, before): (Vec<_>, Vec<_>) = answered.iter().partition(|(_, answer)| Some(answer.at) == newest);
    let says: Vec<String> = fresh.iter().map(|(ask, answer)| standing(event, request, ask, answer)).collect();
    let lead = format!("{} Thank you.", says.join(" "));
    let mut words: Vec<String> = promise.map(str::to_owned).into_iter().collect();
    words.extend(before.iter().map(|(ask, answer)| standing(event, request, ask, answer)));
    words.extend(open_dates(request).map(|on| format!("We still need your answer for {}.", Reader::Public.day(on))));
    words.push(format!("We asked: {}", request.question));
    words.push(about(&event.details));
    let (facts, after) = (facts(event, request, Reader::Public), until(event, request));
    let parts = Parts {
        lead: &lead,
        facts: &facts,
        words: &words,
        press: Some(("See or change your answer", press(request).1)),
        after: &after,
        ..Parts::default()
    };
    let said: usize = request.asks.iter().map(|ask| ask.answers.len()).sum();
    let dedup = format!("confirm/{}/{said}/{}/{}", request.id, event.facts_revision, request.version);
    let subject = if request.kind.takes_offer() {
        format!("Your answer: {}", fresh.first().map(|(_, answer)| answer.says()).unwrap_or_default())
    } else {
        let answers =
            fresh.iter().map(|(ask, answer)| format!("{}: {}", Reader::Public.day(ask.for_on), answer.says()));
        format!("Your answer for {}", answers.collect::<Vec<_>>().join("; "))
    };
    let heading = Heading::notice(request, dedup, subject, now);
    let letter = letter(heading, event, request, parties.person, parties.sender, &parts)?;
    Ok(Letter { calendars: calendar::attachments(event, request, known, parties, now), ..letter })
}

fn open_dates(request: &Request) -> impl Iterator<Item = Date> {
    request.live().filter(|ask| ask.stands().is_none()).map(|ask| ask.for_on)
}

/// The end of the last date it is about.
pub(super) fn last_moment(request: &Request, now: OffsetDateTime) -> OffsetDateTime {
    let last = request.asks.iter().map(|ask| ask.for_on).max();
    last.map_or(now, |on| (on + Duration::DAY).midnight().assume_utc()).max(now + Duration::DAY)
}

/// Tells someone who may count on it that a question is withdrawn, and takes the entries
/// off their calendar.
///
/// # Errors
/// When a template can't be filled.
pub fn withdrawing(
    event: &Event,
    request: &Request,
    known: &Statement,
    parties: Parties<'_>,
    now: OffsetDateTime,
) -> Result<Letter> {
    let words = [format!("We asked: {}", request.question), about(&event.details)];
    let days: Vec<String> = known.dates.iter().map(|date| Reader::Public.day(date.on)).collect();
    // In a copy of the store, no one knows which days they were told.
    let (at, what) = if days.is_empty() { ("for", event.details.name.clone()) } else { ("on", days.join(", or ")) };
    let need = sentence(&format!("We no longer need you {at} {what}"));
    let lead = format!("{need} You don't need to do anything.");
    let parts = Parts { lead: &lead, words: &words, ..Parts::default() };
    // An earlier one may have failed, or a change may have canceled it.
    let at = now.unix_timestamp();
    let dedup = format!("withdrawn/{}/{}/{}/{at}", request.id, event.facts_revision, request.version);
    let subject = format!("No longer needed: {what}");
    let heading = Heading::notice(request, dedup, subject, now);
    let letter = letter(heading, event, request, parties.person, parties.sender, &parts)?;
    let calendars = calendar::attachments(event, request, known, parties, now);
    Ok(Letter { urgent: true, calendars, ..letter })
}
