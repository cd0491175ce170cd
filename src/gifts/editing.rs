//! A gift added or changed.

use super::form::{FORM, GiftForm};
use super::page::{event, found};
use super::views::Edit;
use super::{Basis, Details, Gift, InName, facts, store};
use crate::accounts::{Officer, Visit};
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::choosing::{self, Chooser, Line, Settled, Whom, WithPerson};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::Mistakes;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/gifts/new", get(new).merge(post(create)))
        .route("/events/{id}/guests/gifts/{gift}/edit", get(edit).merge(post(change)))
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    (event, gift): (&Event, Option<&Gift>),
    sent: WithPerson<GiftForm>,
    now: OffsetDateTime,
) -> Result<Edit> {
    let heading = if gift.is_some() { "Edit gift" } else { "Add a gift" };
    let action = gift.map_or(format!("/events/{}/guests/gifts/new", event.id), |gift| format!("{}/edit", gift.href()));
    let page = events::page(app, visit, Some(event), now).await?.titled(heading);
    let mut db = app.db.read().acquire().await?;
    let (find, giver) = (&sent.find, sent.form.person.parse().ok());
    let givers = Chooser::load(&mut db, action.clone(), find, giver.as_slice(), &[], Person::place).await?;
    drop(db);
    Ok(Edit {
        page: if let Some(gift) = gift { page.under(gift.href(), facts::title(gift, true)) } else { page },
        heading,
        action,
        usual: GiftForm::fresh("", event.today(now)),
        is_again: sent.is_again(),
        adding: sent.adding(),
        form: sent.form,
        mistakes: sent.mistakes,
        givers,
        names: people::list(app.db.read()).await?,
    })
}

async fn refuse(
    app: &App,
    visit: &Visit,
    of: (&Event, Option<&Gift>),
    sent: WithPerson<GiftForm>,
    now: OffsetDateTime,
) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &edit_page(app, visit, of, sent, now).await?)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct From {
    person: String,
}

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(from): Query<From>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let form = GiftForm::fresh(&from.person, event.today(now));
    show(&edit_page(&app, &visit, (&event, None), WithPerson::fresh(form), now).await?)
}

const NO_DONOR: &str = "Choose the donor.";

/// A gift that can be saved once its donor is settled, who may be new.
struct Ready {
    details: Details,
    donor: Whom,
}

/// What was typed, if it can be saved. A gift in the name of an organization needs a donor who
/// has one.
async fn ready(app: &App, sent: &WithPerson<GiftForm>, today: Date) -> Result<Result<Ready, Mistakes>> {
    let mut mistakes = Mistakes::default();
    let donor = sent.new.whom("person", &sent.form.person, NO_DONOR, &mut mistakes);
    let (details, donor) = match (sent.form.read(today), donor) {
        (Ok(details), Some(donor)) => (details, donor),
        (Ok(_), None) => return Ok(Err(mistakes)),
        (Err(others), _) => return Ok(Err(mistakes.and(others))),
    };
    match choosing::known_about(&mut *app.db.read().acquire().await?, &donor).await? {
        None => mistakes.add("person", NO_DONOR),
        Some(known) if details.in_name == InName::Organization && known.organization.is_empty() => match donor {
            Whom::New(_) => mistakes.add("new_organization", "Enter the organization, or choose “themselves” above."),
            Whom::Known(_) => mistakes.add(
                "in_name",
                "This person's contact record has no organization. Add it under People, or choose “themselves.”",
            ),
        },
        Some(_) => return Ok(Ok(Ready { details, donor })),
    }
    Ok(Err(mistakes))
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    sent: WithPerson<GiftForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    if sent.find.is_looking() {
        return show(&edit_page(&app, &visit, (&event, None), sent, now).await?);
    }
    let Ready { details, donor } = match ready(&app, &sent, event.today(now)).await? {
        Ok(ready) => ready,
        Err(mistakes) => return refuse(&app, &visit, (&event, None), sent.refused(mistakes), now).await,
    };
    let actor = visit.user.actor();
    let add = app.db.write(move |tx| {
        Box::pin(async move {
            Ok(match choosing::settle(tx, actor, &donor, now).await? {
                Settled::Person { id: person_id, said } => {
                    let gift = store::add(tx, actor, id, &Details { person_id, ..details }, now).await?;
                    Ok((gift, format!("Gift added.{said}")))
                }
                Settled::Unsure(known) => Err(known),
            })
        })
    });
    match add.await? {
        Ok((gift, said)) => Ok(flash::redirect(&format!("/events/{id}/guests/gifts/{gift}"), &said)),
        Err(known) => refuse(&app, &visit, (&event, None), sent.unsure(known), now).await,
    }
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path((id, gift)): Path<(i64, i64)>) -> Result<Response> {
    let now = app.clock.now();
    let (event, gift) = found(&app, id, gift).await?;
    let form = GiftForm::of(&gift, event.today(now));
    show(&edit_page(&app, &visit, (&event, Some(&gift)), WithPerson::fresh(form), now).await?)
}

