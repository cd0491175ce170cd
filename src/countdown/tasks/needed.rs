//! What a task needs from other places, and how to reach whoever is responsible for it.

use crate::accounts::{Private, User};
use crate::countdown::places::{AllItems, DueLine};
use crate::countdown::{ForTask, Need, Ready, Task};
use crate::error::Result;
use crate::people::{self, Person};
use crate::state::App;
use crate::web::words::{self, Reader};
use time::Date;

/// So many lines are shown; the place itself lists the rest.
const SHOWN: usize = 8;

/// One thing a task needs.
#[derive(Debug)]
pub(super) struct NeededLine {
    pub title: String,
    pub href: String,
    /// How far it is, or when it is due.
    pub state: String,
}

/// What other places know that a task needs.
#[derive(Debug, Default)]
pub(super) struct Needed {
    /// How ready the place is that the task's strand belongs to.
    pub ready: Option<NeededLine>,
    pub lines: Vec<NeededLine>,
    /// How many more there are.
    pub more: usize,
}

impl Needed {
    /// What this task needs; nothing once it is done or not needed.
    pub fn of(task: &Task, items: &AllItems, today: Date) -> Self {
        if !task.is_open() || task.is_burn {
            return Self::default();
        }
        let own = items.needs.iter().filter(|need| is_for(need, task)).map(of_need);
        let due = items.due.iter().filter(|line| line.strand == Some(task.details.strand));
        let mut lines: Vec<NeededLine> = own.chain(due.map(|line| of_due(line, today))).collect();
        let more = lines.len().saturating_sub(SHOWN);
        lines.truncate(SHOWN);
        let ready = items.ready.iter().find(|ready| ready.name == task.details.strand.as_str() && ready.all() > 0);
        Self { ready: ready.map(of_ready), lines, more }
    }

    pub fn is_empty(&self) -> bool {
        self.ready.is_none() && self.lines.is_empty()
    }

    /// How many things are listed or counted beneath it.
    pub fn count(&self) -> usize {
        self.lines.len() + self.more
    }
}

fn is_for(need: &Need, task: &Task) -> bool {
    match need.task {
        ForTask::Id(id) => id == task.id,
        ForTask::Key(key) => task.key.as_deref() == Some(key),
    }
}

fn of_need(need: &Need) -> NeededLine {
    NeededLine { title: need.title.clone(), href: need.href.clone(), state: need.state.clone() }
}

fn of_due(line: &DueLine, today: Date) -> NeededLine {
    let state = match usize::try_from((today - line.due.on).whole_days()) {
        Ok(days @ 1..) => format!("{} overdue", words::count(days, "day", "days")),
        Ok(0) => "due today".to_owned(),
        Err(_) => format!("due {}", Reader::App.near_day(line.due.on, today)),
    };
    NeededLine { title: line.due.title.clone(), href: line.due.href.clone(), state }
}

/// "6 of 10 loans confirmed, 3 waiting, 1 open".
fn of_ready(ready: &Ready) -> NeededLine {
    let counts = [(ready.waiting, "waiting"), (ready.open, "open")];
    let counts = counts.into_iter().filter(|(count, _)| *count > 0);
    let counts = counts.map(|(count, word)| format!(", {} {word}", words::grouped(count)));
    let state = ready.says() + &counts.collect::<String>();
    NeededLine { title: ready.label().to_owned(), href: ready.href.clone(), state }
}

/// How to reach someone.
#[derive(Debug)]
pub(super) struct Reach {
    pub name: String,
    /// Either may be empty, but not both.
    pub phone: String,
    pub mail: String,
}

/// How this user can reach whoever is responsible for a task; nobody for those who may not
/// see it, and never themselves.
pub(super) async fn reach(app: &App, task: &Task, user: &User) -> Result<Vec<Reach>> {
    let ids: Vec<i64> = task.responsible.people().filter(|id| *id != user.person_id).collect();
    if ids.is_empty() || !user.sees(Private::Contact) {
        return Ok(Vec::new());
    }
    let people = people::some(&mut *app.db.read().acquire().await?, &ids).await?;
    let reach = |person: Person| {
        let mail = if person.has_mail() { person.details.mail.clone() } else { String::new() };
        Reach { name: person.details.name, phone: person.details.phone, mail }
    };
    let all = people.into_iter().map(reach);
    Ok(all.filter(|reach| !(reach.phone.is_empty() && reach.mail.is_empty())).collect())
}
