//! The page where a task is added or edited.

use super::context::TaskContext;
use super::effects::Effects;
use super::form::{LinkLine, TaskForm};
use crate::countdown::Strand;
use crate::error::Result;
use crate::people::{self, Name};
use crate::state::App;
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use askama::Template;

#[derive(Template)]
#[template(path = "countdown/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub id: Option<i64>,
    pub is_burn: bool,
    pub form: TaskForm,
    pub mistakes: Mistakes,
    pub effects: Option<Effects>,
    pub people: Vec<Name>,
    /// Tasks by strand, for choosing what to wait for.
    pub choices: Vec<(&'static str, Vec<(String, String)>)>,
}

impl Edit {
    fn links(&self) -> Vec<LinkLine> {
        self.form.links()
    }

    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = TaskForm::fresh(Strand::Approval);
        // A preview shows what was typed again, too.
        let is_again = self.effects.is_some();
        Fold::compared(names, |name| self.form.value(name), |name| usual.value(name), &self.mistakes, is_again)
    }

    /// The part with the earlier tasks: how many it waits for.
    fn waits(&self) -> Fold {
        let chosen = self.form.earlier.iter().filter(|earlier| !earlier.is_empty());
        let is_again = self.effects.is_some();
        Fold::of(chosen.map(|_| ("links", true)).chain([("links", false)]), &self.mistakes, is_again)
    }
}

/// The page for the task with this number, or for a new one.
pub(super) async fn edit_page(app: &App, context: &TaskContext, id: Option<i64>, form: TaskForm) -> Result<Edit> {
    let outlook = &context.outlook;
    let choices = Strand::ALL.into_iter().map(|strand| {
        let here = outlook.tasks.iter().filter(|task| task.details.strand == strand && Some(task.id) != id);
        (strand.as_str(), here.map(|task| (task.id.to_string(), task.details.title.clone())).collect())
    });
    let task = id.and_then(|id| outlook.place(id)).map(|place| &outlook.tasks[place]);
    let page = context.page.clone();
    Ok(Edit {
        page: match task {
            Some(task) => page.under(format!("{}/tasks/{}", context.event.href(), task.id), &task.details.title),
            None => page,
        },
        id,
        is_burn: task.is_some_and(|task| task.is_burn),
        form,
        mistakes: Mistakes::default(),
        effects: None,
        people: people::list(app.db.read()).await?,
        choices: choices.collect(),
    })
}
