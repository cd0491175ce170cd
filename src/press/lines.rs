//! The lines of the front page of Press, by how soon they need someone.

use super::outlet_status::PressSnapshot;
use super::outlets::{Listing, Outlet};
use super::papers::{self, Paper, PaperFacts, PaperLine};
use super::timeline::AFTERWARDS;
use crate::calc::plan::Row;
use crate::countdown::{Outlook, Strand, Task, TaskState};
use crate::events::Event;
use crate::web::words::{self, Reader};
use time::{Date, Duration};

/// Open tasks within this time are shown, and at least the next one.
const SOON: Duration = Duration::days(14);

/// Problems, what to do next, and the quiet rest.
pub(super) struct Split<T> {
    pub now: Vec<T>,
    pub next: Vec<T>,
    pub rest: Vec<T>,
}

/// How soon a line needs someone.
enum Urgency {
    Now,
    Soon,
    Nothing,
}

impl<T> Split<T> {
    fn of(lines: impl IntoIterator<Item = T>, need: impl Fn(&T) -> Urgency) -> Self {
        let mut split = Self { now: Vec::new(), next: Vec::new(), rest: Vec::new() };
        for line in lines {
            let list = match need(&line) {
                Urgency::Now => &mut split.now,
                Urgency::Soon => &mut split.next,
                Urgency::Nothing => &mut split.rest,
            };
            list.push(line);
        }
        split
    }

    pub fn len(&self) -> usize {
        self.now.len() + self.next.len() + self.rest.len()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// An outlet on the list.
pub(super) struct ListLine {
    pub id: i64,
    pub name: String,
    pub beneath: String,
    pub state: &'static str,
    pub stands: &'static str,
    pub sign: &'static str,
    pub owner: String,
}

/// The outlets on the list: those nobody has contacted need someone.
pub(super) fn outlets(known: &PressSnapshot, event: &Event) -> Split<ListLine> {
    let lines = known.listed().map(|(listing, outlet)| list_line(known, listing, outlet, event));
    Split::of(lines, |line| if line.state == "open" { Urgency::Soon } else { Urgency::Nothing })
}

fn list_line(known: &PressSnapshot, listing: &Listing, outlet: &Outlet, event: &Event) -> ListLine {
    let status = known.status(outlet.id, event);
    let contacts = known.contacts.iter().filter(|contact| contact.outlet_id == outlet.id);
    let names: Vec<&str> = contacts.map(|contact| contact.name.as_str()).collect();
    let names = if names.is_empty() { "no contacts yet".to_owned() } else { names.join(", ") };
    ListLine {
        id: outlet.id,
        name: outlet.details.name.clone(),
        beneath: format!("{} · {names}", outlet.details.kind),
        state: status.as_str(),
        stands: status.says(),
        sign: status.sign(),
        owner: listing.owner.clone().unwrap_or_else(|| "no one responsible".to_owned()),
    }
}

/// The releases: one that is out of date is a problem, one that isn't approved or that no
/// one has yet is to finish.
pub(super) fn papers(written: &[Paper], known: &PressSnapshot, event: &Event, facts: &PaperFacts) -> Split<PaperLine> {
    let is_sent = |line: &PaperLine| {
        let newest = written.iter().find(|paper| paper.id == line.id).and_then(Paper::newest);
        let mut sent = known.entries.iter().filter(|entry| !entry.is_lost).filter_map(|entry| entry.version_id);
        newest.is_some_and(|version| sent.any(|id| id == version.id))
    };
    Split::of(written.iter().map(|paper| papers::line(paper, event, facts)), |line| match line.state {
        "out of date" => Urgency::Now,
        "approved" if is_sent(line) => Urgency::Nothing,
        _ => Urgency::Soon,
    })
}

/// A press task of the plan.
pub(super) struct StepLine {
    pub id: i64,
    pub title: String,
    pub due: String,
    pub due_on: String,
    pub stands: String,
    pub sign: &'static str,
    pub is_late: bool,
    is_soon: bool,
}

/// Is it a press task?
pub(super) fn is_press(task: &Task) -> bool {
    task.details.strand == Strand::Press || task.key.as_deref().is_some_and(|key| AFTERWARDS.contains(&key))
}

/// The press tasks by their day: a late one is a problem, and so many are next.
pub(super) fn steps(outlook: &Outlook, today: Date) -> Split<StepLine> {
    let mut rows: Vec<(&Task, &Row)> = outlook.rows().filter(|(task, _)| is_press(task)).collect();
    rows.sort_by_key(|(task, row)| (task.done_on.unwrap_or(row.due), task.id));
    let to_come = rows.iter().filter(|(task, row)| task.is_open() && row.due >= today);
    let until = to_come.map(|(_, row)| row.due).min().map_or(today, |first| first.max(today + SOON));
    Split::of(rows.into_iter().map(|row| step_line(row, today, until)), |line| match (line.is_late, line.is_soon) {
        (true, _) => Urgency::Now,
        (false, true) => Urgency::Soon,
        (false, false) => Urgency::Nothing,
    })
}

fn step_line((task, row): (&Task, &Row), today: Date, until: Date) -> StepLine {
    let is_late = task.is_open() && row.due < today;
    StepLine {
        id: task.id,
        title: task.details.title.clone(),
        due: Reader::App.near_day(task.done_on.unwrap_or(row.due), today),
        due_on: words::iso(row.due),
        stands: if is_late { "late".to_owned() } else { task.state.to_string() },
        sign: match task.state {
            TaskState::Done => "done",
            TaskState::NotNeeded => "dropped",
            _ if is_late => "late",
            TaskState::Waiting => "waiting",
            TaskState::ToDo => "todo",
        },
        is_late,
        is_soon: task.is_open() && row.due <= until,
    }
}
