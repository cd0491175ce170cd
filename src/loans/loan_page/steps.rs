//! What happened to a loan, as its page shows it.

use crate::accounts::{Private, User};
use crate::loans::choices::Step;
use crate::loans::loan::{Happened, Loan};
use crate::loans::snapshot::LoanSnapshot;
use crate::web::words::{self, Reader};
use time::OffsetDateTime;

/// An update, as the page shows it.
pub(super) struct StepLine {
    pub id: i64,
    /// The update, as a mark: a step, or `answered`.
    pub mark: &'static str,
    /// The dates it counts for, in ISO format.
    pub dates: String,
    /// The answer; empty for anything else.
    pub said: &'static str,
    pub says: String,
    pub detail: String,
    /// The event no longer has the date it counts for.
    pub is_lapsed: bool,
    pub is_taken_back: bool,
    /// It is the latest, so it can be undone.
    pub is_last: bool,
}

impl StepLine {
    fn of(snapshot: &LoanSnapshot, loan: &Loan, happened: &Happened, user: &User) -> Self {
        let day = |on| Reader::App.near_day(on, snapshot.today);
        let dated = happened.for_on.map(|on| format!(" for {}", day(on))).unwrap_or_default();
        let is_lapsed = happened.for_on.is_some_and(|on| !snapshot.dates().contains(&on));
        let lapsed = if is_lapsed { " (date changed)" } else { "" };
        let who = if happened.who.is_empty() { happened.by.clone() } else { happened.who.clone() };
        let note = with_note(user, &happened.note);
        let last = loan.happened().next_back().is_some_and(|last| last.id == happened.id);
        Self {
            id: happened.id,
            mark: happened.step.as_str(),
            dates: happened.for_on.map(words::iso).unwrap_or_default(),
            said: "",
            says: format!("{}{dated}{lapsed}", happened.step.label()),
            detail: format!("{}, {who}{note}", day(happened.on)),
            is_lapsed,
            is_taken_back: happened.is_taken_back,
            is_last: last,
        }
    }
}

/// " · " and the note, for those who may read it.
fn with_note(user: &User, note: &str) -> String {
    let note = user.shown(Private::Notes, note);
    if note.is_empty() { note } else { format!(" · {note}") }
}

/// The updates made by hand and the replies, newest first.
pub(super) fn steps(snapshot: &LoanSnapshot, loan: &Loan, user: &User) -> Vec<StepLine> {
    let noted = loan.steps.iter().map(|happened| (happened.at, StepLine::of(snapshot, loan, happened, user)));
    let mut all: Vec<(OffsetDateTime, StepLine)> = noted.collect();
    if let Some(request) = snapshot.request(loan) {
        let zone = &snapshot.event.details.zone;
        let day = |on| Reader::App.near_day(on, snapshot.today);
        let line = |mark, dates: Vec<String>, says, detail| StepLine {
            id: 0,
            mark,
            dates: dates.join(" "),
            said: "",
            says,
            detail,
            is_lapsed: false,
            is_taken_back: false,
            is_last: false,
        };
        let isos = request.asks.iter().map(|ask| words::iso(ask.for_on)).collect();
        let dates: Vec<String> = request.asks.iter().map(|ask| day(ask.for_on)).collect();
        let asked_on = day(zone.wall(request.asked_at).date());
        let says = format!("asked about {}", dates.join(" and "));
        all.push((request.asked_at, line(Step::Asked.as_str(), isos, says, asked_on)));
        for (ask, answer) in request.asks.iter().flat_map(|ask| ask.answers.iter().map(move |answer| (ask, answer))) {
            let note = with_note(user, &answer.note);
            let detail = format!("{}, {}{note}", day(zone.wall(answer.at).date()), answer.way.how());
            let says = format!("said {} to {}", answer.says(), day(ask.for_on));
            let answered = line("answered", vec![words::iso(ask.for_on)], says, detail);
            all.push((answer.at, StepLine { said: answer.said.as_str(), is_lapsed: ask.is_lapsed, ..answered }));
        }
    }
    all.sort_by_key(|(at, _)| *at);
    all.into_iter().rev().map(|(_, line)| line).collect()
}
