//! An event's questions and replies, line by line.

use super::form::{AskForm, RecordForm};
use super::telling::TellLine;
use super::{Ask, Kind, Request, Said};
use crate::events::Event;
use crate::people::Person;
use crate::people::choosing::Chooser;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use std::collections::HashMap;
use time::{Duration, OffsetDateTime};

/// This many days without a reply are a reason to call.
const SILENCE: i64 = 7;
/// This close to the closing time, a call is due.
const CLOSING: Duration = Duration::days(3);

/// One question on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub id: i64,
    pub who: String,
    pub question: String,
    /// The answers, date by date.
    pub says: Vec<Stands>,
    pub when: String,
    /// The sign before it: see the macro.
    pub sign: &'static str,
    /// One of [`STATES`],
    pub state: &'static str,
    /// and its label.
    pub status: &'static str,
    pub kind: Kind,
}

/// The answer for one date.
#[derive(Debug)]
pub(super) struct Stands {
    /// The date in machine form.
    pub on: String,
    /// The newest answer. Empty without one.
    pub said: &'static str,
    pub is_lapsed: bool,
    pub text: String,
}

/// Someone to call, and why.
#[derive(Debug)]
pub(super) struct Call {
    pub id: i64,
    pub who: String,
    pub phone: String,
    pub why: String,
    /// The same as a mark.
    pub reason: &'static str,
    /// Days without a reply.
    pub silent: i64,
    rank: u8,
}

/// The replies to one kind of question, for one date.
#[derive(Debug)]
pub(super) struct Count {
    pub kind: &'static str,
    pub day: String,
    pub yes: usize,
    pub waiting: usize,
    pub no: usize,
}

/// The states a question can be in, as addresses have them and as people read them.
pub const STATES: [(&str, &str); 6] = [
    ("waiting", "waiting for a reply"),
    ("yes", "yes"),
    ("maybe", "maybe"),
    ("no", "no"),
    ("said to an old date", "answered for an old date"),
    ("taken back", "withdrawn"),
];

/// A question's state: waiting while a date has no answer, or else the answer for the
/// earliest date, which is burn day if it asks about that.
pub(super) fn state(request: &Request) -> &'static str {
    let mut said = request.live().map(|ask| ask.stands().map(|answer| answer.said));
    if request.is_withdrawn {
        return "taken back";
    }
    let Some(first) = said.next() else { return "said to an old date" };
    match first {
        _ if said.any(|other| other.is_none()) => "waiting",
        None => "waiting",
        Some(Said::Yes | Said::Deputy) => "yes",
        Some(Said::Maybe) => "maybe",
        Some(Said::No) => "no",
    }
}

fn sign(state: &str) -> &'static str {
    match state {
        "yes" => "done",
        "waiting" => "waiting",
        "maybe" => "risk",
        "said to an old date" => "late",
        "no" | "taken back" => "dropped",
        _ => "todo",
    }
}

/// How people read a state.
fn status(state: &str) -> &'static str {
    STATES.iter().find(|(known, _)| *known == state).map_or("", |(_, label)| *label)
}

/// "Sat, Jan 9: yes", "Sat, Jan 9: waiting for a reply", "Sat, Jan 2: yes (date changed)",
/// and "Sat, Jan 2: yes, before the date changed" once the date has come back.
fn ask_says(ask: &Ask, event: &Event, now: OffsetDateTime) -> String {
    let day = Reader::App.near_day(ask.for_on, event.today(now));
    match (ask.is_lapsed, ask.last()) {
        (true, Some(answer)) => format!("{day}: {}{}", answer.says(), lapsed(ask, event)),
        (true, None) => format!("{day}: no reply{}", lapsed(ask, event)),
        (false, Some(answer)) => {
            let there = answer.there.map(|there| format!(", {}", there.says())).unwrap_or_default();
            format!("{day}: {}{there}", answer.says())
        }
        (false, None) => format!("{day}: waiting for a reply"),
    }
}

/// Why an answer to a lapsed ask doesn't count.
fn lapsed(ask: &Ask, event: &Event) -> &'static str {
    let is_back = ask.for_on == event.details.burn_on || Some(ask.for_on) == event.details.rain_on;
    if is_back { ", before the date changed" } else { " (date changed)" }
}

/// The answers, date by date.
pub(super) fn says(request: &Request, event: &Event, now: OffsetDateTime) -> Vec<Stands> {
    let is_asked = request.live().next().is_some();
    // Answers from before the date changed are shown until they are asked again.
    let shown = request.asks.iter().filter(|ask| !ask.is_lapsed || !is_asked);
    let stands = |ask: &Ask| Stands {
        on: words::iso(ask.for_on),
        said: ask.last().map_or("", |answer| answer.said.as_str()),
        is_lapsed: ask.is_lapsed,
        text: ask_says(ask, event, now),
    };
    shown.map(stands).collect()
}

