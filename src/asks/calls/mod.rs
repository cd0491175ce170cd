//! Whom to call now, and why. Each person is listed once, with all open questions to them.

pub(super) mod logging;
pub(super) mod store;

use super::texting::Phones;
use super::views::{self, Stands, is_undecided};
use super::{Ask, Request};
use crate::accounts::{Private, User};
use crate::events::Event;
use crate::people::Person;
use crate::web::words::{self, Reader};
use std::collections::HashMap;
use time::{Duration, OffsetDateTime};

pub(super) use store::LeftMessage;

/// This many days without a reply are a reason to call.
const SILENCE: i64 = 7;
/// This close to the closing time, a call is due.
const CLOSING: Duration = Duration::days(3);
/// The most questions to show beneath one person.
const MOST_EACH: usize = 8;

/// Why a question is a reason to call, most useful first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Why {
    NoMail,
    Refused,
    OldDate,
    Closing,
    Maybe,
    Silent,
}

impl Why {
    /// The lower, the sooner to call.
    fn rank(self) -> u8 {
        match self {
            Self::NoMail | Self::Refused => 0,
            Self::OldDate => 1,
            Self::Closing => 2,
            Self::Maybe => 3,
            Self::Silent => 4,
        }
    }

    /// As a mark on pages.
    fn as_str(self) -> &'static str {
        match self {
            Self::NoMail => "no-mail",
            Self::Refused => "refused",
            Self::OldDate => "old-date",
            Self::Closing => "closing",
            Self::Maybe => "maybe",
            Self::Silent => "silent",
        }
    }

    /// In words. The answers so far are beside it. May be empty.
    fn says(self, request: &Request, event: &Event, now: OffsetDateTime) -> String {
        match self {
            Self::NoMail => "no email address".to_owned(),
            Self::Refused => "email to them doesn't get through".to_owned(),
            Self::OldDate | Self::Maybe => String::new(),
            Self::Closing => due(request, event, now),
            Self::Silent => {
                let days = usize::try_from(silent_days(request, event, now)).unwrap_or(0);
                format!("no reply for {}", words::count(days, "day", "days"))
            }
        }
    }
}

/// "answer due by Sat, Jan 2".
pub(super) fn due(request: &Request, event: &Event, now: OffsetDateTime) -> String {
    let closes = event.details.zone.wall(request.closes_at).date();
    format!("answer due by {}", Reader::App.near_day(closes, event.today(now)))
}

/// Can a call still change something in this state?
pub(super) fn is_open(state: &str) -> bool {
    matches!(state, "waiting" | "maybe" | "said to an old date")
}

/// Why to call someone about a question. None if there is no reason yet.
fn why(request: &Request, person: &Person, event: &Event, now: OffsetDateTime) -> Option<Why> {
    let state = views::state(request);
    if !is_open(state) {
        None
    } else if person.details.mail.is_empty() {
        Some(Why::NoMail)
    } else if !person.refused.is_empty() {
        Some(Why::Refused)
    } else if state == "said to an old date" {
        Some(Why::OldDate)
    } else if request.closes_at - now <= CLOSING {
        Some(Why::Closing)
    } else if state == "maybe" {
        Some(Why::Maybe)
    } else {
        (silent_days(request, event, now) >= SILENCE).then_some(Why::Silent)
    }
}

/// Days without a reply to a question.
fn silent_days(request: &Request, event: &Event, now: OffsetDateTime) -> i64 {
    (event.today(now) - event.details.zone.wall(views::newest(request)).date()).whole_days()
}

/// Someone to call, and all open questions to them.
#[derive(Debug)]
pub(super) struct Due<'a> {
    pub person: &'a Person,
    pub requests: Vec<(&'a Request, Option<Why>)>,
    /// Someone left a message today, so the call can wait for the others.
    pub was_called: bool,
}

impl Due<'_> {
    fn rank(&self) -> u8 {
        self.requests.iter().filter_map(|(_, why)| *why).map(Why::rank).min().unwrap_or(u8::MAX)
    }

    /// How many questions are shown beneath them.
    pub fn shown(&self) -> usize {
        self.requests.len().min(MOST_EACH)
    }
}

/// The people asked, and what is known about reaching them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Asked<'a> {
    pub people: &'a HashMap<i64, Person>,
    /// Their places in a list by surname.
    pub places: &'a HashMap<i64, usize>,
    /// The messages left, by question and oldest first.
    pub left: &'a HashMap<i64, Vec<LeftMessage>>,
}

