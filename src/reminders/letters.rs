//! The emails that remind people.

use super::due::Inputs;
use super::line::{About, Line};
use crate::asks::{self, Request, Said, Sender};
use crate::calc::plan::PlanStatus;
use crate::calc::reminder::Kind;
use crate::countdown::{Outlook, Task, TaskState};
use crate::crew::CallSheet;
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Item, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::web::link::Opens;
use crate::web::words::{self, Reader};
use time::{Date, Duration, OffsetDateTime};

/// The most tasks in one email.
const MOST: usize = 15;

/// One email with these reminders.
///
/// # Errors
/// When a template can't be filled.
pub(super) fn letter(
    known: &Inputs<'_>,
    person: &Person,
    lines: &[&Line],
    sender: &Sender,
    base_url: &str,
) -> Result<Option<Letter>> {
    let Some(first) = lines.first() else { return Ok(None) };
    let event = known.event;
    let reader = reader_of(lines);
    let day = reader.day(event.details.burn_on);
    let week = lines.iter().find_map(|line| if let About::Week(monday) = line.about { Some(monday) } else { None });
    let alone = if lines.len() == 1 { Some(&first.about) } else { None };
    let mut items: Vec<Item> = lines.iter().filter_map(|line| item(known, &line.about, (reader, base_url))).collect();
    if let Some(monday) = week {
        items.extend(of_week(known, monday, (reader, base_url)));
    }
    let (lead, facts, press) = match alone {
        Some(About::Question { request, kind }) => {
            let facts = facts_of(known, request, (*kind, reader));
            (question_says(request, *kind, &day, event), facts, Some(pressed(known, request, *kind)))
        }
        Some(About::Task { id, title, due, is_late }) => {
            let when = if *is_late { "is late: it was due" } else { "is due" };
            let lead = format!("“{title}” {when} {}.", reader.day(*due));
            (lead, Vec::new(), Some(("Open the task", task_link(event, *id, base_url))))
        }
        Some(About::Loan(out)) => {
            let lead = format!("{}: return to {} by {}.", out.title, out.lender, reader.day(out.due));
            (lead, Vec::new(), Some(("Open the loan", format!("{base_url}{}", out.href))))
        }
        _ if week.is_some() => (week_says(known, &day), week_facts(known), None),
        _ => {
            let things = words::count(lines.len(), "thing", "things");
            (format!("{things} to take care of before burn day, {day}."), Vec::new(), None)
        }
    };
    let (phone, dear) = (words::phone(&sender.phone), person.details.dear_official());
    let parts = Parts {
        hello: asks::greeted(person),
        dear: &dear,
        title: if dear.is_empty() { "" } else { &sender.title },
        lead: &lead,
        facts: &facts,
        items: if press.is_some() { &[] } else { &items },
        press,
        from: &sender.name,
        phone: &phone,
        department: &sender.department,
        foot: "Sent by Burnday for the department. Reminders stop once you answer or the task is done.",
        ..Parts::default()
    };
    let not_after = lines.iter().map(|line| line.reminder.not_after).max().unwrap_or(first.reminder.not_after);
    let not_after = event.details.zone.instant(not_after.date(), not_after.time()).unwrap_or(known.now);
    Ok(Some(Letter {
        kind: mail::Kind::Reminder,
        event_id: Some(event.id),
        person_id: Some(person.id),
        // If they answer before it leaves, they aren't asked again.
        request_id: match alone {
            Some(About::Question { request, kind: Kind::Chase }) => Some(request.id),
            _ => None,
        },
        facts_revision: Some(event.facts_revision),
        dedup: format!("reminder/{}/{}/{}", person.id, first.key, event.facts_revision),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: lead.clone(),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: known.now,
        not_after: not_after.max(known.now + Duration::HOUR),
    }))
}

/// Who reads it: users of the app if any line is about their work there.
fn reader_of(lines: &[&Line]) -> Reader {
    let is_question = |line: &&Line| matches!(line.about, About::Question { .. });
    if lines.iter().all(is_question) { Reader::Public } else { Reader::App }
}

fn question_says(request: &Request, kind: Kind, day: &str, event: &Event) -> String {
    let answer = request.stands_for(event.details.burn_on);
    match (kind, answer.filter(|answer| answer.said == Said::Deputy)) {
        (Kind::Chase, _) => format!("We still need your answer for {day}. {}", request.question),
        (Kind::Remind, None) => format!("You said yes to {day}. Here is what you need."),
        (Kind::Remind, Some(answer)) => {
            format!("For {day}, you are sending {}. Here is what they need.", answer.deputy_says())
        }
        (Kind::LastWord, None) => format!("You said yes to {day}. Is that still right?"),
        (Kind::LastWord, Some(answer)) => {
            format!("For {day}, you are sending {}. Is that still right?", answer.deputy_says())
        }
    }
}

/// The call sheet that the email with these reminders holds.
pub(super) fn sheet_in<'a>(known: &Inputs<'a>, lines: &[Line]) -> Option<&'a CallSheet> {
    match lines {
        [Line { about: About::Question { request, kind }, .. }] => sheet_of(known, request, *kind),
        _ => None,
    }
}

/// The call sheet of someone who said yes to a crew position.
fn sheet_of<'a>(known: &Inputs<'a>, request: &Request, kind: Kind) -> Option<&'a CallSheet> {
    let is_theirs = request.kind == asks::Kind::Post && matches!(kind, Kind::Remind | Kind::LastWord);
    known.sheets.get(&request.person_id).filter(|_| is_theirs)
}