async fn change(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, gift)): Path<(i64, i64)>,
    sent: WithPerson<GiftForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, gift) = found(&app, id, gift).await?;
    if sent.find.is_looking() {
        return show(&edit_page(&app, &visit, (&event, Some(&gift)), sent, now).await?);
    }
    let new = match ready(&app, &sent, event.today(now)).await? {
        Ok(new) => new,
        Err(mistakes) => return refuse(&app, &visit, (&event, Some(&gift)), sent.refused(mistakes), now).await,
    };
    let donor = new.donor.clone();
    match save(&app, visit.user.actor(), &gift, new, sent.form.version, now).await? {
        Saved::Done(said) => Ok(flash::redirect(&gift.href(), &said)),
        Saved::Unsure(known) => refuse(&app, &visit, (&event, Some(&gift)), sent.unsure(known), now).await,
        Saved::Stale => {
            let (_, status) = found(&app, id, gift.id).await?;
            let page = events::page(&app, &visit, Some(&event), now).await?;
            conflict::show(page, &stale(&app, &status, (&sent, &donor), event.today(now)).await?)
        }
    }
}

/// How saving a gift went.
enum Saved {
    Done(String),
    Unsure(Vec<Line>),
    Stale,
}

/// Saves a gift with its donor. Nobody is added for a gift that someone else changed.
async fn save(app: &App, actor: Actor, gift: &Gift, new: Ready, version: i64, now: OffsetDateTime) -> Result<Saved> {
    let (event_id, id) = (gift.event_id, gift.id);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if store::find(tx, event_id, id).await?.is_none_or(|saved| saved.version != version) {
                return Ok(Saved::Stale);
            }
            let (person_id, said) = match choosing::settle(tx, actor, &new.donor, now).await? {
                Settled::Person { id, said } => (id, said),
                Settled::Unsure(known) => return Ok(Saved::Unsure(known)),
            };
            let details = Details { person_id, ..new.details };
            store::save(tx, actor, (event_id, id), &details, version, now).await?;
            Ok(Saved::Done(format!("Gift saved.{said}")))
        })
    });
    write.await
}

async fn stale(
    app: &App,
    saved: &Gift,
    (sent, donor): (&WithPerson<GiftForm>, &Whom),
    today: Date,
) -> Result<Conflict> {
    let (theirs, mine) = (GiftForm::of(saved, today), &sent.form);
    let mut conflict = Conflict::new(&facts::title(saved, true), format!("{}/edit", saved.href()), saved.version);
    let named = choosing::known_about(&mut *app.db.read().acquire().await?, donor).await?;
    conflict.silent("person", &mine.person);
    conflict.compare("Donor", &saved.person, &named.map(|details| details.name).unwrap_or_default());
    sent.new.keep(&mut conflict);
    let in_name = |text: &str| text.parse::<InName>().map_or("", InName::label);
    conflict.silent("in_name", &mine.in_name);
    conflict.compare("Given in the name of", in_name(&theirs.in_name), in_name(&mine.in_name));
    let basis = |text: &str| text.parse::<Basis>().map_or("", Basis::label);
    conflict.silent("basis", &mine.basis);
    conflict.compare("Basis of the value", basis(&theirs.basis), basis(&mine.basis));
    for field in FORM {
        conflict.field(field.name, field.label, (field.of)(&theirs), (field.of)(mine));
    }
    Ok(conflict)
}
