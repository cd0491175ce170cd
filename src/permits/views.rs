//! The pages for permits and notices.

use super::form::{PermitForm, SendingForm};
use crate::accounts::{Private, User};
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::notice::{Counted, Heard};
use crate::countdown::{Outlook, Task};
use crate::events::Event;
use crate::permit_records::{Kind, Permit, Problem, Rule, deadline_says, heard_says, rule_says};
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use time::Date;

/// What it takes to show records.
pub(super) struct Seen<'a> {
    pub event: &'a Event,
    pub calendar: &'a Calendar,
    pub tasks: &'a [Task],
    pub today: Date,
}

impl Seen<'_> {
    fn near(&self, day: Date) -> String {
        Reader::App.near_day(day, self.today)
    }

    pub fn days(&self, days: &[Date]) -> String {
        days.iter().map(|day| self.near(*day)).collect::<Vec<_>>().join(", ")
    }

    pub fn task(&self, permit: &Permit) -> Option<&Task> {
        self.tasks.iter().find(|task| Some(task.id) == permit.details.task_id)
    }

    pub fn problems(&self, permit: &Permit) -> Vec<Problem> {
        permit.problems(&self.event.details, self.calendar, self.today)
    }

    fn stands(&self, permit: &Permit) -> String {
        permit.stands(&self.event.details, self.calendar, self.today)
    }
}

/// A record on one line, with its problems beneath.
pub(super) struct Line {
    pub href: String,
    pub title: String,
    pub beneath: String,
    pub problems: Vec<ProblemLine>,
    pub stands: String,
    pub is_late: bool,
    pub sign: &'static str,
    /// How late the task for it is, by the plan; empty if it isn't.
    pub overdue: String,
}

pub(super) struct ProblemLine {
    pub says: String,
    pub is_late: bool,
    /// What it is, the dates it is about and the last day before it is late, for scripts
    /// and tests.
    pub mark: &'static str,
    pub days: String,
    pub by: String,
}

/// Records with the same status.
pub(super) struct Group {
    pub heading: &'static str,
    /// What the group is, for scripts and tests.
    pub mark: &'static str,
    pub about: &'static str,
    pub lines: Vec<Line>,
}

impl Line {
    fn of(seen: &Seen<'_>, permit: &Permit, problems: &[Problem]) -> Self {
        let details = &permit.details;
        let mut parts = vec![details.kind.to_string()];
        if !details.authority.is_empty() {
            parts.push(details.authority.clone());
        }
        if !details.number.is_empty() {
            parts.push(format!("no. {}", details.number));
        }
        if details.rule != Rule::NotAsked {
            parts.push(rule_says(&details.rule));
        }
        let is_late = problems.iter().any(|problem| problem.is_late(seen.today));
        Self {
            href: permit.href(),
            title: details.title.clone(),
            beneath: parts.join(" · "),
            problems: problem_lines(seen, permit, problems),
            stands: seen.stands(permit),
            is_late,
            sign: match () {
                () if is_late => "late",
                () if permit.is_granted(&seen.event.details) => "done",
                () if problems.iter().any(|problem| problem.is_pressing(seen.today)) => "risk",
                () if permit.names(seen.event.details.burn_on) => "waiting",
                () => "todo",
            },
            overdue: String::new(),
        }
    }
}

pub(super) fn problem_lines(seen: &Seen<'_>, permit: &Permit, problems: &[Problem]) -> Vec<ProblemLine> {
    let line = |problem: &Problem| ProblemLine {
        says: problem.says(permit, seen.calendar, seen.today),
        is_late: problem.is_late(seen.today),
        mark: problem.mark(),
        days: problem.days().iter().map(|day| words::iso(*day)).collect::<Vec<_>>().join(" "),
        by: problem.last_day().map(words::iso).unwrap_or_default(),
    };
    problems.iter().map(line).collect()
}

/// All records by what there is to do, problems first.
/// Records by what they need. One whose task is late needs attention, too.
pub(super) fn groups(seen: &Seen<'_>, outlook: &Outlook, permits: &[Permit]) -> Vec<Group> {
    let mut groups = [
        ("Needs attention", "due", ""),
        ("Notice rule not known yet", "ask", crate::permit_records::ASK),
        ("Not granted yet", "open", ""),
        ("Granted", "granted", ""),
    ]
    .map(|(heading, mark, about)| Group { heading, mark, about, lines: Vec::new() });
    for permit in permits {
        let mut problems = seen.problems(permit);
        let asks = problems.contains(&Problem::AskRule);
        let is_unsent = permit.details.granted_on.is_none() && !permit.names(seen.event.details.burn_on);
        let open_task = permit.details.task_id.filter(|_| is_unsent);
        let overdue = open_task.and_then(|task| outlook.overdue(task));
        let place = match () {
            () if overdue.is_some() => 0,
            () if problems.iter().any(|problem| problem.is_pressing(seen.today)) => 0,
            () if asks => 1,
            () if permit.details.granted_on.is_some() => 3,
            () => 2,
        };
        if place == 1 {
            // The heading says it once for all of them.
            problems.retain(|problem| *problem != Problem::AskRule);
        }
        let mut line = Line::of(seen, permit, &problems);
        if let Some(overdue) = overdue {
            line.sign = "late";
            line.overdue = overdue;
        }
        groups[place].lines.push(line);
    }
    groups[0].lines.sort_by_key(|line| !line.is_late);
    groups.into_iter().filter(|group| !group.lines.is_empty()).collect()
}

