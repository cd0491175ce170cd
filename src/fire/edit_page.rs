//! The form of what an estimate rests on.

use super::choices::{ALARM_KINDS, CEILINGS, FUELS, HOSES, START_PLACES, WALLS};
use super::fields::FIELDS;
use super::page::page;
use super::setup::{ITEM_FIELDS, Setup};
use super::snapshot::FireSnapshot;
use crate::accounts::Visit;
use crate::error::Result;
use crate::state::App;
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use askama::Template;
use time::OffsetDateTime;

/// A row for an item: the names under which its mistakes are kept, and what it holds.
struct ItemRow {
    number: usize,
    ids: [&'static str; 4],
    values: [String; 4],
}

impl ItemRow {
    fn is(&self, fuel: &str) -> bool {
        self.values[0] == fuel
    }
}

#[derive(Template)]
#[template(path = "fire/edit.html")]
pub(super) struct EditPage {
    page: Page,
    heading: &'static str,
    action: String,
    /// Where to remove it; empty for a new one.
    remove: String,
    form: Setup,
    version: i64,
    mistakes: Mistakes,
    rows: Vec<ItemRow>,
}

impl EditPage {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = Setup::default();
        let value = |setup: &Setup, name: &str| {
            let field = FIELDS.into_iter().find(|(known, ..)| *known == name);
            field.map(|(_, _, of)| of(setup).clone()).unwrap_or_default()
        };
        Fold::compared(names, |name| value(&self.form, name), |name| value(&usual, name), &self.mistakes, false)
    }
}

/// What the form is about.
#[derive(Debug, Clone, Copy)]
pub(super) struct Edited {
    /// The setting's number; 0 for a new one.
    pub setting: i64,
    pub version: i64,
}

impl Edited {
    pub const NEW: Self = Self { setting: 0, version: 0 };
}

pub(super) async fn view(
    app: &App,
    visit: &Visit,
    known: &FireSnapshot,
    Edited { setting, version }: Edited,
    (form, mistakes): (Setup, Mistakes),
    now: OffsetDateTime,
) -> Result<EditPage> {
    let event_id = known.event.id;
    let base = format!("/events/{event_id}/rooms/fire/settings");
    let rows = ITEM_FIELDS.into_iter().enumerate();
    let rows = rows.map(|(place, ids)| ItemRow { number: place + 1, ids, values: form.item(place).map(str::to_owned) });
    let (heading, action, remove) = if setting == 0 {
        ("New estimate", format!("{base}/new"), String::new())
    } else {
        ("What this rests on", format!("{base}/{setting}"), format!("{base}/{setting}/remove"))
    };
    let up = format!("/events/{event_id}/rooms/fire?setting={setting}");
    Ok(EditPage {
        page: page(app, visit, &known.event, heading, now).await?.under(up, "What the fire will do"),
        heading,
        action,
        remove,
        rows: rows.collect(),
        form,
        version,
        mistakes,
    })
}
