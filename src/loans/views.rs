//! The pages about loans, line by line.

use super::condition::{Difference, Means};
use super::form::LoanForm;
use super::snapshot::{Due, LoanSnapshot, Problem};
use super::store::{Noted, Written};
use super::{Free, Happened, Loan, Step, date_name, letters, routes};
use crate::accounts::{Private, Role, User, Visit};
use crate::asks::Unlisted;
use crate::countdown::Task;
use crate::db::journal::JournalEntry;
use crate::people::choosing::{Adding, Chooser};
use crate::people::{Name, Person};
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

/// A loan on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub id: i64,
    /// Its status, as a mark.
    pub step: &'static str,
    /// When it is due back, unless it is back or fell through.
    pub due_on: Option<Date>,
    /// How many days it is late.
    pub late: Option<i64>,
    pub title: String,
    pub href: String,
    pub beneath: String,
    pub state: String,
    pub when: String,
    /// "damaged", "something missing", "not available on the rain date".
    pub flags: String,
    pub sign: &'static str,
    pub says: &'static str,
}

#[derive(Debug)]
pub(super) struct Group {
    pub mark: &'static str,
    pub heading: &'static str,
    /// Nothing in it needs anyone now.
    pub is_quiet: bool,
    pub lines: Vec<Line>,
}

#[derive(Template)]
#[template(path = "loans/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    pub problems: Vec<Problem>,
    pub groups: Vec<Group>,
    /// People who said yes to lending something that isn't on the list.
    pub unlisted: Vec<Unlisted>,
}

/// A status, as people read it.
pub(super) fn state_says(state: Option<Step>) -> &'static str {
    state.map_or("not asked yet", Step::label)
}

/// A status, as a page marks it.
fn state_mark(state: Option<Step>) -> &'static str {
    state.map_or("not asked", Step::as_str)
}

fn late_says(days: i64) -> String {
    let days = usize::try_from(days).unwrap_or(0);
    format!("{} late", words::count(days, "day", "days"))
}

fn line(snapshot: &LoanSnapshot, loan: &Loan) -> Line {
    let state = snapshot.state(loan);
    let late = snapshot.days_late(loan);
    let day = |on| Reader::App.near_day(on, snapshot.today);
    let back = snapshot.goes_back(loan);
    let when = match (late, state) {
        (Some(days), _) => format!("{}, due {}", late_says(days), day(back.on)),
        (None, Some(Step::NotLent)) => String::new(),
        (None, Some(Step::Returned | Step::Closed)) => {
            loan.last(Step::Returned).map(|step| format!("returned {}", day(step.on))).unwrap_or_default()
        }
        (None, _) => format!("return by {}", day(back.on)),
    };
    let (sign, says) = match state {
        _ if late.is_some() => ("late", "late"),
        Some(Step::NotLent) => ("dropped", Step::NotLent.label()),
        Some(Step::Asked | Step::Promised) => ("waiting", "asked"),
        None => ("todo", "not asked yet"),
        Some(_) => ("done", "confirmed"),
    };
    let burn = snapshot.availability(loan, snapshot.event.details.burn_on);
    let mut flags: Vec<String> = loan.harms().into_iter().map(str::to_owned).collect();
    for on in snapshot.dates() {
        if loan.is_live() && snapshot.availability(loan, on).free == Free::NotFree {
            flags.push(format!("not available on the {}", date_name(&snapshot.event, on)));
        }
    }
    let mut beneath = vec![loan.lender_in_full()];
    if let (None, Some(Step::Asked)) = (burn.span, state)
        && burn.free == Free::NotFree
    {
        beneath.push(burn.why);
    }
    let is_over = matches!(state, Some(Step::NotLent | Step::Returned | Step::Closed));
    Line {
        id: loan.id,
        step: state_mark(state),
        due_on: (!is_over).then_some(back.on),
        late,
        title: loan.title(),
        href: loan.href(),
        beneath: beneath.join(" · "),
        state: state_says(state).to_owned(),
        when,
        flags: flags.join(", "),
        sign,
        says,
    }
}

/// The groups of loans, in order: mark, heading, and whether nothing in it needs anyone now.
const GROUPS: [(&str, &str, bool); 6] = [
    ("late", "Late", false),
    ("to-confirm", "To ask or confirm", false),
    ("here", "Here", false),
    ("to-come", "Confirmed", true),
    ("back", "Returned", true),
    ("over", "Closed", true),
];

