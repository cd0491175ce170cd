//! The page of an outlet: its contacts, its log, and whether it is on the list.

use super::contacts::{Attempt, contacts};
use super::form::OutletForm;
use super::listing::listings;
use super::owners::owners;
use super::{Contact, Listing, OUTLET_KINDS, Outlet, store};
use crate::accounts::{self, Visit};
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::{self, Name};
use crate::press::log::{self, Shown};
use crate::press::reach::Reach;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;

#[derive(Template)]
#[template(path = "press/outlet.html")]
pub(super) struct OutletPage {
    page: Page,
    event_id: i64,
    keeps: bool,
    sees_people: bool,
    outlet: Outlet,
    beneath: String,
    closed: String,
    contacts: Vec<ContactLine>,
    listing: Option<Listing>,
    owners: Vec<Name>,
    log: Vec<Shown>,
    form: OutletForm,
    mistakes: Mistakes,
    /// Adding a contact.
    attempt: Attempt,
    kinds: &'static [&'static str],
    history: Vec<HistoryLine>,
}

struct ContactLine {
    contact: Contact,
    reach: Reach,
}

/// An outlet, if there is one.
pub(super) async fn found(app: &App, id: i64) -> Result<Outlet> {
    store::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

/// The page with what was typed.
pub(super) async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    outlet: Outlet,
    (form, mistakes): (OutletForm, Mistakes),
    attempt: Attempt,
) -> Result<OutletPage> {
    let now = app.clock.now();
    let page = events::page(app, visit, Some(event), now).await?.titled(&outlet.details.name);
    let entries = log::of_event(app.db.read(), event.id).await?;
    let history = journal::of(app.db.read(), "outlet", outlet.id).await?;
    let mut db = app.db.read().acquire().await?;
    let known = people::everyone(&mut db).await?;
    let theirs = contacts(&mut db).await?.into_iter().filter(|contact| contact.outlet_id == outlet.id);
    let line = |contact: Contact| ContactLine {
        reach: Reach::of(known.iter().find(|person| person.id == contact.person_id), &visit.user),
        contact,
    };
    let listing = listings(&mut db, event.id).await?.into_iter().find(|known| known.outlet_id == outlet.id);
    let owners = owners(&accounts::list_in(&mut db).await?);
    let closed: Vec<String> = outlet.details.closed_weekdays.iter().map(|day| format!("{day}s")).collect();
    let days = outlet.details.closed_on.iter().map(|on| Reader::App.day(*on));
    Ok(OutletPage {
        page,
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        sees_people: visit.user.sees_people(),
        beneath: beneath(&outlet),
        closed: closed.into_iter().chain(days).collect::<Vec<_>>().join(", "),
        contacts: theirs.map(line).collect(),
        listing,
        owners,
        log: log::shown(&entries, event, &visit.user, |entry| entry.outlet_id == outlet.id),
        form,
        mistakes,
        attempt,
        kinds: &OUTLET_KINDS,
        history: app.history.lines(history, &event.details.zone),
        outlet,
    })
}

/// What kind of outlet it is, in one line.
pub(super) fn beneath(outlet: &Outlet) -> String {
    let details = &outlet.details;
    let mut parts = vec![details.kind.to_string()];
    if !details.rhythm.is_empty() {
        parts.push(details.rhythm.clone());
    }
    if details.lead_days > 0 {
        let days = words::count(usize::from(details.lead_days), "day", "days");
        parts.push(format!("needs text {days} before burn day"));
    }
    parts.join(" · ")
}
