//! The emails to someone who comes in another person's place: who sends them, where and
//! when, with a calendar entry, and later that they are no longer needed.

use super::kind::Style;
use super::sender::Senders;
use super::sending::Parties;
use super::{Answer, Ask, Request, Said, calendar, letters, lines, live_burn, store};
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::mail::ics::{self, Entry, Status};
use crate::mail::{self, Calendar, Kind, Letter, Mailbox, Parts};
use crate::people::{self, Person};
use crate::web::link::LinkKey;
use crate::web::words::{self, Reader};
use time::{Duration, OffsetDateTime};

/// The deputy who counts for a date, if they can be emailed.
fn standing<'a>(request: &Request, ask: &'a Ask) -> Option<&'a Answer> {
    let answer = if request.is_withdrawn { None } else { ask.stands() };
    answer.filter(|answer| answer.said == Said::Deputy && !answer.deputy_mail.is_empty())
}

/// Tells a question's deputies what changed for them: one was named, replaced or is no
/// longer coming. `before` is the question as it was; its present state is read again.
pub async fn tell(tx: &mut Tx, event: &Event, before: &Request, key: &LinkKey, now: OffsetDateTime) -> Result<()> {
    if !before.kind.takes_deputy() {
        return Ok(());
    }
    let Some(after) = store::of_request_in(tx, before.id).await? else { return Ok(()) };
    let is_concerned = |request: &Request| request.live().any(|ask| standing(request, ask).is_some());
    if !is_concerned(before) && !is_concerned(&after) {
        return Ok(());
    }
    let Some(person) = people::find(tx, after.person_id).await? else { return Ok(()) };
    let sender = Senders::load(tx).await?.named(after.asked_by);
    let parties = Parties { sender: &sender, person: &person, key };
    for letter in letters_after_answer(event, (before, &after), parties, now)? {
        queue(tx, &letter, now).await?;
    }
    Ok(())
}

/// Queues one of these letters. It replaces any letter still waiting for the same deputy
/// and date, and no deputy is told not to come who was never told to come.
pub async fn queue(tx: &mut Tx, letter: &Letter, now: OffsetDateTime) -> Result<()> {
    let of_deputy = letter.dedup.rsplit_once('/').map_or("", |(key, _)| key).to_owned() + "/";
    mail::cancel_by_key(tx, &of_deputy, "A newer email replaces it.", now).await?;
    let calls_off = letter.dedup.ends_with(CALLED_OFF);
    if !calls_off || mail::may_have_gone(tx, &of_deputy).await? {
        mail::queue(tx, letter, now).await?;
    }
    Ok(())
}

/// The letters needed after a new answer or after withdrawing the question.
///
/// # Errors
/// When a template can't be filled.
pub fn letters_after_answer(
    event: &Event,
    (before, after): (&Request, &Request),
    parties: Parties<'_>,
    now: OffsetDateTime,
) -> Result<Vec<Letter>> {
    let mut letters = Vec::new();
    for ask in after.live() {
        let old = before.live().find(|old| old.id == ask.id).and_then(|old| standing(before, old));
        let new = standing(after, ask);
        if let Some(old) = old.filter(|old| !still_comes(old, after, ask)) {
            letters.push(call_off(event, after, (ask, old), parties, now)?);
        }
        let named = |answer: &Answer| (answer.deputy.clone(), answer.deputy_title.clone());
        let is_told = |new: &Answer| old.is_some_and(|old| same_mail(old, new) && named(old) == named(new));
        if let Some(new) = new.filter(|new| !is_told(new)) {
            letters.push(send(event, after, (ask, new), parties, now)?);
        }
    }
    Ok(letters)
}