fn pressed(known: &Inputs<'_>, request: &Request, kind: Kind) -> (&'static str, String) {
    if let Some(sheet) = sheet_of(known, request, kind) {
        let says = if kind == Kind::LastWord { "Tell us whether you are coming" } else { "See your call sheet" };
        return (says, Opens::CallSheet.mark(sheet.link, 1));
    }
    let says = if kind == Kind::Chase { "Answer" } else { "See or change your answer" };
    (says, Opens::Question.mark(request.id, request.link_number))
}

fn item(known: &Inputs<'_>, about: &About, (reader, base_url): (Reader, &str)) -> Option<Item> {
    let event = known.event;
    match about {
        About::Question { request, kind } => Some(Item {
            title: request.question.clone(),
            text: question_says(request, *kind, &reader.day(event.details.burn_on), event),
            press: Some(pressed(known, request, *kind)),
        }),
        About::Task { id, title, due, is_late } => Some(Item {
            title: title.clone(),
            text: format!("{} {}", if *is_late { "Late: was due" } else { "Due" }, reader.day(*due)),
            press: Some(("Open the task", task_link(event, *id, base_url))),
        }),
        About::Loan(out) => Some(Item {
            title: format!("Return: {}", out.title),
            text: format!("To {}, by {}", out.lender, reader.day(out.due)),
            press: Some(("Open the loan", format!("{base_url}{}", out.href))),
        }),
        About::Week(_) => None,
    }
}

/// The lines under a reminder about a question. Loans are shown as they are now, not as
/// they were asked for.
fn facts_of(known: &Inputs<'_>, request: &Request, (kind, reader): (Kind, Reader)) -> Vec<(String, String)> {
    if let Some(sheet) = sheet_of(known, request, kind) {
        return sheet.lines.clone();
    }
    match (kind, known.things.get(&request.id)) {
        (Kind::Remind | Kind::LastWord, Some(things)) => {
            asks::facts(known.event, &Request { facts: things.clone(), ..request.clone() }, reader)
        }
        _ => asks::facts(known.event, request, reader),
    }
}

fn task_link(event: &Event, id: i64, base_url: &str) -> String {
    format!("{base_url}/events/{}/tasks/{id}", event.id)
}

fn number(known: &Inputs<'_>, wanted: impl Fn(&Outlook, usize) -> bool) -> usize {
    (0..known.outlook.tasks.len()).filter(|place| wanted(known.outlook, *place)).count()
}

fn is_late(outlook: &Outlook, place: usize) -> bool {
    outlook.schedule.rows[place].status == PlanStatus::Late
}

fn week_says(known: &Inputs<'_>, day: &str) -> String {
    let days = (known.event.details.burn_on - known.outlook.today).whole_days();
    let days = words::count(usize::try_from(days).unwrap_or(0), "day", "days");
    let late = match number(known, is_late) {
        0 => "no tasks are".to_owned(),
        many => words::count(many, "task is", "tasks are"),
    };
    format!("{days} to burn day, {day}: {late} late.")
}

fn week_facts(known: &Inputs<'_>) -> Vec<(String, String)> {
    let end = known.outlook.today + Duration::days(6);
    let open = |outlook: &Outlook, place: usize| outlook.tasks[place].is_open() && !outlook.tasks[place].is_burn;
    let due = number(known, |outlook, place| {
        let due = outlook.schedule.rows[place].due;
        open(outlook, place) && !is_late(outlook, place) && due <= end
    });
    let waiting = number(known, |outlook, place| outlook.tasks[place].state == TaskState::Waiting);
    let silent = known
        .requests
        .iter()
        .filter(|request| !request.is_withdrawn && request.live().any(|ask| ask.stands().is_none()));
    let spare = known.outlook.schedule.spare;
    let count = |one, many| words::count(spare.unsigned_abs() as usize, one, many);
    let slack = match spare {
        ..0 => format!("none; the plan needs {}", count("more day", "more days")),
        _ => count("day", "days"),
    };
    vec![
        ("Due by Sunday".to_owned(), words::count(due, "task", "tasks")),
        ("Waiting on others".to_owned(), words::count(waiting, "task", "tasks")),
        ("No reply yet".to_owned(), words::count(silent.count(), "person", "people")),
        ("Slack".to_owned(), slack),
    ]
}

/// The late tasks, then those due that week.
fn of_week(known: &Inputs<'_>, monday: Date, (reader, base_url): (Reader, &str)) -> Vec<Item> {
    let until = monday + Duration::days(6);
    let mut due: Vec<_> = known
        .outlook
        .rows()
        .filter(|(task, row)| task.is_open() && !task.is_burn && (row.due <= until || row.status == PlanStatus::Late))
        .collect();
    due.sort_by_key(|(_, row)| row.due);
    let item = |(task, row): (&Task, &crate::calc::plan::Row)| Item {
        title: task.details.title.clone(),
        text: format!(
            "{} {}, {}",
            if row.status == PlanStatus::Late { "late, was due" } else { "due" },
            reader.day(row.due),
            who(task)
        ),
        press: Some(("Open the task", task_link(known.event, task.id, base_url))),
    };
    due.into_iter().take(MOST).map(item).collect()
}

/// "Priya Okafor", "crew lead (no one has this role yet)".
fn who(task: &Task) -> String {
    match task.responsible.note() {
        "" => task.who().to_owned(),
        note => format!("{} ({note})", task.who()),
    }
}

/// Is it time for the email?
pub(super) fn is_due(at: time::PrimitiveDateTime, event: &Event, now: OffsetDateTime) -> bool {
    event.details.zone.wall(now) >= at
}
