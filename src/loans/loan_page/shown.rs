//! The page of one loan, as it is shown.

use super::around::Around;
use super::facts::facts;
use super::steps::{StepLine, steps};
use crate::accounts::{Private, Role, Visit};
use crate::loans::choices::{Step, state_mark, state_says};
use crate::loans::condition::{Difference, Means};
use crate::loans::due_back::{Due, late_says};
use crate::loans::letter::ABOUT;
use crate::loans::loan::Loan;
use crate::loans::problems::Problem;
use crate::loans::snapshot::LoanSnapshot;
use crate::loans::store::Written;
use crate::loans::update_form::{StepForm, can_happen};
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::Reader;
use askama::Template;

/// A letter to the lender, on one line.
pub(super) struct LetterLine {
    pub about: String,
    pub way: String,
    pub says: String,
    pub detail: String,
    pub mail: Option<i64>,
}

impl LetterLine {
    fn of(letter: Written, snapshot: &LoanSnapshot) -> Self {
        let when = Reader::App.near_moment(snapshot.event.details.zone.wall(letter.at), snapshot.today);
        let sent = if letter.mail_id.is_some() { "by email" } else { "on paper" };
        Self {
            says: format!("about {}, {sent}", letter.about),
            detail: format!("{}, {when}", letter.by),
            about: letter.about,
            way: letter.way,
            mail: letter.mail_id,
        }
    }
}

#[derive(Template)]
#[template(path = "loans/loan.html")]
pub(super) struct LoanPage {
    pub page: Page,
    pub event_id: i64,
    pub id: i64,
    pub href: String,
    pub title: String,
    /// Its status, as a mark
    pub step: &'static str,
    /// and as people read it.
    pub state: String,
    pub days_late: Option<i64>,
    pub late: String,
    /// What the records show, as marks
    pub harmed: String,
    /// and as people read it.
    pub harms: String,
    pub due: Due,
    pub is_school: bool,
    pub problems: Vec<Problem>,
    /// It may get too hot where it is to be; empty if not.
    pub too_close: String,
    pub facts: Vec<(&'static str, String)>,
    pub task: Option<(i64, String)>,
    pub phone: String,
    pub elsewhere: Vec<(String, String)>,
    pub next: Next,
    pub request_id: Option<i64>,
    pub differences: Vec<Difference>,
    pub steps: Vec<StepLine>,
    pub can: Vec<Step>,
    pub burn_day: String,
    pub rain_day: String,
    pub form: StepForm,
    pub mistakes: Mistakes,
    pub may_work: bool,
    pub letters: Vec<LetterLine>,
    pub history: Vec<HistoryLine>,
}

/// The next thing to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Next {
    Ask,
    Answer,
    HandOver,
    Return,
    Write,
    Nothing,
}

fn next(snapshot: &LoanSnapshot, loan: &Loan, written: &[Written]) -> Next {
    let about_condition = written.iter().any(|letter| letter.about == ABOUT[1]);
    match snapshot.state(loan) {
        None => Next::Ask,
        Some(Step::Asked) => Next::Answer,
        Some(Step::Promised | Step::Confirmed) => Next::HandOver,
        Some(Step::Collected | Step::Tested) => Next::Return,
        Some(Step::Returned) if !loan.harms().is_empty() && !about_condition => Next::Write,
        Some(Step::Returned | Step::Closed | Step::NotLent) => Next::Nothing,
    }
}

/// What to say about an item that is closer to the rooms than this; nothing about others.
fn too_close(loan: &Loan, meters: f64) -> String {
    let feet = (meters / 0.3048).ceil();
    match loan.details.distance_ft {
        Some(distance) if loan.is_live() && f64::from(distance) < feet => format!(
            "Heat may damage it at {distance} ft from the rooms: by the plan for the fire, things that melt belong at \
             least {feet} ft ({meters:.1} m) away. Screening estimate."
        ),
        _ => String::new(),
    }
}

impl LoanPage {
    pub fn of(
        page: Page,
        visit: &Visit,
        (snapshot, loan): (&LoanSnapshot, &Loan),
        around: Around,
        (form, mistakes): (StepForm, Mistakes),
    ) -> Self {
        let Around { person, task, written, history, melts_within } = around;
        let user = &visit.user;
        let details = &snapshot.event.details;
        Self {
            event_id: loan.event_id,
            id: loan.id,
            href: loan.href(),
            title: loan.title(),
            step: state_mark(snapshot.state(loan)),
            state: state_says(snapshot.state(loan)).to_owned(),
            days_late: snapshot.days_late(loan),
            late: snapshot.days_late(loan).map(late_says).unwrap_or_default(),
            harmed: loan.harmed().into_iter().map(Means::as_str).collect::<Vec<_>>().join(" "),
            harms: loan.harms().join(", "),
            due: snapshot.goes_back(loan),
            is_school: loan.details.is_school,
            problems: snapshot.problems_of(loan),
            too_close: melts_within.map(|meters| too_close(loan, meters)).unwrap_or_default(),
            facts: facts(snapshot, loan, user),
            task: task.map(|task| (task.id, task.details.title)),
            phone: person.map(|person| user.shown(Private::Contact, &person.details.phone)).unwrap_or_default(),
            elsewhere: snapshot.elsewhere(loan),
            next: next(snapshot, loan, &written),
            request_id: loan.request_id,
            differences: loan.differences(),
            steps: steps(snapshot, loan, user),
            can: can_happen(snapshot, loan),
            burn_day: Reader::App.near_day(details.burn_on, snapshot.today),
            rain_day: details.rain_on.map(|on| Reader::App.near_day(on, snapshot.today)).unwrap_or_default(),
            form,
            mistakes,
            may_work: user.role != Role::Reader,
            letters: written.into_iter().map(|letter| LetterLine::of(letter, snapshot)).collect(),
            history,
            page,
        }
    }

    fn is_dated(&self) -> bool {
        self.can.iter().any(|step| step.is_dated())
    }

    fn is_main(&self, next: Next) -> bool {
        self.next == next
    }
}