/// The letters to deputies after the event changed: a date that is gone leaves their
/// calendar, and one that stays is sent again with its changes. The question is given as
/// it is after the change.
///
/// # Errors
/// When a template can't be filled.
pub fn letters_after_change(
    (old, new): (&Event, &Event),
    request: &Request,
    parties: Parties<'_>,
    now: OffsetDateTime,
) -> Result<Vec<Letter>> {
    let has = |event: &Event, on| on == event.details.burn_on || Some(on) == event.details.rain_on;
    let is_rain = |event: &Event, on| Some(on) == event.details.rain_on;
    let facts = |event: &Event| {
        let details = event.details.clone();
        let visitors = live_burn::for_visitors(&details, request);
        (details.burn_time, details.site, details.name, details.format, details.zone, visitors)
    };
    let mut letters = Vec::new();
    for ask in request.asks.iter().filter(|_| !request.is_withdrawn) {
        let named = |answer: &&Answer| answer.said == Said::Deputy && !answer.deputy_mail.is_empty();
        let Some(answer) = ask.last().filter(named) else { continue };
        let on = ask.for_on;
        if ask.is_lapsed && has(old, on) && !has(new, on) {
            letters.push(call_off(new, request, (ask, answer), parties, now)?);
        } else if !ask.is_lapsed && (facts(old) != facts(new) || is_rain(old, on) != is_rain(new, on)) {
            letters.push(send(new, request, (ask, answer), parties, now)?);
        }
    }
    Ok(letters)
}

/// Is it still the same deputy? Compared by address, or by name, since at the door only
/// a name may be given.
fn still_comes(old: &Answer, after: &Request, ask: &Ask) -> bool {
    let now = if after.is_withdrawn { None } else { ask.stands() };
    now.is_some_and(|now| {
        let is_name = now.deputy_mail.is_empty() && now.deputy.eq_ignore_ascii_case(&old.deputy);
        now.said == Said::Deputy && (same_mail(old, now) || is_name)
    })
}

fn same_mail(one: &Answer, other: &Answer) -> bool {
    one.deputy_mail.eq_ignore_ascii_case(&other.deputy_mail)
}

/// The number of a date's deputy, counting addresses in the order they were named. Each
/// has a calendar entry of their own.
fn number(ask: &Ask, answer: &Answer) -> usize {
    let mut named: Vec<&Answer> = Vec::new();
    for other in ask.answers.iter().rev().filter(|other| !other.deputy_mail.is_empty()) {
        if !named.iter().any(|known| same_mail(known, other)) {
            named.push(other);
        }
    }
    named.iter().position(|known| same_mail(known, answer)).map_or(0, |place| place + 1)
}

/// How the key of a letter that removes an entry ends.
const CALLED_OFF: &str = "-off";

/// Goes up with every answer and every change of the event, so that a calendar takes the
/// newer file as newer (RFC 5546 section 2.1.4).
fn sequence(event: &Event, request: &Request) -> u32 {
    let said = request.asks.iter().map(|ask| ask.answers.len()).sum::<usize>();
    let said = i64::try_from(said).unwrap_or(0);
    let all = said + event.date_revision + event.version + request.version + i64::from(request.is_withdrawn);
    u32::try_from(all).unwrap_or(0)
}