fn newest(request: &Request) -> OffsetDateTime {
    let answers = request.asks.iter().flat_map(|ask| &ask.answers).map(|answer| answer.at);
    answers.max().unwrap_or(request.asked_at)
}

pub(super) fn line(request: &Request, name: &str, event: &Event, now: OffsetDateTime) -> Line {
    let state = state(request);
    let day = event.details.zone.wall(newest(request)).date();
    Line {
        id: request.id,
        who: name.to_owned(),
        question: request.question.clone(),
        says: says(request, event, now),
        when: Reader::App.near_day(day, event.today(now)),
        sign: sign(state),
        state,
        status: status(state),
        kind: request.kind,
    }
}

/// The most useful calls to make now: first to people whom email doesn't reach.
pub(super) fn calls(
    requests: &[Request],
    people: &HashMap<i64, Person>,
    event: &Event,
    sees_people: bool,
    now: OffsetDateTime,
) -> Vec<Call> {
    let mut calls: Vec<Call> = requests
        .iter()
        .filter_map(|request| {
            let person = people.get(&request.person_id)?;
            let (rank, reason, why) = reason(request, person, event, now)?;
            let phone = if sees_people { person.details.phone.clone() } else { String::new() };
            let silent = silent_days(request, event, now);
            Some(Call { id: request.id, who: person.details.name.clone(), phone, why, reason, silent, rank })
        })
        .collect();
    calls.sort_by(|a, b| (a.rank, &a.who).cmp(&(b.rank, &b.who)));
    calls
}

/// Days without a reply to a question.
fn silent_days(request: &Request, event: &Event, now: OffsetDateTime) -> i64 {
    (event.today(now) - event.details.zone.wall(newest(request)).date()).whole_days()
}

/// Why to call someone: how useful it is, as a mark, and in words.
fn reason(
    request: &Request,
    person: &Person,
    event: &Event,
    now: OffsetDateTime,
) -> Option<(u8, &'static str, String)> {
    let state = state(request);
    if !matches!(state, "waiting" | "maybe" | "said to an old date") {
        return None;
    }
    let today = event.today(now);
    let closes = event.details.zone.wall(request.closes_at).date();
    let stands = says(request, event, now).into_iter().map(|one| one.text).collect::<Vec<_>>().join(" · ");
    let silent = silent_days(request, event, now);
    if person.details.mail.is_empty() {
        return Some((0, "no-mail", format!("no email address · {stands}")));
    }
    if !person.refused.is_empty() {
        return Some((0, "refused", format!("email to them was refused · {stands}")));
    }
    if state == "said to an old date" {
        return Some((1, "old-date", stands));
    }
    if request.closes_at - now <= CLOSING {
        return Some((2, "closing", format!("answer due by {}", Reader::App.near_day(closes, today))));
    }
    if state == "maybe" {
        return Some((3, "maybe", stands));
    }
    (silent >= SILENCE).then(|| {
        let days = words::count(usize::try_from(silent).unwrap_or(0), "day", "days");
        (4, "silent", format!("{stands} · no reply for {days}"))
    })
}

/// For each kind and date that someone was asked about.
pub(super) fn counts(requests: &[Request], event: &Event, now: OffsetDateTime) -> Vec<Count> {
    let mut counts = Vec::new();
    for kind in Kind::ALL {
        for on in [Some(event.details.burn_on), event.details.rain_on].into_iter().flatten() {
            let asked = requests.iter().filter(|request| request.kind == kind && !request.is_withdrawn);
            let asks: Vec<&Ask> = asked.flat_map(Request::live).filter(|ask| ask.for_on == on).collect();
            if asks.is_empty() {
                continue;
            }
            let many = |wanted: fn(Said) -> bool| {
                asks.iter().filter(|ask| ask.stands().is_some_and(|answer| wanted(answer.said))).count()
            };
            let yes = many(|said| matches!(said, Said::Yes | Said::Deputy));
            let no = many(|said| said == Said::No);
            counts.push(Count {
                kind: kind.label(),
                day: Reader::App.near_day(on, event.today(now)),
                yes,
                no,
                waiting: asks.len() - yes - no,
            });
        }
    }
    counts
}

/// Which questions to show.
#[derive(Debug, Default, Clone, serde::Deserialize)]
#[serde(default)]
pub(super) struct Filter {
    pub kind: String,
    pub state: String,
}

impl Filter {
    pub fn fits(&self, line: &Line) -> bool {
        (self.kind.is_empty() || line.kind.as_str() == self.kind) && (self.state.is_empty() || line.state == self.state)
    }
}

