//! The form of an item on its page.

use super::form::{ThingForm, is_a_thing};
use super::page::page;
use super::{Thing, ThingState};
use crate::accounts::Visit;
use crate::error::Result;
use crate::events::Event;
use crate::gifts::{self, Gift};
use crate::people::{self, Name};
use crate::state::App;
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use askama::Template;
use time::OffsetDateTime;

#[derive(Template)]
#[template(path = "rooms/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub heading: &'static str,
    pub action: String,
    pub is_new: bool,
    pub form: ThingForm,
    pub mistakes: Mistakes,
    /// Gifts in kind: number and name.
    pub gifts: Vec<(String, String)>,
    /// Statuses to choose from: as they are saved, and as people read them.
    pub states: Vec<(&'static str, &'static str)>,
    pub names: Vec<Name>,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = ThingForm::fresh("", "");
        Fold::compared(names, |name| self.form.value(name), |name| usual.value(name), &self.mistakes, false)
    }
}

pub(super) async fn gifts_of(app: &App, event_id: i64) -> Result<Vec<Gift>> {
    gifts::of_event(&mut *app.db.read().acquire().await?, event_id).await
}

pub(super) async fn view(
    app: &App,
    visit: &Visit,
    (event, thing): (&Event, Option<&Thing>),
    (form, mistakes): (ThingForm, Mistakes),
    now: OffsetDateTime,
) -> Result<Edit> {
    let heading = if thing.is_some() { "Edit item" } else { "Add an item" };
    let action = thing.map_or(format!("/events/{}/rooms/new", event.id), |thing| format!("{}/edit", thing.href()));
    let page = page(app, visit, event, heading, now).await?;
    let gifts = gifts_of(app, event.id).await?;
    let words = |gift: &Gift| {
        let says = format!("{} · {} ({})", gift.details.what.says(), gift.giver(), gift.details.status.state());
        (gift.id.to_string(), says)
    };
    Ok(Edit {
        page: if let Some(thing) = thing { page.under(thing.href(), thing.details.says()) } else { page },
        heading,
        is_new: thing.is_none(),
        action,
        form,
        mistakes,
        gifts: gifts.iter().filter(|gift| is_a_thing(gift)).map(words).collect(),
        states: ThingState::ALL.map(|state| (state.as_str(), state.label())).to_vec(),
        names: people::list(app.db.read()).await?,
    })
}
