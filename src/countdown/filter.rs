//! Which tasks a page shows, and whose lists there are.

use super::places::DueLine;
use super::responsible::Who;
use super::{Outlook, Responsible, Task};
use crate::calc::plan::{PlanStatus, Row};
use crate::people::sort_key;
use std::collections::HashMap;

/// Which tasks to show.
#[derive(Debug, Default, Clone, serde::Deserialize)]
#[serde(default)]
pub(super) struct Filter {
    /// A person's ID, or a role in the burn that no one has.
    pub who: String,
    pub strand: String,
    pub state: String,
}

pub const SHOWN: [&str; 6] = ["open", "late", "waiting", "done", "not needed", "all"];

impl Filter {
    pub fn fits(&self, task: &Task, row: &Row) -> bool {
        let state = match self.state.as_str() {
            "" | "open" => task.is_open(),
            "late" => row.status == PlanStatus::Late,
            "all" => true,
            other => task.state.as_str() == other,
        };
        state
            && (self.strand.is_empty() || task.details.strand.as_str() == self.strand)
            && self.takes(&task.responsible)
    }

    /// Is this everyone's list, or theirs?
    pub fn takes(&self, responsible: &Responsible) -> bool {
        self.who.is_empty() || responsible.is_on(&self.who)
    }

    /// The same filter, with a person in place of a role that person now has: a link
    /// may be older than the account.
    pub fn by_name(self, outlook: &Outlook, due: &[DueLine]) -> Self {
        let who = all(outlook, due).find_map(|responsible| responsible.list_of_role(&self.who));
        Self { who: who.unwrap_or(self.who), ..self }
    }

    pub fn is_empty(&self) -> bool {
        self.who.is_empty() && self.strand.is_empty() && matches!(self.state.as_str(), "" | "open")
    }
}

/// Everyone who is responsible for something.
fn all<'a>(outlook: &'a Outlook, due: &'a [DueLine]) -> impl Iterator<Item = &'a Responsible> {
    let tasks = outlook.tasks.iter().filter(|task| !task.is_burn).map(|task| &task.responsible);
    tasks.chain(due.iter().map(|line| &line.responsible))
}

/// Everyone who has a list, by surname. A place may know someone by another name than the
/// plan does: the number says who it is.
pub(super) fn everyone(outlook: &Outlook, due: &[DueLine]) -> Vec<Who> {
    let mut lists: HashMap<String, Who> = HashMap::new();
    for who in all(outlook, due).flat_map(Responsible::lists) {
        lists.entry(who.value.clone()).or_insert(who);
    }
    let mut everyone: Vec<Who> = lists.into_values().collect();
    // A role that no one has is no name.
    let key = |who: &Who| if who.note.is_empty() { sort_key(&who.name) } else { who.name.to_lowercase() };
    everyone.sort_by_cached_key(|who| (key(who), who.value.clone()));
    everyone
}