/// Everyone to call today among the people asked these questions, the most useful call
/// first. People who got a message today come after the others.
pub(super) fn all<'a>(
    requests: impl Iterator<Item = &'a Request>,
    Asked { people, places, left }: Asked<'a>,
    event: &Event,
    now: OffsetDateTime,
) -> Vec<Due<'a>> {
    let today = event.today(now);
    let is_today = |one: &LeftMessage| event.details.zone.wall(one.at).date() == today;
    let mut to: HashMap<i64, Due<'a>> = HashMap::new();
    for request in requests.filter(|request| is_open(views::state(request))) {
        let Some(person) = people.get(&request.person_id) else { continue };
        let due = to.entry(person.id).or_insert_with(|| Due { person, requests: Vec::new(), was_called: false });
        due.requests.push((request, why(request, person, event, now)));
        due.was_called |= left.get(&request.id).is_some_and(|left| left.iter().any(is_today));
    }
    let mut all: Vec<Due<'a>> = to.into_values().filter(|due| due.rank() < u8::MAX).collect();
    all.sort_by_cached_key(|due| (due.was_called, due.rank(), places.get(&due.person.id)));
    all
}

/// Someone to call, as the list shows them.
#[derive(Debug)]
pub(super) struct Caller {
    pub person_id: i64,
    pub who: String,
    pub place: String,
    pub phone: String,
    /// The link that calls them. May be empty.
    pub call: String,
    pub was_called: bool,
    pub questions: Vec<OpenLine>,
    /// Open questions that aren't shown.
    pub more: usize,
}

/// An open question beneath whoever is called.
#[derive(Debug)]
pub(super) struct OpenLine {
    pub id: i64,
    pub question: String,
    /// Why it is a reason to call, as a mark and in words. Either may be empty.
    pub why: &'static str,
    pub why_says: String,
    /// Days without a reply.
    pub silent: i64,
    pub says: Vec<Stands>,
    /// "left a message Mon, Nov 30". May be empty.
    pub left: String,
    /// The link that texts the question to them. May be empty.
    pub text: String,
    /// The dates to record a reply for.
    pub dates: Vec<(i64, String)>,
}

impl Caller {
    pub fn of(due: &Due<'_>, left: &HashMap<i64, Vec<LeftMessage>>, phones: &Phones<'_>, records: bool) -> Self {
        let person = due.person;
        let shown = due.requests.iter().take(MOST_EACH);
        Self {
            person_id: person.id,
            who: person.details.name.clone(),
            place: person.place(),
            phone: phones.number(person),
            call: phones.call(person),
            was_called: due.was_called,
            questions: shown.map(|one| OpenLine::of(*one, (person, left), phones, records)).collect(),
            more: due.requests.len() - due.shown(),
        }
    }
}

impl OpenLine {
    fn of(
        (request, why): (&Request, Option<Why>),
        (person, left): (&Person, &HashMap<i64, Vec<LeftMessage>>),
        phones: &Phones<'_>,
        records: bool,
    ) -> Self {
        let (event, now) = (phones.event, phones.now);
        let why = why.filter(|why| phones.user.sees(Private::Contact) || !matches!(why, Why::NoMail | Why::Refused));
        let day = |ask: &Ask| (ask.id, Reader::App.near_day(ask.for_on, event.today(now)));
        let dates = request.live().filter(|ask| is_undecided(ask) && records && !request.kind.takes_offer());
        Self {
            id: request.id,
            question: request.question.clone(),
            why: why.map_or("", Why::as_str),
            why_says: why.map(|why| why.says(request, event, now)).unwrap_or_default(),
            silent: silent_days(request, event, now),
            says: views::says(request, event, now),
            left: left.get(&request.id).map(|left| says(left, phones.user, event, now)).unwrap_or_default(),
            text: phones.text(request, person),
            dates: dates.map(day).collect(),
        }
    }
}

/// "left a message Mon, Nov 30: call after six", "left 2 messages, the last Mon, Nov 30".
/// The messages are oldest first, and the note is only for users who see notes.
pub(super) fn says(left: &[LeftMessage], user: &User, event: &Event, now: OffsetDateTime) -> String {
    let Some(last) = left.last() else { return String::new() };
    let day = Reader::App.near_day(event.details.zone.wall(last.at).date(), event.today(now));
    let note = user.shown(Private::Notes, &last.note);
    let note = if note.is_empty() { note } else { format!(": {note}") };
    match left.len() {
        1 => format!("left a message {day}{note}"),
        many => format!("left {}, the last {day}{note}", words::count(many, "message", "messages")),
    }
}