/// All loans: the late ones first, then the ones to ask for or confirm, the ones we have, the
/// ones to come, and the returned ones.
pub(super) fn groups(snapshot: &LoanSnapshot) -> Vec<Group> {
    let place = |loan: &Loan| match snapshot.state(loan) {
        _ if snapshot.days_late(loan).is_some() => 0,
        None | Some(Step::Asked | Step::Promised) => 1,
        Some(Step::Collected | Step::Tested) => 2,
        Some(Step::Confirmed) => 3,
        Some(Step::Returned) => 4,
        Some(Step::Closed | Step::NotLent) => 5,
    };
    let group = |(number, (mark, heading, is_quiet)): (usize, (&'static str, &'static str, bool))| {
        let mut these: Vec<&Loan> = snapshot.loans.iter().filter(|loan| place(loan) == number).collect();
        these.sort_by_key(|loan| (snapshot.goes_back(loan).on, loan.id));
        Group { mark, heading, is_quiet, lines: these.into_iter().map(|loan| line(snapshot, loan)).collect() }
    };
    GROUPS.into_iter().enumerate().map(group).filter(|g| !g.lines.is_empty()).collect()
}

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
fn steps(snapshot: &LoanSnapshot, loan: &Loan, user: &User) -> Vec<StepLine> {
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

/// The form of an update.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct StepForm {
    pub step: String,
    /// `burn day`, `rain date`
    pub date: Vec<String>,
    pub on: String,
    pub who: String,
    pub note: String,
}

const DATES: [&str; 2] = ["burn day", "rain date"];

impl StepForm {
    pub fn fresh(snapshot: &LoanSnapshot, who: &str) -> Self {
        Self {
            step: String::new(),
            date: vec![DATES[0].to_owned()],
            on: words::iso(snapshot.today),
            who: who.to_owned(),
            note: String::new(),
        }
    }

    pub fn has(&self, date: &str) -> bool {
        self.date.iter().any(|chosen| chosen == date)
    }

    pub fn read(&self, snapshot: &LoanSnapshot, loan: &Loan) -> Result<Noted, Mistakes> {
        let mut mistakes = Mistakes::default();
        let can = routes::can_happen(snapshot, loan);
        let step = self.step.parse::<Step>().ok().filter(|step| can.contains(step));
        let step = mistakes.note("step", step.ok_or("Choose the next step. A loan only moves forward.".to_owned()));
        let on = mistakes.note("on", form::day(&self.on));
        if on.is_some_and(|on| on > snapshot.today) {
            mistakes.add("on", "This date is in the future. Enter today or earlier.");
        }
        let who = mistakes.note("who", form::line(&self.who, 100));
        let note = mistakes.note("note", form::optional_line(&self.note, 300));
        let mut for_on = Vec::new();
        if let Some(step) = step.filter(|step| step.is_dated()) {
            let details = &snapshot.event.details;
            for_on.extend(Some(details.burn_on).filter(|_| self.has(DATES[0])));
            for_on.extend(details.rain_on.filter(|_| self.has(DATES[1])));
            // A date that already has this step doesn't need it again.
            for_on.retain(|on| snapshot.availability(loan, *on).stage < Some(step));
            if for_on.is_empty() {
                mistakes.add("date", "Choose a date that doesn't have this update yet.");
            }
        }
        match (step, on, who, note, mistakes.is_empty()) {
            (Some(step), Some(on), Some(who), Some(note), true) => Ok(Noted { step, for_on, on, who, note }),
            _ => Err(mistakes),
        }
    }
}

/// A letter to the lender, on one line.
pub(super) struct LetterLine {
    pub about: String,
    pub way: String,
    pub says: String,
    pub detail: String,
    pub mail: Option<i64>,
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
    let about_condition = written.iter().any(|letter| letter.about == letters::ABOUT[1]);
    match snapshot.state(loan) {
        None => Next::Ask,
        Some(Step::Asked) => Next::Answer,
        Some(Step::Promised | Step::Confirmed) => Next::HandOver,
        Some(Step::Collected | Step::Tested) => Next::Return,
        Some(Step::Returned) if !loan.harms().is_empty() && !about_condition => Next::Write,
        Some(Step::Returned | Step::Closed | Step::NotLent) => Next::Nothing,
    }
}

/// One of the event's dates: the status for it, and the loan dates.
fn date_says(snapshot: &LoanSnapshot, loan: &Loan, on: Date) -> String {
    let availability = snapshot.availability(loan, on);
    let day = |on| Reader::App.near_day(on, snapshot.today);
    let stage = state_says(availability.stage);
    match (availability.free, availability.span) {
        (Free::NotFree, _) => format!("{}: not available, {}", day(on), availability.why),
        (_, Some(span)) => format!("{}: {stage}, from {} to {}", day(on), day(span.from_on), day(span.until_on)),
        _ => format!("{}: {stage}", day(on)),
    }
}