#[derive(Template)]
#[template(path = "permits/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    pub groups: Vec<Group>,
    /// Usual records that the event doesn't have.
    pub missing: usize,
}

/// A record printed for the safety officer.
pub(super) struct Sheet {
    pub title: String,
    pub kind: Kind,
    pub facts: Vec<(&'static str, String)>,
    pub conditions: String,
    pub read_back: String,
    pub problems: Vec<ProblemLine>,
}

#[derive(Template)]
#[template(path = "permits/print.html")]
pub(super) struct Print {
    pub page: Page,
    pub event_id: i64,
    pub event_line: String,
    pub printed: String,
    pub sheets: Vec<Sheet>,
    /// Titles of what isn't granted yet.
    pub open: Vec<String>,
}

pub(super) fn sheet(seen: &Seen<'_>, user: &User, permit: &Permit) -> Sheet {
    let details = &permit.details;
    let day = |on: Option<Date>| on.map(|on| seen.near(on)).unwrap_or_default();
    let mut named: Vec<Date> = permit.sendings.iter().flat_map(|sending| sending.names.iter().copied()).collect();
    named.sort_unstable();
    named.dedup();
    let facts = [
        ("Number", details.number.clone()),
        ("Authority", authority(user, permit)),
        ("Dates on it", seen.days(&named)),
        ("Granted", day(details.granted_on)),
        ("Expires", day(details.expires_on)),
    ];
    Sheet {
        title: details.title.clone(),
        kind: details.kind,
        facts: facts.into_iter().filter(|(_, text)| !text.is_empty()).collect(),
        conditions: details.conditions.clone(),
        read_back: read_back(seen, permit),
        problems: problem_lines(seen, permit, &seen.problems(permit)),
    }
}

fn read_back(seen: &Seen<'_>, permit: &Permit) -> String {
    permit.read_back.as_ref().map(|(on, by)| format!("{}, recorded by {by}", seen.near(*on))).unwrap_or_default()
}

/// Who decides and how to reach them, which not everyone may see.
fn authority(user: &User, permit: &Permit) -> String {
    let details = &permit.details;
    let mut parts = vec![details.authority.clone()];
    let (person, phone) = (details.person.as_deref().unwrap_or_default(), words::phone(&details.phone));
    parts.extend([person, &phone, &details.mail].map(|part| user.shown(Private::Contact, part)));
    parts.retain(|part| !part.is_empty());
    parts.join(" · ")
}

/// What is known about a record, beside its label.
pub(super) struct Fact {
    pub label: &'static str,
    pub text: String,
    /// For a date: the day, and what the authority knows about it, for scripts and tests.
    pub heard: Option<(String, &'static str)>,
}

/// How its rule limits the burn day.
pub(super) struct Holds {
    pub says: String,
    /// The earliest burn day if it is sent today, in ISO format; none once notice was given.
    pub earliest: Option<String>,
}

/// A time it was sent.
pub(super) struct SentLine {
    pub id: i64,
    pub says: String,
    pub beneath: String,
    pub is_received: bool,
}

#[derive(Template)]
#[template(path = "permits/permit.html")]
pub(super) struct PermitPage {
    pub page: Page,
    pub permit: Permit,
    pub facts: Vec<Fact>,
    /// The task it goes out with: number and title.
    pub task: Option<(i64, String)>,
    pub problems: Vec<ProblemLine>,
    pub holds: Option<Holds>,
    pub sent: Vec<SentLine>,
    pub form: SendingForm,
    pub mistakes: Mistakes,
    pub burn_day: String,
    pub burn_on: String,
    pub rain_day: String,
    pub rain_on: String,
    pub today: String,
    pub read_back: String,
    /// May the reader record what was sent?
    pub may_send: bool,
    /// May they record that the conditions were read back?
    pub may_read_back: bool,
    pub history: Vec<HistoryLine>,
}

pub(super) fn facts(seen: &Seen<'_>, user: &User, permit: &Permit) -> Vec<Fact> {
    let details = &permit.details;
    let day = |on: Option<Date>| on.map(|on| seen.near(on)).unwrap_or_default();
    let learned = details.rule.learned().map(|learned| match learned.on {
        Some(on) => format!("{}, {}", learned.by, seen.near(on)),
        None => "not recorded".to_owned(),
    });
    let fact = |label, text| Fact { label, text, heard: None };
    let dated = |label, on: Date| {
        let (text, heard) = heard(seen, permit, on);
        Fact { label, text, heard: Some((words::iso(on), heard)) }
    };
    let event = &seen.event.details;
    let facts = [
        fact("Type", details.kind.to_string()),
        fact("Authority", authority(user, permit)),
        fact("Number", details.number.clone()),
        fact("Notice rule", rule_says(&details.rule)),
        fact("Asked by", learned.unwrap_or_default()),
        dated("Burn day", event.burn_on),
        event.rain_on.map_or_else(|| fact("Rain date", String::new()), |on| dated("Rain date", on)),
        fact("Granted", day(details.granted_on)),
        fact("Expires", day(details.expires_on)),
        fact("Conditions", details.conditions.clone()),
        fact("Notes", user.shown(Private::Notes, &details.notes)),
    ];
    facts.into_iter().filter(|fact| !fact.text.is_empty()).collect()
}

/// What the authority knows about a date, in words and as a mark: "Sat, Oct 9: not sent
/// yet for this date; must be sent by …". Without words, nothing is known.
fn heard(seen: &Seen<'_>, permit: &Permit, day: Date) -> (String, &'static str) {
    let on = seen.near(day);
    match &permit.details.rule {
        Rule::Days { rule, .. } if permit.dates_wanted(&seen.event.details).contains(&day) => {
            let Some(heard) = permit.heard(seen.calendar, day) else { return (String::new(), "") };
            let says = heard_says(heard, rule.counted, seen.today);
            let by = || deadline_says(*rule, seen.calendar, day, seen.today);
            match heard {
                Heard::Granted => (format!("{on}: {says}"), "granted"),
                Heard::InTime(_) => (format!("{on}: {says}"), "in-time"),
                Heard::UnderWay(_) => (format!("{on}: {says}; {}", by()), "under-way"),
                Heard::TooLate(_) => (format!("{on}: {says}; {}", by()), "too-late"),
                Heard::Not => (format!("{on}: {says}; {}", by()), "not"),
            }
        }
        _ if permit.is_granted_for(day) => (format!("{on}: granted"), "granted"),
        _ if permit.names(day) => (format!("{on}: on what was sent"), "sent"),
        _ => (String::new(), ""),
    }
}

/// How its rule limits the burn day, counted from today.
pub(super) fn holds(seen: &Seen<'_>, permit: &Permit) -> Option<Holds> {
    let burn_on = seen.event.details.burn_on;
    let notice = permit.holding().filter(|_| seen.today <= burn_on && permit.details.task_id.is_some())?;
    if !notice.holds(seen.calendar, burn_on) {
        let says = format!("Notice was given for {}, so it no longer limits the burn day.", seen.near(burn_on));
        return Some(Holds { says, earliest: None });
    }
    let earliest = notice.rule.earliest(seen.calendar, seen.today);
    let first = seen.near(earliest);
    let arrives = match (notice.rule.counted, notice.rule.delivery) {
        (Counted::Received, days @ 1..) => {
            format!(" and {} for delivery", words::days(u32::from(days), Basis::Calendar))
        }
        _ => String::new(),
    };
    let days = words::days(u32::from(notice.rule.days), notice.rule.basis);
    let says = format!(
        "It limits the burn day: if it goes out today, with {days} of notice{arrives}, the earliest burn day is {first}."
    );
    Some(Holds { says, earliest: Some(words::iso(earliest)) })
}

pub(super) fn sent_lines(seen: &Seen<'_>, permit: &Permit) -> Vec<SentLine> {
    let line = |sending: &crate::permit_records::Sending| {
        let names = if sending.names.is_empty() {
            "no dates on it".to_owned()
        } else {
            format!("dates on it: {}", seen.days(&sending.names))
        };
        let received = sending.received_on.map(|on| format!("received {}", seen.near(on)));
        let facts = format!("{}, {}", Reader::App.time(sending.burn_time), sending.site);
        SentLine {
            id: sending.id,
            says: format!("Sent {}", seen.near(sending.sent_on)),
            beneath: [Some(names), received, Some(facts)].into_iter().flatten().collect::<Vec<_>>().join(" · "),
            is_received: sending.received_on.is_some(),
        }
    };
    permit.sendings.iter().rev().map(line).collect()
}

#[derive(Template)]
#[template(path = "permits/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub heading: &'static str,
    pub form: PermitForm,
    pub mistakes: Mistakes,
    /// The tasks it can go out with: number and title.
    pub tasks: Vec<(String, String)>,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = PermitForm::fresh("");
        Fold::compared(names, |name| self.form.value(name), |name| usual.value(name), &self.mistakes, false)
    }
}

#[derive(Template)]
#[template(path = "permits/remove.html")]
pub(super) struct Remove {
    pub page: Page,
    pub permit: Permit,
    pub holds: Option<Holds>,
}
