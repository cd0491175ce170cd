//! Answering with an offer, by link.

use super::form::{Offer, OfferForm, OfferPart};
use super::store;
use super::taking::{Follows, Offered, Taking};
use crate::asks::link::{self, Opened};
use crate::asks::{Given, Request, Way};
use crate::error::Result;
use crate::photos::{self, Pictures, Posted, Taken};
use crate::state::App;
use crate::web::client::Client;
use crate::web::form::Mistakes;
use crate::web::limits::Limit;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::{FromRequest, Request as HttpRequest, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

/// The largest request: one photo and its form.
pub const MOST_SENT: usize = photos::MOST_BYTES + 256 * 1024;

/// The most photos for one question.
const MOST_PHOTOS: i64 = 5;

/// For anyone with a link. A photo may come along.
pub fn router(follows: Follows) -> Router<App> {
    let press = move |State(app): State<App>, Client(client): Client, Path(secret): Path<String>, request| async move {
        press(app, client, secret, request, follows).await
    };
    Router::new().route("/answer/{secret}/offer", post(press))
}

/// Reads a photo only behind a link that opens, and not too often.
async fn press(app: App, client: String, secret: String, request: HttpRequest, follows: Follows) -> Result<Response> {
    let opened = match link::opened(&app, &client, &secret).await? {
        Ok(opened) => opened,
        Err(answer) => return Ok(answer),
    };
    let (here, asked) = (opened.path.clone(), &opened.found.request);
    if !opened.takes_answers() || !asked.kind.takes_offer() {
        return link::private(Ok(Redirect::to(&here).into_response()));
    }
    if let Some(too_often) = too_often(&app, asked, client) {
        return Ok(too_often);
    }
    let Posted(form, pictures) = match Posted::<OfferForm>::from_request(request, &app).await {
        Ok(posted) => posted,
        Err(answer) => return Ok(answer),
    };
    match read(&app, asked, &form, &pictures).await? {
        Ok((offer, photo)) => {
            record(&app, opened, offer, photo, follows).await?;
            link::private(Ok(Redirect::to(&here).into_response()))
        }
        Err(mistakes) => {
            let part = OfferPart { photo_kept: pictures.kept("photo").to_owned(), ..OfferPart::new(asked, &form) };
            link::private(wrong(&app, &opened, mistakes, part))
        }
    }
}

/// The page again, with what is wrong.
fn wrong(app: &App, opened: &Opened, mistakes: Mistakes, part: OfferPart) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &opened.page(app, opened.form(), mistakes, part))
}

/// Counts this offer toward the limits for the question and for whoever sends it. The answer
/// to one too many, if it is.
fn too_often(app: &App, asked: &Request, client: String) -> Option<Response> {
    let limits = [(Limit::OfferHere, asked.id.to_string()), (Limit::OfferAddress, client)];
    limits.into_iter().find_map(|(limit, whose)| app.limits.take(limit, &whose).err()).map(IntoResponse::into_response)
}

/// The offer and its photo, or what is wrong with them.
async fn read(
    app: &App,
    asked: &Request,
    form: &OfferForm,
    pictures: &Pictures,
) -> Result<Result<(Offer, Option<Taken>), Mistakes>> {
    let photo = pictures.of("photo").and_then(|taken| taken.as_ref().ok()).cloned();
    let has_many = async || store::photos_of(&mut *app.db.read().acquire().await?, asked.id).await;
    let wrong = if photo.is_some() && has_many().await? >= MOST_PHOTOS {
        "You have already sent five photos. Call us if you need to show more.".to_owned()
    } else {
        pictures.mistake("photo").to_owned()
    };
    let (offer, mut mistakes) = match form.read(asked) {
        Ok(offer) => (Some(offer), Mistakes::default()),
        Err(mistakes) => (None, mistakes),
    };
    if !wrong.is_empty() {
        mistakes.add("photo", wrong);
    }
    Ok(offer.filter(|_| mistakes.is_empty()).map(|offer| (offer, photo)).ok_or(mistakes))
}

async fn record(app: &App, opened: Opened, offer: Offer, photo: Option<Taken>, follows: Follows) -> Result<()> {
    let Offer { ask, said, lines, what, fetch } = offer;
    if opened.found.request.live().all(|known| known.id != ask) {
        return Ok(());
    }
    let given = Given { note: what.clone(), ..Given::of(said, Way::Link) };
    let offered = Offered {
        event: opened.found.event.clone(),
        request: opened.found.request.clone(),
        said,
        lines,
        what,
        fetch,
        at: opened.now,
    };
    link::record(app, opened, vec![(ask, given)], Some(Taking { offered, photo, follows })).await
}