fn facts(snapshot: &LoanSnapshot, loan: &Loan, user: &User) -> Vec<(&'static str, String)> {
    let details = &loan.details;
    let mut facts =
        vec![("Lender", format!("{}{}", loan.lender_in_full(), if details.is_school { ", a school" } else { "" }))];
    let mut add = |label, text: String| {
        if !text.is_empty() {
            facts.push((label, text));
        }
    };
    let both = |parts: [String; 2], between: &str| {
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(between)
    };
    add("Serial number", details.serial.clone());
    for on in snapshot.dates() {
        add(
            if date_name(&snapshot.event, on) == "rain date" { "Rain date" } else { "Burn day" },
            date_says(snapshot, loan, on),
        );
    }
    let back = snapshot.goes_back(loan);
    if loan.is_live() {
        let pickup_on = snapshot.fetched_on(loan, snapshot.event.details.burn_on);
        add("Pickup", letters::trip(&details.collect, pickup_on, snapshot.today));
        let trip = letters::trip(&details.bring, Some(back.on), snapshot.today);
        add("Return", format!("{trip} ({})", back.why));
    }
    add(
        "Their contact",
        if details.lender_contact.is_empty() { loan.person.clone() } else { details.lender_contact.clone() },
    );
    add(
        "Our contact",
        if details.our_contact.is_empty() { "none yet".to_owned() } else { details.our_contact.clone() },
    );
    add("Place on burn day", letters::stands(loan));
    add("Transport", details.transport.clone());
    add("Power", both([details.power.clone(), details.connector.clone()], ", "));
    add("Operator", details.operator.clone());
    add("Training", details.training.clone());
    add(
        "Agreed value",
        user.shown(Private::Money, &details.value.map_or("none yet".to_owned(), |value| value.to_string())),
    );
    add("Insured", both([details.insured.label().to_owned(), details.certificate.clone()], ", "));
    let backup = snapshot.backup_says(loan);
    let none = if details.is_single { "none, and there is only one" } else { "" };
    add("Backup", if backup.is_empty() { none.to_owned() } else { backup });
    add("Notes", user.shown(Private::Notes, &details.notes));
    facts
}

impl LoanPage {
    pub fn of(
        page: Page,
        visit: &Visit,
        (snapshot, loan): (&LoanSnapshot, &Loan),
        (person, task, written, history): (Option<Person>, Option<Task>, Vec<Written>, Vec<JournalEntry>),
        (form, mistakes): (StepForm, Mistakes),
    ) -> Self {
        let zone = &snapshot.event.details.zone;
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
            too_close: String::new(),
            facts: facts(snapshot, loan, user),
            task: task.map(|task| (task.id, task.details.title)),
            phone: person.map(|person| user.shown(Private::Contact, &person.details.phone)).unwrap_or_default(),
            elsewhere: snapshot.elsewhere(loan),
            next: next(snapshot, loan, &written),
            request_id: loan.request_id,
            differences: loan.differences(),
            steps: steps(snapshot, loan, user),
            can: routes::can_happen(snapshot, loan),
            burn_day: Reader::App.near_day(details.burn_on, snapshot.today),
            rain_day: details.rain_on.map(|on| Reader::App.near_day(on, snapshot.today)).unwrap_or_default(),
            form,
            mistakes,
            may_work: user.role != Role::Reader,
            letters: written
                .into_iter()
                .map(|letter| {
                    let when = Reader::App.near_moment(zone.wall(letter.at), snapshot.today);
                    let sent = if letter.mail_id.is_some() { "by email" } else { "on paper" };
                    LetterLine {
                        says: format!("about {}, {sent}", letter.about),
                        detail: format!("{}, {when}", letter.by),
                        about: letter.about,
                        way: letter.way,
                        mail: letter.mail_id,
                    }
                })
                .collect(),
            history: user.shown_history(history).into_iter().map(|entry| HistoryLine::of(entry, zone)).collect(),
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

/// Something to choose from.
#[derive(Debug)]
pub(super) struct Choice {
    pub id: String,
    pub name: String,
}

impl Choice {
    pub fn new(id: i64, name: String) -> Self {
        Self { id: id.to_string(), name }
    }
}

#[derive(Template)]
#[template(path = "loans/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub heading: String,
    pub action: String,
    pub burn_day: String,
    pub rain_day: String,
    pub form: LoanForm,
    pub mistakes: Mistakes,
    /// Someone sent the form and sees it again.
    pub is_again: bool,
    pub lenders: Chooser,
    /// A lender who isn't in People yet.
    pub adding: Adding,
    pub tasks: Vec<Choice>,
    pub backups: Vec<Choice>,
    pub elsewhere: Vec<Choice>,
    pub names: Vec<Name>,
    /// Answers to choose from: as they are saved, and as people read them.
    pub frees: Vec<(&'static str, &'static str)>,
    pub insured: Vec<(&'static str, &'static str)>,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = LoanForm::fresh("");
        Fold::compared(names, |name| self.form.value(name), |name| usual.value(name), &self.mistakes, self.is_again)
    }
}