#[derive(Template)]
#[template(path = "asks/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    pub burn_day: String,
    /// People with out-of-date details.
    pub tell: Vec<TellLine>,
    pub stale: Vec<Line>,
    pub calls: Vec<Call>,
    pub counts: Vec<Count>,
    pub lines: Vec<Line>,
    pub total: usize,
    pub filter: Filter,
    /// The address of the event's calendar. Empty if there is none.
    pub calendar: String,
}

/// Who someone is, and how a question reaches them.
pub(super) fn reached(person: &Person) -> String {
    let reached = if !person.refused.is_empty() {
        "email to them was refused: call"
    } else if person.details.mail.is_empty() {
        "no email address: call"
    } else {
        &person.details.mail
    };
    let place = person.place();
    if place.is_empty() { reached.to_owned() } else { format!("{place} · {reached}") }
}

impl Index {
    /// Is the store a copy, so that someone may know something newer?
    fn is_doubtful(&self) -> bool {
        self.tell.iter().any(|line| line.is_doubtful)
    }

    /// Does email reach any of the people to update?
    fn is_mailed(&self) -> bool {
        self.tell.iter().any(|line| line.is_reached)
    }
}

/// An email as it would go out.
#[derive(Debug)]
pub(super) struct Preview {
    pub to: String,
    pub subject: String,
    pub text: String,
}

#[derive(Template)]
#[template(path = "asks/new.html")]
pub(super) struct New {
    pub page: Page,
    pub event_id: i64,
    pub burn_day: String,
    pub rain_day: String,
    pub form: AskForm,
    pub mistakes: Mistakes,
    pub chooser: Chooser,
    pub previews: Vec<Preview>,
    /// The people chosen whom email doesn't reach.
    pub to_ring: Vec<String>,
}

#[derive(Debug)]
pub(super) struct AnswerLine {
    /// The answer, how it came and the date, as marks.
    pub kind: &'static str,
    pub way: &'static str,
    pub on: String,
    /// Would they like to speak? `yes`, `no`, or nothing if they didn't say.
    pub speaks: &'static str,
    pub said: String,
    pub detail: String,
    pub when: String,
    pub is_lapsed: bool,
}

#[derive(Template)]
#[template(path = "asks/request.html")]
pub(super) struct RequestPage {
    pub page: Page,
    pub event_id: i64,
    pub request: Request,
    pub who: String,
    pub person_place: String,
    pub mail: String,
    pub phone: String,
    /// May the user see how to reach people and what they need?
    pub sees: bool,
    pub facts: Vec<(String, String)>,
    pub says: Vec<Stands>,
    pub asked: String,
    pub closes: String,
    pub answers: Vec<AnswerLine>,
    /// The dates a reply can be recorded for.
    pub dates: Vec<(i64, String)>,
    pub form: RecordForm,
    pub mistakes: Mistakes,
    pub may_record: bool,
    pub can_ask_again: bool,
    pub history: Vec<HistoryLine>,
}

/// Every answer to a question, newest first, with what was added to it only for users
/// who see personal details.
pub(super) fn answers(request: &Request, event: &Event, sees: bool, now: OffsetDateTime) -> Vec<AnswerLine> {
    let mut all: Vec<_> = request.asks.iter().flat_map(|ask| ask.answers.iter().map(move |said| (ask, said))).collect();
    all.sort_by_key(|(_, answer)| std::cmp::Reverse(answer.at));
    let line = |(ask, answer): (&Ask, &super::Answer)| {
        let mut detail = vec![answer.way.how().to_owned()];
        let parts = [(&answer.evidence, ""), (&answer.note, "note: "), (&answer.access_needs, "needs: ")];
        detail.extend(
            parts.iter().filter(|(text, _)| sees && !text.is_empty()).map(|(text, label)| format!("{label}{text}")),
        );
        detail.extend(
            Some(answer.deputy_reached()).filter(|text| sees && !text.is_empty()).map(|text| format!("deputy: {text}")),
        );
        detail.extend(
            answer
                .wants_to_speak
                .map(|wants| if wants { "would like to speak".to_owned() } else { "doesn't need to speak".to_owned() }),
        );
        detail.extend(answer.party.map(|party| format!("party of {party}")));
        detail.extend(answer.there.map(|there| format!("can be there {}", there.says())));
        detail.extend(answer.recorded_by.as_ref().map(|who| format!("recorded by {who}")));
        let to = Reader::App.near_day(ask.for_on, event.today(now));
        AnswerLine {
            kind: answer.said.as_str(),
            way: answer.way.as_str(),
            on: words::iso(ask.for_on),
            speaks: answer.wants_to_speak.map_or("", |wants| if wants { "yes" } else { "no" }),
            said: format!("{}{}", answer.says_to(&to), if ask.is_lapsed { lapsed(ask, event) } else { "" }),
            detail: detail.join(" · "),
            when: Reader::App.moment(event.details.zone.wall(answer.at)),
            is_lapsed: ask.is_lapsed,
        }
    };
    all.into_iter().map(line).collect()
}
