//! What someone can donate: the lines they check in a question about furniture or
//! material, what it is in their own words, when we can pick it up, and a photo.
//!
//! What follows from an offer isn't known here. Whoever asked passes in a function, which
//! runs in the same write as the answer.

mod store;

pub use store::{Made, forget, offers};

use super::link::{self, Opened};
use super::{Ask, Given, Request, Said, Way};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::photos::{self, Posted, Taken};
use crate::state::App;
use crate::web::form::{self, Mistakes};
use crate::web::limits::{Client, Limit};
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::{FromRequest, Request as HttpRequest, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use futures_util::future::BoxFuture;
use serde::Deserialize;
use time::OffsetDateTime;

/// The largest request: one photo and its form.
pub const MOST_SENT: usize = photos::MOST_BYTES + 256 * 1024;

/// The most photos for one question.
const MOST_PHOTOS: i64 = 5;

/// An answer to a question about donations.
#[derive(Debug, Clone)]
pub struct Offered {
    pub event: Event,
    pub request: Request,
    pub said: Said,
    /// The lines of the question they will donate, counted from 0.
    pub lines: Vec<usize>,
    /// In their own words. Both may be empty.
    pub what: String,
    pub fetch: String,
    pub at: OffsetDateTime,
}

/// What an answer does besides being saved.
pub type Follows = for<'c> fn(&'c mut Tx, &'c Offered) -> BoxFuture<'c, Result<()>>;

/// For anyone with a link. A photo may come along.
pub fn router(follows: Follows) -> Router<App> {
    let press = move |State(app): State<App>, Client(client): Client, Path(secret): Path<String>, request| async move {
        press(app, client, secret, request, follows).await
    };
    Router::new().route("/answer/{secret}/offer", post(press))
}

/// An offer as typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct OfferForm {
    /// The button: the number of the date's ask and the answer.
    say: String,
    line: Vec<usize>,
    what: String,
    fetch: String,
}

/// An offer without its photo.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Offer {
    pub what: String,
    pub fetch: String,
}

/// The offer on the answer page.
#[derive(Debug, Clone, Default)]
pub(super) struct OfferPart {
    /// Each line of the question: what, the rest, and whether it is checked.
    pub lines: Vec<(String, String, bool)>,
    pub what: String,
    pub fetch: String,
    /// The digest of a photo that arrived along with a mistake in another field.
    pub photo_kept: String,
}

impl OfferPart {
    fn new(request: &Request, form: &OfferForm) -> Self {
        let line = |(number, (what, rest)): (usize, &(String, String))| {
            (what.clone(), rest.clone(), form.line.contains(&number))
        };
        Self {
            lines: request.facts.iter().enumerate().map(line).collect(),
            what: form.what.clone(),
            fetch: form.fetch.clone(),
            ..Self::default()
        }
    }

    /// The newest offer, to change. A single line doesn't have to be checked.
    pub async fn load(app: &App, request: &Request) -> Result<Self> {
        if !request.kind.takes_offer() {
            return Ok(Self::default());
        }
        let last = store::last(&mut *app.db.read().acquire().await?, request.id).await?;
        let (line, fetch) = last.unwrap_or_default();
        let newest = request.live().filter_map(Ask::stands).max_by_key(|answer| answer.at);
        let what = newest.map(|answer| answer.note.clone()).unwrap_or_default();
        Ok(Self::new(request, &OfferForm { line, what, fetch, ..OfferForm::default() }))
    }
}

impl OfferForm {
    /// The date answered, the answer, and what they offer.
    fn read(&self, request: &Request) -> Result<(i64, Said, Vec<usize>, Offer), Mistakes> {
        let mut mistakes = Mistakes::default();
        let (ask, said) = self.say.split_once(' ').unwrap_or_default();
        let said = said.parse::<Said>().ok().filter(|said| *said != Said::Deputy);
        let pressed = ask.parse::<i64>().ok().zip(said).ok_or("Choose an answer.".to_owned());
        let pressed = mistakes.note("say", pressed);
        let what = mistakes.note("what", form::paragraph(&self.what, 1_000));
        let fetch = mistakes.note("fetch", form::optional_line(&self.fetch, 200));
        let mut lines: Vec<usize> = self.line.iter().copied().filter(|line| *line < request.facts.len()).collect();
        lines.sort_unstable();
        lines.dedup();
        let is_yes = matches!(pressed, Some((_, Said::Yes)));
        match (is_yes, request.facts.len()) {
            (true, 1) => lines = vec![0],
            (true, _) if lines.is_empty() => mistakes.add("line", "Check what you can give."),
            (false, _) => lines.clear(),
            (true, _) => {}
        }
        match (pressed, what, fetch, mistakes.is_empty()) {
            (Some((ask, said)), Some(what), Some(fetch), true) => Ok((ask, said, lines, Offer { what, fetch })),
            _ => Err(mistakes),
        }
    }
}

