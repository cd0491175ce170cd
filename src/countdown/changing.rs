//! Changing an event. Everyone who was told the old facts gets the new ones, in the
//! same write.

use super::items::{Following, MoveLine, Moves};
use super::{Outlook, store};
use crate::accounts::{Officer, Visit};
use crate::asks::{self, Count, Sender, Sending};
use crate::error::{Error, Result};
use crate::events::{self, Details, Event, EventForm, Refused};
use crate::mail;
use crate::people;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::zone::{self, Zone};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use std::collections::HashSet;
use std::sync::Arc;
use time::{Duration, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/edit", get(edit).merge(post(update)))
}

/// What the officer decided about a change.
#[derive(Debug, Clone)]
pub(super) struct Decided {
    pub details: Details,
    /// People are asked about dates they haven't been asked about yet.
    pub again: bool,
    /// Other times that day move along with first ignition.
    pub moves_times: bool,
    /// IDs of done tasks to do again.
    pub redo: Vec<i64>,
}

/// Changes the event and tells everyone who was told the old facts. It is all one
/// write, so nothing outdated goes out.
pub(super) async fn carry_out(
    app: &App,
    moves: &Moves,
    visit: &Visit,
    old: &Event,
    decided: Decided,
    now: OffsetDateTime,
) -> Result<Result<Count, Refused>> {
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let new = old.changed(&decided.details);
    let tasks = store::of_event(app.db.read(), old.id).await?;
    let calendar = crate::closed_days::calendar(app).await?;
    let closings = Outlook::of(tasks, Arc::clone(&calendar), new.details.burn_on, new.today(now))?.closings();
    let mut events = events::list(app.db.read()).await?;
    events.retain(|event| event.id != old.id);
    events.push(new.clone());
    let (actor, key, old, moves) = (visit.user.actor(), app.link_key.clone(), old.clone(), moves.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let before = asks::before_change(tx, &old).await?;
            if let Err(refused) = events::change(tx, actor, &old, &new, now).await? {
                return Ok(Err(refused));
            }
            store::reset(tx, actor, old.id, &decided.redo, now).await?;
            if new.facts_revision == old.facts_revision {
                return Ok(Ok(Count::default()));
            }
            let why = "The event's date or details changed.";
            if old.details.differs_only_for_visitors(&new.details) {
                // Whoever is told these facts gets a newer letter, and all others their own.
                mail::keep_for_event(tx, old.id, new.facts_revision, why, now).await?;
            } else {
                mail::cancel_for_event(tx, old.id, new.facts_revision, why, now).await?;
            }
            let moves_times = decided.moves_times;
            let (old, new, events, calendar) = (&old, &new, &events, &calendar);
            let following = Following { actor, old, new, moves_times, events, calendar, now };
            moves.follow(tx, following).await?;
            let closes_at = |kind| closings.last(kind, new, now);
            let sending = Sending { actor, sender: &sender, key: &key, now };
            Ok(Ok(asks::tell_changes(tx, (&before, new), decided.again, closes_at, sending).await?))
        })
    });
    write.await
}

/// How many people were told, for the message at the top of the next page.
pub(super) fn told(count: Count) -> String {
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
pub(super) struct ToUpdate {
    pub count: Count,
    /// How many people could be asked about dates they haven't been asked about.
    pub to_ask: usize,
}

/// Who would be told about a change to these details.
pub(super) async fn to_tell(app: &App, event: &Event, details: &Details) -> Result<ToUpdate> {
    let mut db = app.db.read().acquire().await?;
    let before = asks::before_change(&mut db, event).await?;
    let reached: HashSet<i64> =
        people::everyone(&mut db).await?.iter().filter(|person| person.has_mail()).map(|person| person.id).collect();
    let to_ask = before.to_ask(details);
    Ok(ToUpdate { count: before.count(details, to_ask > 0, |id| reached.contains(&id)), to_ask })
}

#[derive(Template)]
#[template(path = "events/edit.html")]
struct Edit {
    page: Page,
    id: i64,
    burn_day: String,
    form: EventForm,
    mistakes: Mistakes,
    zones: Vec<String>,
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let page = events::page(&app, &visit, Some(&event), app.clock.now()).await?.titled("Edit event");
    show(&edit_page(page, &event, EventForm::of(&event), Mistakes::default()))
}

fn edit_page(page: Page, event: &Event, form: EventForm, mistakes: Mistakes) -> Edit {
    Edit { page, id: event.id, burn_day: Reader::App.day(event.details.burn_on), form, mistakes, zones: Zone::names() }
}

/// What a change does, shown before it is saved.
#[derive(Template)]
#[template(path = "countdown/change.html")]
struct ChangePage {
    page: Page,
    id: i64,
    form: EventForm,
    changes: Vec<(&'static str, String, String)>,
    told: ToUpdate,
    /// "3 hours later"; empty if first ignition stays the same.
    by: String,
    rain_day: String,
    places: Vec<(&'static str, Vec<MoveLine>)>,
}

async fn update(
    State(app): State<App>,
    Extension(moves): Extension<Moves>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(mut form): Form<EventForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    // Burn day changes only on its own page, which shows what that does.
    form.burn_on = words::iso(event.details.burn_on);
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Edit event");
    if form.act == "back" {
        return show(&edit_page(page, &event, form, Mistakes::default()));
    }
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &edit_page(page, &event, form, mistakes));
        }
    };
    if form.version != event.version {
        return conflict::show(page, &stale(&event, &form));
    }
    let told = to_tell(&app, &event, &details).await?;
    let places = if event.details.tells_other_than(&details) {
        moves.lines(&app, &event, &details, now).await?
    } else {
        Vec::new()
    };
    let concerns = told.count != Count::default() || places.iter().any(|(_, lines)| !lines.is_empty());
    if form.act != "save" && (concerns || details.burn_time != event.details.burn_time) {
        return show(&change_page(page, &event, &details, form, (told, places)));
    }
    let (again, moves_times) = (form.again == "yes", form.along == "yes");
    let decided = Decided { details, again, moves_times, redo: Vec::new() };
    match carry_out(&app, &moves, &visit, &event, decided, now).await? {
        Ok(count) => {
            Ok(flash::redirect(&event.href(), format!("The event is saved. {}", self::told(count)).trim_end()))
        }
        Err(Refused::Gone) => Err(Error::NotFound),
        Err(Refused::Stale) => {
            let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
            conflict::show(page, &stale(&event, &form))
        }
    }
}

