use super::{Event, EventForm, Refused, page, store};
use crate::accounts::{Officer, SignedIn};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::words;
use crate::zone::{self, Zone};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};

/// The list of events, and one event's own data. Planning a new one and moving
/// its day belong to the countdown.
pub fn router() -> Router<App> {
    Router::new()
        .route("/", get(start))
        .route("/events", get(index))
        .route("/events/{id}/edit", get(edit).post(update))
        .route("/events/{id}/current", post(make_current))
}

async fn start(State(app): State<App>, SignedIn(_): SignedIn) -> Result<Response> {
    let to = store::current(app.db.read()).await?.map_or_else(|| "/events".to_owned(), |event| event.href());
    Ok(Redirect::to(&to).into_response())
}

#[derive(Template)]
#[template(path = "events/index.html")]
struct Index {
    page: Page,
    events: Vec<Line>,
}

struct Line {
    id: i64,
    name: String,
    when: String,
    is_current: bool,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    let now = app.clock.now();
    let events = store::list(app.db.read()).await?;
    let line = |event: Event| Line {
        id: event.id,
        when: event.details.line(event.today(now)),
        name: event.details.name,
        is_current: event.is_current,
    };
    let page = page(&app, &visit, None, now).await?.titled("Events");
    show(&Index { page, events: events.into_iter().map(line).collect() })
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
    let event = store::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let page = page(&app, &visit, Some(&event), app.clock.now()).await?.titled("Event");
    show(&edit_page(page, &event, EventForm::of(&event), Mistakes::default()))
}

fn edit_page(page: Page, event: &Event, form: EventForm, mistakes: Mistakes) -> Edit {
    Edit { page, id: event.id, burn_day: words::day(event.details.burn_on), form, mistakes, zones: Zone::names() }
}

async fn update(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(mut form): Form<EventForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = store::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    // The burn day moves only by its own page, which shows what that does.
    form.burn_on = words::iso(event.details.burn_on);
    let page = page(&app, &visit, Some(&event), now).await?.titled("Event");
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &edit_page(page, &event, form, mistakes));
        }
    };
    let (actor, old, version) = (visit.user.actor(), event.clone(), form.version);
    let saved =
        app.db.write(move |tx| Box::pin(async move { store::save(tx, actor, &old, &details, version, now).await }));
    match saved.await? {
        Ok(()) => Ok(flash::redirect(&event.href(), "The event is changed.")),
        Err(Refused::Gone) => Err(Error::NotFound),
        Err(Refused::Stale) => conflict::show(page, &stale(&event, &form)),
    }
}

fn stale(event: &Event, mine: &EventForm) -> Conflict {
    let theirs = EventForm::of(event);
    let mut conflict = Conflict::new(&event.details.name, format!("/events/{}/edit", event.id), event.version);
    conflict.field("name", "Name", &theirs.name, &mine.name);
    conflict.field("site", "Site", &theirs.site, &mine.site);
    conflict.compare("Time zone", zone::plain(&theirs.zone), zone::plain(&mine.zone));
    conflict.silent("zone", &mine.zone);
    conflict.field("burn_time", "Time", &theirs.burn_time, &mine.burn_time);
    conflict.field("rain_on", "Rain date", &theirs.rain_on, &mine.rain_on);
    conflict.field("format", "Format", &theirs.format, &mine.format);
    conflict.field("audience", "Audience", &theirs.audience, &mine.audience);
    conflict.list("weekday", "Weekdays", &theirs.weekday, &mine.weekday);
    conflict
}

async fn make_current(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let event = store::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let (actor, made) = (visit.user.actor(), event.clone());
    app.db.write(move |tx| Box::pin(async move { store::make_current(tx, actor, &made, now).await })).await?;
    Ok(flash::redirect(&event.href(), &format!("{} is the current event.", event.details.name)))
}
