//! Which tasks that are done stay done on another burn day, because what was done covers
//! that day, too: people answered for it, or it is on the papers that were sent. Only as
//! far as this is recorded. Whether a contractor comes that day, no record says.

use super::{Outlook, Task, TaskState};
use crate::asks::{self, Kind, Request, Said};
use crate::calc::calendar::Calendar;
use crate::calc::notice::Heard;
use crate::error::Result;
use crate::events::Event;
use crate::permit_records::{self, Permit};
use sqlx::SqliteConnection;
use time::Date;

/// Is a question done with, as far as that day goes?
type IsDone = fn(&Request, Date) -> bool;

/// The tasks of the usual plan that are done with questions: once all of these kinds are
/// asked about a day, or answered for it.
static WITH_QUESTIONS: [(&str, &[Kind], IsDone); 5] = [
    ("invite-state", &[Kind::Guest], Request::asks_about),
    ("invite-local", &[Kind::Guest], Request::asks_about),
    ("guest-replies", &[Kind::Guest], is_answered),
    // Volunteers are asked to help or to work a position.
    ("crew-confirmed", &[Kind::Post, Kind::Help], is_answered),
    ("press-follow-up", &[Kind::Coverage], is_answered),
];

/// The task that is done once every permit is granted.
const PERMITS_IN_HAND: &str = "permits-in-hand";

/// The places of the tasks that a burn on that day finds done.
pub(super) async fn by(db: &mut SqliteConnection, event: &Event, outlook: &Outlook, on: Date) -> Result<Vec<usize>> {
    let requests = asks::of_event(&mut *db, event.id).await?;
    let permits = permit_records::of_event(db, event.id).await?;
    let is_covered = |place: &usize| {
        let task = &outlook.tasks[*place];
        task.state == TaskState::Done
            && (by_questions(task, &requests, on)
                || by_papers(task, &permits, &outlook.calendar, on)
                || by_grants(task, &permits, outlook, on))
    };
    Ok((0..outlook.tasks.len()).filter(is_covered).collect())
}

/// People who said no to every date are left alone.
fn by_questions(task: &Task, requests: &[Request], on: Date) -> bool {
    let known = WITH_QUESTIONS.iter().find(|(key, ..)| task.key.as_deref() == Some(*key));
    let Some((_, kinds, is_done)) = known else { return false };
    let mut asked = requests.iter().filter(|one| kinds.contains(&one.kind) && one.is_willing()).peekable();
    asked.peek().is_some() && asked.all(|request| is_done(request, on))
}

/// Is it known whether they come that day?
fn is_answered(request: &Request, on: Date) -> bool {
    request.stands_for(on).is_some_and(|answer| answer.said != Said::Maybe)
}

/// Is the day on each paper that goes out with the task, and still in time? If a later
/// sending named other days, the authority goes by that one.
fn by_papers(task: &Task, permits: &[Permit], calendar: &Calendar, on: Date) -> bool {
    let mut papers = permits.iter().filter(|permit| permit.details.task_id == Some(task.id)).peekable();
    let names = |permit: &Permit| match permit.heard(calendar, on) {
        Some(heard) => !matches!(heard, Heard::TooLate(_) | Heard::Not),
        None => permit.names(on),
    };
    papers.peek().is_some() && papers.all(|permit| is_valid(permit, on) && names(permit) && is_on_newest(permit, on))
}

/// What was granted without a sending on record has none to go by.
fn is_on_newest(permit: &Permit, on: Date) -> bool {
    let newest = permit.sendings.iter().max_by_key(|sending| (sending.sent_on, sending.id));
    newest.is_none_or(|newest| newest.names.contains(&on))
}

/// Is every permit granted for the day?
fn by_grants(task: &Task, permits: &[Permit], outlook: &Outlook, on: Date) -> bool {
    let is_needed = |permit: &&Permit| {
        let task = permit.details.task_id.and_then(|id| outlook.place(id));
        task.is_none_or(|place| outlook.tasks[place].state != TaskState::NotNeeded)
    };
    let permits = permits.iter().filter(|permit| permit.details.kind == permit_records::Kind::Permit);
    let mut needed = permits.filter(is_needed).peekable();
    task.key.as_deref() == Some(PERMITS_IN_HAND)
        && needed.peek().is_some()
        && needed.all(|permit| is_valid(permit, on) && permit.is_granted_for(on))
}

/// Does it not expire before that day?
fn is_valid(permit: &Permit, on: Date) -> bool {
    permit.details.expires_on.is_none_or(|expires| on <= expires)
}
