//! The asks of an event, in lines.

use super::form::{AskForm, RecordForm};
use super::telling::TellLine;
use super::{Ask, Kind, Request, Said};
use crate::events::Event;
use crate::people::Person;
use crate::people::choosing::Chooser;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words;
use askama::Template;
use std::collections::HashMap;
use time::{Duration, OffsetDateTime};

/// Silence of this many days is a reason to ring.
const SILENCE: i64 = 7;
/// So near to the closing time a call is due.
const CLOSING: Duration = Duration::days(3);

/// One question on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub id: i64,
    pub who: String,
    pub question: String,
    /// What stands, date by date.
    pub says: Vec<Stands>,
    pub when: String,
    /// The sign before it: see the macro.
    pub sign: &'static str,
    pub state: &'static str,
    pub kind: Kind,
}

/// What stands for one date.
#[derive(Debug)]
pub(super) struct Stands {
    /// The date, as machines have it.
    pub on: String,
    /// What was said to it last; empty without an answer.
    pub said: &'static str,
    pub is_lapsed: bool,
    pub text: String,
}

/// Somebody to ring, and why.
#[derive(Debug)]
pub(super) struct Call {
    pub id: i64,
    pub who: String,
    pub phone: String,
    pub why: String,
    /// The same as a mark.
    pub reason: &'static str,
    /// For so many days they have said nothing.
    pub silent: i64,
    rank: u8,
}

/// How far the questions of one kind are, for one date.
#[derive(Debug)]
pub(super) struct Count {
    pub kind: &'static str,
    pub day: String,
    pub yes: usize,
    pub waiting: usize,
    pub no: usize,
}

pub const STATES: [&str; 6] = ["waiting", "yes", "maybe", "no", "said to an old date", "taken back"];

/// Where a question is: waiting while a date is unanswered, else as the
/// earliest date stands, which is burn day if that was asked about.
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

/// "Sat 9 Jan: yes", "Sat 9 Jan: waiting", "said yes to Sat 2 Jan (date changed)",
/// "said yes to Sat 2 Jan before the date changed" once the date has come back.
fn ask_says(ask: &Ask, event: &Event, now: OffsetDateTime) -> String {
    let day = words::near_day(ask.for_on, event.today(now));
    match (ask.is_lapsed, ask.last()) {
        (true, Some(answer)) => format!("said {} to {day}{}", answer.says(), lapsed(ask, event)),
        (true, None) => format!("was asked about {day}{}", lapsed(ask, event)),
        (false, Some(answer)) => {
            let there = answer.there.map(|there| format!(", {}", there.says())).unwrap_or_default();
            format!("{day}: {}{there}", answer.says())
        }
        (false, None) => format!("{day}: waiting"),
    }
}

/// Why what was said to a lapsed ask doesn't count.
fn lapsed(ask: &Ask, event: &Event) -> &'static str {
    let is_back = ask.for_on == event.details.burn_on || Some(ask.for_on) == event.details.rain_on;
    if is_back { " before the date changed" } else { " (date changed)" }
}

/// What stands, date by date.
pub(super) fn says(request: &Request, event: &Event, now: OffsetDateTime) -> Vec<Stands> {
    let is_asked = request.live().next().is_some();
    // What was said before the date changed is shown until it is asked anew.
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
        when: words::near_day(day, event.today(now)),
        sign: sign(state),
        state,
        kind: request.kind,
    }
}

/// Whom a call is worth most for now: first those whom no mail reaches.
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

/// For so many days nothing was said to a question.
fn silent_days(request: &Request, event: &Event, now: OffsetDateTime) -> i64 {
    (event.today(now) - event.details.zone.wall(newest(request)).date()).whole_days()
}

/// Why to ring somebody: how much it is worth, as a mark, and in words.
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
        return Some((0, "no-mail", format!("no mail address · {stands}")));
    }
    if !person.refused.is_empty() {
        return Some((0, "refused", format!("the mail address was refused · {stands}")));
    }
    if state == "said to an old date" {
        return Some((1, "old-date", stands));
    }
    if request.closes_at - now <= CLOSING {
        return Some((2, "closing", format!("answers close {}", words::near_day(closes, today))));
    }
    if state == "maybe" {
        return Some((3, "maybe", stands));
    }
    (silent >= SILENCE).then(|| (4, "silent", format!("{stands} · silent for {silent} days")))
}