fn change_page(
    page: Page,
    event: &Event,
    details: &Details,
    form: EventForm,
    (told, places): (ToUpdate, Vec<(&'static str, Vec<MoveLine>)>),
) -> ChangePage {
    let old = &event.details;
    let rain = |details: &Details| details.rain_on.map_or("none".to_owned(), |on| Reader::App.day(on));
    let place = |details: &Details| details.visitors.place.map(|place| place.to_string()).unwrap_or_default();
    let (visitors, theirs) = (&details.visitors, &old.visitors);
    let all = [
        ("Name", old.name.clone(), details.name.clone()),
        ("Site", old.site.clone(), details.site.clone()),
        ("Time zone", zone::plain(old.zone.name()).to_owned(), zone::plain(details.zone.name()).to_owned()),
        ("First ignition", Reader::App.time(old.burn_time), Reader::App.time(details.burn_time)),
        ("Rain date", rain(old), rain(details)),
        ("Rooms burn", old.format.to_string(), details.format.to_string()),
        ("Street address", theirs.address_line(), visitors.address_line()),
        ("Place on the map", place(old), place(details)),
        ("Parking", theirs.parking.clone(), visitors.parking.clone()),
        ("What to wear", theirs.clothing.clone(), visitors.clothing.clone()),
    ];
    ChangePage {
        page,
        id: event.id,
        form,
        changes: all.into_iter().filter(|(_, was, now)| was != now).collect(),
        told,
        by: later(details.burn_time - old.burn_time),
        rain_day: details.rain_on.map(|on| Reader::App.day(on)).unwrap_or_default(),
        places: places.into_iter().filter(|(_, lines)| !lines.is_empty()).collect(),
    }
}

/// "3 hours later", "1 hour 30 minutes earlier"; empty for no time.
fn later(by: Duration) -> String {
    let minutes = usize::try_from(by.whole_minutes().unsigned_abs()).unwrap_or(usize::MAX);
    let parts = [(minutes / 60, "hour", "hours"), (minutes % 60, "minute", "minutes")];
    let parts = parts.map(|(number, one, many)| (number > 0).then(|| words::count(number, one, many)));
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let side = if by.is_negative() { "earlier" } else { "later" };
    if parts.is_empty() { String::new() } else { format!("{} {side}", parts.join(" ")) }
}

fn stale(event: &Event, mine: &EventForm) -> Conflict {
    let theirs = EventForm::of(event);
    let mut conflict = Conflict::new(&event.details.name, format!("/events/{}/edit", event.id), event.version);
    conflict.field("name", "Name", &theirs.name, &mine.name);
    conflict.field("site", "Site", &theirs.site, &mine.site);
    conflict.compare("Time zone", zone::plain(&theirs.zone), zone::plain(&mine.zone));
    conflict.silent("zone", &mine.zone);
    conflict.field("burn_time", "First ignition", &theirs.burn_time, &mine.burn_time);
    conflict.compare("Rain date", &day(&theirs.rain_on), &day(&mine.rain_on));
    conflict.silent("rain_on", &mine.rain_on);
    conflict.field("format", "Rooms burn", &theirs.format, &mine.format);
    conflict.field("audience", "People expected", &theirs.audience, &mine.audience);
    conflict.list("weekday", "Weekdays", &theirs.weekday, &mine.weekday);
    conflict.field("address", "Street address", &theirs.address, &mine.address);
    conflict.field("coordinates", "Place on the map", &theirs.coordinates, &mine.coordinates);
    conflict.field("parking", "Parking", &theirs.parking, &mine.parking);
    conflict.field("clothing", "What to wear", &theirs.clothing, &mine.clothing);
    conflict
}

/// A day from a form, as people read it.
fn day(typed: &str) -> String {
    form::day(typed).map_or_else(|_| typed.to_owned(), |on| Reader::App.day(on))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shift_reads_in_hours_and_minutes() {
        assert_eq!(later(Duration::minutes(180)), "3 hours later");
        assert_eq!(later(Duration::minutes(-90)), "1 hour 30 minutes earlier");
        assert_eq!(later(Duration::minutes(20)), "20 minutes later");
        assert_eq!(later(Duration::ZERO), "");
    }
}
