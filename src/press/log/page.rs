//! The page of the contact log.

use super::choices::Choices;
use super::form::LogForm;
use super::shown::{Shown, shown};
use super::{Entry, store};
use crate::accounts::Visit;
use crate::error::Result;
use crate::events::{self, Event};
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use askama::Template;
use serde::Deserialize;

#[derive(Template)]
#[template(path = "press/log.html")]
pub(super) struct Log {
    page: Page,
    event_id: i64,
    keeps: bool,
    lines: Vec<Shown>,
    total: usize,
    outlets: Vec<(i64, String)>,
    people: Vec<(i64, String)>,
    filter: Filter,
    form: LogForm,
    mistakes: Mistakes,
    choices: Choices,
    action: String,
    /// The entry to correct.
    corrects: Option<Shown>,
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct Filter {
    outlet: String,
    person: String,
    pub contact: String,
}

impl Filter {
    fn fits(&self, entry: &Entry) -> bool {
        let is = |wanted: &str, id: i64| wanted.is_empty() || wanted == id.to_string();
        is(&self.outlet, entry.outlet_id) && is(&self.person, entry.person_id)
    }
}

/// The page with what was typed.
pub(super) async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    filter: Filter,
    (form, mistakes): (LogForm, Mistakes),
    corrects: Option<&Entry>,
) -> Result<Log> {
    let title = if corrects.is_some() { "Edit an entry" } else { "Contact log" };
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled(title);
    let entries = store::of_event(app.db.read(), event.id).await?;
    let here = format!("/events/{}/press/log", event.id);
    let mut choices = Choices::load(app, event.id).await?;
    if let Some(entry) = corrects {
        // The entry stays with its outlet.
        choices.contacts.retain(|contact| contact.outlet_id == entry.outlet_id);
    }
    let wanted = corrects.map(|entry| entry.id);
    Ok(Log {
        page,
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        lines: shown(&entries, event, &visit.user, |entry| filter.fits(entry)),
        total: entries.len(),
        outlets: names(entries.iter().map(|entry| (entry.outlet_id, &entry.outlet))),
        people: names(entries.iter().map(|entry| (entry.person_id, &entry.person))),
        filter,
        form,
        mistakes,
        choices,
        action: corrects.map_or_else(|| here.clone(), |entry| format!("{here}/{}", entry.id)),
        corrects: shown(&entries, event, &visit.user, |entry| Some(entry.id) == wanted).pop(),
    })
}

/// Each once, by name.
fn names<'a>(all: impl Iterator<Item = (i64, &'a String)>) -> Vec<(i64, String)> {
    let mut names: Vec<_> = all.map(|(id, name)| (id, name.clone())).collect();
    names.sort_by(|a, b| (&a.1, a.0).cmp(&(&b.1, b.0)));
    names.dedup();
    names
}