/// For each kind and date that somebody was asked about.
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
                kind: kind.as_str(),
                day: words::near_day(on, event.today(now)),
                yes,
                no,
                waiting: asks.len() - yes - no,
            });
        }
    }
    counts
}

/// Which questions are shown.
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
    /// Those who know something that is no longer true.
    pub tell: Vec<TellLine>,
    pub stale: Vec<Line>,
    pub calls: Vec<Call>,
    pub counts: Vec<Count>,
    pub lines: Vec<Line>,
    pub total: usize,
    pub filter: Filter,
    /// The address of the event's calendar; empty if there is none.
    pub calendar: String,
}

/// Who somebody is, and how a question reaches them.
pub(super) fn reached(person: &Person) -> String {
    let reached = if !person.refused.is_empty() {
        "the mail address was refused; ring"
    } else if person.details.mail.is_empty() {
        "no mail address; ring"
    } else {
        &person.details.mail
    };
    let place = person.place();
    if place.is_empty() { reached.to_owned() } else { format!("{place} · {reached}") }
}

impl Index {
    /// Is the store a copy, so that somebody may know something newer?
    fn is_doubtful(&self) -> bool {
        self.tell.iter().any(|line| line.is_doubtful)
    }

    /// Does an email reach one of those who must be told?
    fn is_mailed(&self) -> bool {
        self.tell.iter().any(|line| line.is_reached)
    }
}

/// A mail as it would go out.
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
    /// Those in the list whom no mail reaches.
    pub to_ring: Vec<String>,
}

#[derive(Debug)]
pub(super) struct AnswerLine {
    /// What was said, on which way, to which date: as marks.
    pub kind: &'static str,
    pub way: &'static str,
    pub on: String,
    /// Would they like to speak? `yes`, `no`, or nothing if it wasn't said.
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
    /// May the reader of the page see how somebody is reached, and what they
    /// need?
    pub sees: bool,
    pub facts: Vec<(String, String)>,
    pub says: Vec<Stands>,
    pub asked: String,
    pub closes: String,
    pub answers: Vec<AnswerLine>,
    /// The dates that an answer can be recorded for.
    pub dates: Vec<(i64, String)>,
    pub form: RecordForm,
    pub mistakes: Mistakes,
    pub may_record: bool,
    pub can_ask_again: bool,
    pub history: Vec<HistoryLine>,
}

/// Every answer to a question, the newest first; what was added to them only
/// for those who see people's details.
pub(super) fn answers(request: &Request, event: &Event, sees: bool, now: OffsetDateTime) -> Vec<AnswerLine> {
    let mut all: Vec<_> = request.asks.iter().flat_map(|ask| ask.answers.iter().map(move |said| (ask, said))).collect();
    all.sort_by_key(|(_, answer)| std::cmp::Reverse(answer.at));
    let line = |(ask, answer): (&Ask, &super::Answer)| {
        let mut detail = vec![format!("by {}", answer.way)];
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
                .map(|wants| if wants { "would like to speak".to_owned() } else { "need not speak".to_owned() }),
        );
        detail.extend(answer.party.map(|party| format!("party of {party}")));
        detail.extend(answer.there.map(|there| format!("can be there {}", there.says())));
        detail.extend(answer.recorded_by.as_ref().map(|who| format!("recorded by {who}")));
        let to = words::near_day(ask.for_on, event.today(now));
        AnswerLine {
            kind: answer.said.as_str(),
            way: answer.way.as_str(),
            on: words::iso(ask.for_on),
            speaks: answer.wants_to_speak.map_or("", |wants| if wants { "yes" } else { "no" }),
            said: format!("{} to {to}{}", answer.says(), if ask.is_lapsed { lapsed(ask, event) } else { "" }),
            detail: detail.join(" · "),
            when: words::moment(event.details.zone.wall(answer.at)),
            is_lapsed: ask.is_lapsed,
        }
    };
    all.into_iter().map(line).collect()
}
