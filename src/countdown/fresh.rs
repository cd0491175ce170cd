//! What a new event starts with.

use super::earliest::Holding;
use super::template;
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::plan::{self, Link, Plan, Progress};
use crate::closed_days;
use crate::error::Result;
use crate::permit_records::{self, KnownRules};
use crate::state::App;
use std::sync::Arc;

/// What a new event starts with: the template as a plan with nothing done, and the
/// notices the department knows about.
pub(super) struct Fresh {
    pub plan: Plan,
    /// The titles of the notices, by task.
    titles: Vec<Vec<&'static str>>,
    pub calendar: Arc<Calendar>,
}

impl Fresh {
    pub async fn load(app: &App) -> Result<Self> {
        let known = permit_records::known_rules(&mut *app.db.read().acquire().await?).await?;
        Ok(Self::of(&known, closed_days::calendar(app).await?))
    }

    pub fn of(known: &KnownRules, calendar: Arc<Calendar>) -> Self {
        let mut titles: Vec<Vec<&'static str>> = vec![Vec::new(); template::tasks().len()];
        let mut tasks = fresh_tasks();
        for usual in permit_records::usual() {
            let holding = known.get(&usual.key).and_then(permit_records::Details::fresh_notice);
            if let (Some(task), Some(notice)) = (template::place(&usual.task), holding) {
                tasks[task].notices.push(notice);
                titles[task].push(&usual.title);
            }
        }
        let burn = template::place(template::BURN);
        let plan = burn.and_then(|burn| Plan::new(tasks, burn).ok()).expect("the template is checked by a test");
        Self { plan, titles, calendar }
    }

    /// The notice that sets a date, if one does.
    pub fn holding(&self, held_by: Option<(usize, usize)>) -> Holding {
        held_by.map_or_else(Holding::default, |(task, notice)| {
            Holding::new(self.titles[task][notice], self.plan.tasks()[task].notices[notice].rule)
        })
    }
}

fn fresh_tasks() -> Vec<plan::Task> {
    let mut tasks: Vec<plan::Task> = template::tasks()
        .iter()
        .map(|entry| plan::Task {
            duration: entry.duration,
            basis: entry.basis.basis(),
            lead: entry.lead(),
            notices: Vec::new(),
            links: Vec::new(),
            progress: Progress::ToDo,
            rain: entry.rain.rule(),
        })
        .collect();
    for (later, earlier, lag) in template::links() {
        tasks[later].links.push(Link { earlier, lag, basis: Basis::Calendar });
    }
    tasks
}
