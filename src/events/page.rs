//! The top of every page.

use super::bar::Bar;
use super::{Event, current};
use crate::accounts::Visit;
use crate::db::Trouble;
use crate::error::Result;
use crate::state::App;
use crate::web::page::Page;
use time::OffsetDateTime;

/// What a page shows around its content. With no event given, the current one.
pub async fn page(app: &App, visit: &Visit, event: Option<&Event>, now: OffsetDateTime) -> Result<Page> {
    let current = if event.is_none() { current(app.db.read()).await? } else { None };
    let event = event.or(current.as_ref());
    let due = match event {
        Some(event) => app.needs.of(event.id, now).await,
        None => Vec::new(),
    };
    let bar = Bar::of(&visit.user, event, &visit.path, &due);
    Ok(Page {
        title: String::new(),
        department: visit.user.department.name.clone(),
        who: visit.user.name.clone(),
        role: visit.user.role.as_str(),
        officer: visit.user.is_officer(),
        event: event.map(|event| event.banner(now)),
        places: bar.places,
        beside: bar.beside,
        here: bar.here,
        pages: bar.pages,
        up: bar.up,
        trouble: app.db.trouble().map(Trouble::says),
        alarms: if visit.user.is_officer() { app.mailer.alarms() } else { Vec::new() },
        said: visit.said.clone(),
    })
}