/// Whose deputy they are: "The Honorable Marguerite Vance, Mayor, City of Alder Bend".
fn sent_by(person: &Person) -> String {
    let parts = [person.details.in_full(), person.place()];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

fn send(
    event: &Event,
    request: &Request,
    (ask, answer): (&Ask, &Answer),
    parties: Parties<'_>,
    now: OffsetDateTime,
) -> Result<Letter> {
    let (day, is_rain) = (Reader::Public.day(ask.for_on), Some(ask.for_on) == event.details.rain_on);
    let rain = if is_rain { ", the rain date" } else { "" };
    // A title after the name ends with a comma.
    let comma = if parties.person.place().is_empty() { "" } else { "," };
    let lead = format!("{}{comma} is sending you to {} on {day}{rain}.", sent_by(parties.person), event.details.name);
    let mut facts = vec![(if is_rain { "Rain date" } else { "Day" }.to_owned(), day.clone())];
    let own = |line: &(String, String)| {
        let (label, text) = lines::line_for(Reader::Public, line);
        (if label == "For" { "In place of".to_owned() } else { label }, text)
    };
    facts.extend(request.facts.iter().map(own));
    for (label, text) in [("Time", Reader::Public.time(event.details.burn_time)), ("Where", event.details.site.clone())]
    {
        if facts.iter().all(|(other, _)| other != label && !(label == "Time" && other == "First fire")) {
            facts.push((label.to_owned(), text));
        }
    }
    facts.extend(live_burn::for_visitors(&event.details, request));
    let words = [
        live_burn::about(&event.details),
        "If you can't come, or this is a mistake, call us or reply to this email.".to_owned(),
    ];
    let parts = Parts { lead: &lead, facts: &facts, words: &words, ..Parts::default() };
    let subject = format!("You are coming in place of {}: {day}", parties.person.details.name);
    letter(event, request, (ask, answer), parties, Notice { subject, status: Status::Confirmed, parts }, now)
}

fn call_off(
    event: &Event,
    request: &Request,
    (ask, answer): (&Ask, &Answer),
    parties: Parties<'_>,
    now: OffsetDateTime,
) -> Result<Letter> {
    let day = Reader::Public.day(ask.for_on);
    let lead = format!("You no longer need to come to {} on {day}.", event.details.name);
    let who = letters::sentence(&format!("You were coming in place of {}", sent_by(parties.person)));
    let words = [format!("{who} You don't need to do anything.")];
    let parts = Parts { lead: &lead, words: &words, ..Parts::default() };
    let subject = format!("No longer needed: {day}");
    letter(event, request, (ask, answer), parties, Notice { subject, status: Status::Cancelled, parts }, now)
}

/// What a deputy is told, and what becomes of their calendar entry.
struct Notice<'a> {
    subject: String,
    status: Status,
    parts: Parts<'a>,
}

/// It names no contact record and has no link, since we know the deputy only from what the
/// guest wrote.
fn letter(
    event: &Event,
    request: &Request,
    (ask, answer): (&Ask, &Answer),
    parties: Parties<'_>,
    Notice { subject, status, parts }: Notice<'_>,
    now: OffsetDateTime,
) -> Result<Letter> {
    let Parties { sender, person, key } = parties;
    let (number, sequence) = (number(ask, answer), sequence(event, request));
    let to = Mailbox { name: answer.deputy.clone(), address: answer.deputy_mail.clone() };
    let phone = words::phone(&sender.phone);
    // Whoever comes for a guest gets a formal letter, as the guest did.
    let is_formal = request.kind.style() == Style::Letter;
    let dear = if is_formal { format!("Dear {}:", answer.deputy) } else { String::new() };
    let parts = Parts {
        hello: &answer.deputy,
        dear: &dear,
        from: &sender.name,
        title: if is_formal { &sender.title } else { "" },
        phone: &phone,
        department: &sender.department,
        ..parts
    };
    let (start, end) = calendar::hours(event, request, ask.for_on);
    let entry = Entry {
        uid: format!("deputy-{}-{number}@{}.burnday.invalid", ask.id, key.installation()),
        sequence,
        stamp: now,
        start,
        end,
        summary: format!("{}: in place of {}", event.details.name, person.details.name),
        place: calendar::place(event, request),
        geo: calendar::geo(event),
        description: format!("In place of {}\n{}", sent_by(parties.person), sender.contact()),
        status: Status::Confirmed,
        organizer: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        attendee: Some(to.clone()),
        url: String::new(),
    };
    let entry = if Some(ask.for_on) == event.details.rain_on { entry.hold() } else { entry };
    let is_off = status == Status::Cancelled;
    let entry = if is_off { Entry { status, ..entry } } else { entry };
    let method = entry.method();
    // An invitation needs an organizer's address.
    let calendar = (!sender.mail.is_empty()).then(|| Calendar { method, text: ics::invitation(&entry, method) });
    Ok(Letter {
        kind: Kind::Notice,
        event_id: Some(event.id),
        person_id: None,
        request_id: None,
        facts_revision: Some(event.facts_revision),
        dedup: format!("deputy/{}/{}/{number}/{sequence}{}", request.id, ask.id, if is_off { CALLED_OFF } else { "" }),
        to,
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject,
        body: mail::body(&parts)?,
        calendars: calendar.into_iter().collect(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: (ask.for_on + Duration::DAY).midnight().assume_utc().max(now + Duration::HOUR),
    })
}
