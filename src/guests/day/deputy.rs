//! A deputy who came in a guest's place.

use super::deputy_form::DeputyForm;
use super::page::{Refused, day_page};
use crate::accounts::Worker;
use crate::asks::{self, Confirm, Given, Said, Way};
use crate::calc::precedence::ordinal;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::guests::guest::Day;
use crate::guests::record::GuestRecord;
use crate::guests::{page, store};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::link::LinkKey;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words::Reader;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/{guest}/deputy", post(deputy))
}

async fn deputy(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, guest)): Path<(i64, i64)>,
    Form(form): Form<DeputyForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?.clone();
    let day = match form.read(snapshot.event.details.burn_on) {
        Ok(day) => day,
        Err(mistakes) => {
            let page = page::page(&app, &visit, &snapshot.event, "Guest check-in").await?;
            let refused = Refused { guest, form, mistakes };
            let page = day_page(page, &snapshot, &visit.user, now, refused);
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let said = format!("{} is here on behalf of {}.", day.deputy, known.called());
    let at = Reader::App.time(snapshot.event.details.zone.wall(now).time());
    let (actor, event, key) = (visit.user.actor(), snapshot.event, app.link_key.clone());
    let write = app
        .db
        .write(move |tx| Box::pin(async move { stand_in(tx, actor, (&event, &key), (&known, &day), &at, now).await }));
    write.await?;
    let place = order_now(&app, id, guest).await?.map(|place| format!(" Introduce them {}.", ordinal(place)));
    Ok(flash::redirect(&format!("/events/{id}/burn-day/guests"), &format!("{said}{}", place.unwrap_or_default())))
}

async fn order_now(app: &App, id: i64, guest: i64) -> Result<Option<usize>> {
    let snapshot = page::snapshot(app, id).await?;
    let on = snapshot.event.details.burn_on;
    let order = snapshot.order(on, |known| known.is_counted_on(on));
    Ok(order.iter().find(|placed| snapshot.guests[placed.of].guest.id == guest).map(|placed| placed.place))
}

/// A deputy is here. That is an answer like any other if the guest was asked about this
/// day, and is saved with the guest in any case.
async fn stand_in(
    tx: &mut Tx,
    actor: Actor,
    (event, key): (&Event, &LinkKey),
    (known, day): (&GuestRecord, &Day),
    at: &str,
    now: OffsetDateTime,
) -> Result<()> {
    if let Some(request) = &known.request
        && let Some(ask) = request.live().find(|ask| Some(ask.for_on) == day.on)
    {
        let given = Given {
            deputy: day.deputy.clone(),
            deputy_title: day.deputy_title.clone(),
            deputy_phone: day.deputy_phone.clone(),
            deputy_mail: day.deputy_mail.clone(),
            wants_to_speak: ask.stands().and_then(|answer| answer.wants_to_speak),
            evidence: format!("said on arrival at {at}"),
            ..Given::of(Said::Deputy, Way::InPerson)
        };
        asks::answer(tx, actor, (event, request), (ask.id, &given), Confirm::Not, now).await?;
        asks::tell_deputies(tx, event, request, key, now).await?;
    }
    store::tick(tx, actor, (&known.guest, &known.person.details.name), day, now).await
}
