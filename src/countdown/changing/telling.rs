//! Whom a change concerns, before it is saved and afterward.

use crate::asks::{self, Count};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::people;
use crate::state::App;
use crate::web::words;
use std::collections::HashSet;

/// How many people were told, for the message at the top of the next page.
pub(in crate::countdown) fn told(count: Count) -> String {
    let mut said = Vec::new();
    if count.written > 0 {
        said.push(format!("{} emailed.", words::count(count.written, "person was", "people were")));
    }
    if count.to_call > 0 {
        said.push(format!("{} no email: call them.", words::count(count.to_call, "person has", "people have")));
    }
    said.join(" ")
}

/// Who would be told about a change.
#[derive(Debug, Clone, Copy, Default)]
pub(in crate::countdown) struct ToUpdate {
    pub count: Count,
    /// How many people could be asked about dates they haven't been asked about.
    pub to_ask: usize,
}

impl ToUpdate {
    /// Who would be told about a change to these details.
    pub async fn load(app: &App, event: &Event, details: &Details) -> Result<Self> {
        let mut db = app.db.read().acquire().await?;
        let before = asks::before_change(&mut db, event).await?;
        let reached: HashSet<i64> = people::everyone(&mut db)
            .await?
            .iter()
            .filter(|person| person.has_mail())
            .map(|person| person.id)
            .collect();
        let to_ask = before.to_ask(details);
        Ok(Self { count: before.count(details, to_ask > 0, |id| reached.contains(&id)), to_ask })
    }
}
