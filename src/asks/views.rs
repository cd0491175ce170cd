//! A question and its replies, in the words of the app.

use super::calls::LeftMessage;
use super::{Ask, Request, Said};
use crate::accounts::{Private, User};
use crate::events::Event;
use crate::people::Person;
use crate::web::words::{self, Reader};
use time::OffsetDateTime;

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

/// Is a date still to be decided: not answered, or with a maybe?
pub(super) fn is_undecided(ask: &Ask) -> bool {
    ask.stands().is_none_or(|answer| answer.said == Said::Maybe)
}

/// The sign of a state: see the macro.
pub(super) fn sign(state: &str) -> &'static str {
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
pub(super) fn status(state: &str) -> &'static str {
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

/// When they last answered, or else when they were asked.
pub(super) fn newest(request: &Request) -> OffsetDateTime {
    let answers = request.asks.iter().flat_map(|ask| &ask.answers).map(|answer| answer.at);
    answers.max().unwrap_or(request.asked_at)
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

/// A message someone left.
#[derive(Debug)]
pub(super) struct MessageLine {
    pub detail: String,
    pub when: String,
}

/// The messages left about a question, newest first, with their notes only for users who see
/// them.
pub(super) fn messages(left: &[LeftMessage], event: &Event, user: &User) -> Vec<MessageLine> {
    let line = |one: &LeftMessage| {
        let note = user.shown(Private::Notes, &one.note);
        let note = if note.is_empty() { note } else { format!("note: {note}") };
        let parts = ["by phone".to_owned(), note, format!("recorded by {}", one.by)];
        MessageLine {
            detail: parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · "),
            when: Reader::App.moment(event.details.zone.wall(one.at)),
        }
    };
    left.iter().rev().map(line).collect()
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