/// Reads a photo only behind a link that opens, and not too often.
async fn press(app: App, client: String, secret: String, request: HttpRequest, follows: Follows) -> Result<Response> {
    let opened = match link::opened(&app, &client, &secret).await? {
        Ok(opened) => opened,
        Err(answer) => return Ok(answer),
    };
    let here = opened.path.clone();
    let asked = &opened.found.request;
    if !opened.takes_answers() || !asked.kind.takes_offer() {
        return link::private(Ok(Redirect::to(&here).into_response()));
    }
    let tries = [(Limit::OfferHere, asked.id.to_string()), (Limit::OfferAddress, client)];
    for (limit, whose) in tries {
        if let Err(too_often) = app.limits.take(limit, &whose) {
            return Ok(too_often.into_response());
        }
    }
    let Posted(form, pictures) = match Posted::<OfferForm>::from_request(request, &app).await {
        Ok(posted) => posted,
        Err(answer) => return Ok(answer),
    };
    let mut mistakes = Mistakes::default();
    let photo = pictures.of("photo").and_then(|taken| taken.as_ref().ok()).cloned();
    let has_many = async || store::photos_of(&mut *app.db.read().acquire().await?, asked.id).await;
    if photo.is_some() && has_many().await? >= MOST_PHOTOS {
        mistakes.add("photo", "You have already sent five photos. Call us if you need to show more.");
    } else if !pictures.mistake("photo").is_empty() {
        mistakes.add("photo", pictures.mistake("photo").to_owned());
    }
    let read = match form.read(asked) {
        Ok(read) if mistakes.is_empty() => Ok(read),
        Ok(_) => Err(mistakes),
        Err(mut found) => {
            if !mistakes.of("photo").is_empty() {
                found.add("photo", mistakes.of("photo").to_owned());
            }
            Err(found)
        }
    };
    match read {
        Ok((ask, said, lines, offer)) => {
            record(&app, opened, (ask, said, lines, offer), photo, follows).await?;
            link::private(Ok(Redirect::to(&here).into_response()))
        }
        Err(mistakes) => {
            let part = OfferPart { photo_kept: pictures.kept("photo").to_owned(), ..OfferPart::new(asked, &form) };
            let page = opened.page(&app, opened.form(), mistakes, part);
            link::private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page))
        }
    }
}

async fn record(
    app: &App,
    opened: Opened,
    (ask, said, lines, offer): (i64, Said, Vec<usize>, Offer),
    photo: Option<Taken>,
    follows: Follows,
) -> Result<()> {
    if opened.found.request.live().all(|known| known.id != ask) {
        return Ok(());
    }
    let given = Given {
        said,
        deputy: String::new(),
        deputy_title: String::new(),
        deputy_phone: String::new(),
        deputy_mail: String::new(),
        wants_to_speak: None,
        note: offer.what.clone(),
        access_needs: String::new(),
        party: None,
        there: None,
        way: Way::Link,
        evidence: String::new(),
    };
    let offered = Offered {
        event: opened.found.event.clone(),
        request: opened.found.request.clone(),
        said,
        lines,
        what: offer.what.clone(),
        fetch: offer.fetch.clone(),
        at: opened.now,
    };
    link::record(app, opened, vec![(ask, given)], Some(Taking { offered, offer, photo, follows })).await
}

/// What is stored along with an answer by link.
#[derive(Debug, Clone)]
pub(super) struct Taking {
    offered: Offered,
    offer: Offer,
    photo: Option<Taken>,
    follows: Follows,
}

impl Taking {
    /// What they promised, for their own records. None if they didn't.
    pub fn says(&self) -> Option<String> {
        if self.offered.said != Said::Yes {
            return None;
        }
        let line = |number: &usize| self.offered.request.facts.get(*number).map(|(what, _)| what.as_str());
        let lines: Vec<&str> = self.offered.lines.iter().filter_map(line).collect();
        let mut says = vec![format!("You promised: {}.", lines.join(", "))];
        if !self.offer.what.is_empty() {
            says.push(format!("What it is: {}", self.offer.what));
        }
        if !self.offer.fetch.is_empty() {
            says.push(format!("When and where we can pick it up: {}", self.offer.fetch));
        }
        Some(says.join("\n"))
    }

    /// Saves the offer with the answer just written, and does what follows from it.
    pub async fn keep(&self, tx: &mut Tx, ask: i64) -> Result<()> {
        let now = self.offered.at;
        let photo = match &self.photo {
            Some(taken) => Some(photos::keep(tx, taken, Actor::Link, now).await?),
            None => None,
        };
        store::insert(tx, ask, (&self.offered.lines, &self.offer), photo).await?;
        (self.follows)(tx, &self.offered).await
    }
}
