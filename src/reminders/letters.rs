//! What reminders say.

use super::due::{About, Known, Line};
use crate::asks::{self, Request, Sender};
use crate::calc::plan::Standing;
use crate::calc::reminder::Kind;
use crate::countdown::{Outlook, Task, TaskState};
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Item, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::web::link::Opens;
use crate::web::words;
use time::{Date, Duration, OffsetDateTime};

/// At most so many tasks stand in a mail.
const MOST: usize = 15;

/// One mail with these reminders in it.
///
/// # Errors
/// When a template can't be filled.
pub(super) fn letter(
    known: &Known<'_>,
    person: &Person,
    lines: &[&Line],
    sender: &Sender,
    base_url: &str,
) -> Result<Option<Letter>> {
    let Some(first) = lines.first() else { return Ok(None) };
    let event = known.event;
    let day = words::day(event.details.burn_on);
    let week = lines.iter().find_map(|line| if let About::Week(monday) = line.about { Some(monday) } else { None });
    let alone = if lines.len() == 1 { Some(&first.about) } else { None };
    let mut items: Vec<Item> = lines.iter().filter_map(|line| item(known, &line.about, base_url)).collect();
    if let Some(monday) = week {
        items.extend(of_week(known, monday, base_url));
    }
    let (lead, facts, press) = match alone {
        Some(About::Question { request, kind }) => {
            let facts = facts_of(known, request, *kind);
            (question_says(request, *kind, event), facts, Some(pressed(known, request, *kind)))
        }
        Some(About::Task { id, title, due, is_late }) => {
            let when = if *is_late { "is late: it was due" } else { "is due" };
            let lead = format!("“{title}” {when} {}.", words::day(*due));
            (lead, Vec::new(), Some(("Open the task", task_link(event, *id, base_url))))
        }
        Some(About::Loan(out)) => {
            let lead = format!("{} goes back to {} by {}.", out.title, out.lender, words::day(out.due));
            (lead, Vec::new(), Some(("Open its page", format!("{base_url}{}", out.href))))
        }
        _ if week.is_some() => (week_says(known, &day), week_facts(known), None),
        _ => {
            let things = words::count(lines.len(), "thing needs", "things need");
            (format!("{things} you before burn day, {day}."), Vec::new(), None)
        }
    };
    let parts = Parts {
        hello: asks::greeted(person),
        lead: &lead,
        facts: &facts,
        items: if press.is_some() { &[] } else { &items },
        press,
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        foot: "Sent by Burnday for the department. Reminders stop by themselves once a thing is done or answered.",
        ..Parts::default()
    };
    let not_after = lines.iter().map(|line| line.reminder.not_after).max().unwrap_or(first.reminder.not_after);
    let not_after = event.details.zone.instant(not_after.date(), not_after.time()).unwrap_or(known.now);
    Ok(Some(Letter {
        kind: mail::Kind::Reminder,
        event_id: Some(event.id),
        person_id: Some(person.id),
        // Answered meanwhile, a question is not asked once more.
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

fn question_says(request: &Request, kind: Kind, event: &Event) -> String {
    let day = words::day(event.details.burn_on);
    match kind {
        Kind::Ask | Kind::Chase => format!("We still need your answer for {day}. {}", request.question),
        Kind::Remind => format!("You said yes to {day}. Here is what you need."),
        Kind::LastWord => format!("{day} is near. Does your yes still stand?"),
    }
}

/// The call sheet of somebody who said yes to a post.
fn sheet_of<'a>(known: &Known<'a>, request: &Request, kind: Kind) -> Option<&'a (Vec<(String, String)>, i64)> {
    let is_theirs = request.kind == asks::Kind::Post && matches!(kind, Kind::Remind | Kind::LastWord);
    known.sheets.get(&request.person_id).filter(|_| is_theirs)
}

fn pressed(known: &Known<'_>, request: &Request, kind: Kind) -> (&'static str, String) {
    if let Some((_, link)) = sheet_of(known, request, kind) {
        let says = if kind == Kind::LastWord { "Say whether you are coming" } else { "Your call sheet as it stands" };
        return (says, Opens::CallSheet.mark(*link, 1));
    }
    let says = if kind == Kind::Chase { "Answer" } else { "See or change your answer" };
    (says, Opens::Question.mark(request.id, request.link_number))
}

fn item(known: &Known<'_>, about: &About, base_url: &str) -> Option<Item> {
    let event = known.event;
    match about {
        About::Question { request, kind } => Some(Item {
            title: request.question.clone(),
            text: question_says(request, *kind, event),
            press: Some(pressed(known, request, *kind)),
        }),
        About::Task { id, title, due, is_late } => Some(Item {
            title: title.clone(),
            text: format!("{} {}", if *is_late { "Late: was due" } else { "Due" }, words::day(*due)),
            press: Some(("Open the task", task_link(event, *id, base_url))),
        }),
        About::Loan(out) => Some(Item {
            title: format!("Bring back: {}", out.title),
            text: format!("To {}, by {}", out.lender, words::day(out.due)),
            press: Some(("Open its page", format!("{base_url}{}", out.href))),
        }),
        About::Week(_) => None,
    }
}

/// The lines under a reminder of a question: for what is lent, as things stand
/// now, not as they were asked for.
fn facts_of(known: &Known<'_>, request: &Request, kind: Kind) -> Vec<(String, String)> {
    if let Some((sheet, _)) = sheet_of(known, request, kind) {
        return sheet.clone();
    }
    match (kind, known.things.get(&request.id)) {
        (Kind::Remind | Kind::LastWord, Some(things)) => {
            asks::facts(known.event, &Request { facts: things.clone(), ..request.clone() })
        }
        _ => asks::facts(known.event, request),
    }
}

fn task_link(event: &Event, id: i64, base_url: &str) -> String {
    format!("{base_url}/events/{}/tasks/{id}", event.id)
}

fn number(known: &Known<'_>, wanted: impl Fn(&Outlook, usize) -> bool) -> usize {
    (0..known.outlook.tasks.len()).filter(|place| wanted(known.outlook, *place)).count()
}

fn is_late(outlook: &Outlook, place: usize) -> bool {
    outlook.schedule.rows[place].standing == Standing::Late
}

fn week_says(known: &Known<'_>, day: &str) -> String {
    let days = (known.event.details.burn_on - known.outlook.today).whole_days();
    let days = words::count(usize::try_from(days).unwrap_or(0), "day", "days");
    format!("{days} to burn day, {day}: {} late.", words::count(number(known, is_late), "task is", "tasks are"))
}

fn week_facts(known: &Known<'_>) -> Vec<(String, String)> {
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
    let chain = match spare {
        ..0 => format!("{} too long", words::count(spare.unsigned_abs() as usize, "day", "days")),
        _ => format!("{} of slack", words::count(spare.unsigned_abs() as usize, "day", "days")),
    };
    vec![
        ("Due by Sunday".to_owned(), words::count(due, "task", "tasks")),
        ("Waiting".to_owned(), format!("{} for somebody else", words::count(waiting, "task", "tasks"))),
        ("No answer".to_owned(), words::count(silent.count(), "person", "people")),
        ("The chain".to_owned(), chain),
    ]
}

/// The late tasks, then those due in the week.
fn of_week(known: &Known<'_>, monday: Date, base_url: &str) -> Vec<Item> {
    let until = monday + Duration::days(6);
    let mut due: Vec<_> = known
        .outlook
        .rows()
        .filter(|(task, row)| task.is_open() && !task.is_burn && (row.due <= until || row.standing == Standing::Late))
        .collect();
    due.sort_by_key(|(_, row)| row.due);
    let item = |(task, row): (&Task, &crate::calc::plan::Row)| Item {
        title: task.draft.title.clone(),
        text: format!(
            "{} {}, {}",
            if row.standing == Standing::Late { "late, was due" } else { "due" },
            words::day(row.due),
            who(task)
        ),
        press: Some(("Open the task", task_link(known.event, task.id, base_url))),
    };
    due.into_iter().take(MOST).map(item).collect()
}

/// "Priya Okafor", "crew lead (nobody holds this role yet)".
fn who(task: &Task) -> String {
    match task.responsible.note() {
        "" => task.who().to_owned(),
        note => format!("{} ({note})", task.who()),
    }
}

/// Now, as the letters count it.
pub(super) fn is_due(at: time::PrimitiveDateTime, event: &Event, now: OffsetDateTime) -> bool {
    event.details.zone.wall(now) >= at
}
