//! Invitations on paper.

use super::chosen::{Whom, chosen};
use crate::accounts::SignedIn;
use crate::asks::{self, Kind, Sender, Signer};
use crate::countdown;
use crate::error::Result;
use crate::guests::facts::{facts, shown_to};
use crate::guests::inviting::words_of;
use crate::guests::record::GuestRecord;
use crate::guests::snapshot::GuestSnapshot;
use crate::guests::status::GuestStatus;
use crate::guests::{page, signing};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/letters", get(letters))
}

struct Letter {
    /// The name in the address.
    name: String,
    /// How the letter begins.
    dear: String,
    lines: Vec<String>,
    facts: Vec<(String, String)>,
    /// The day by which we need a reply.
    reply_by: String,
    /// Who signs, if not the person who prints it.
    signer: Option<Signer>,
}

#[derive(Template)]
#[template(path = "guests/letters.html")]
struct Letters {
    page: Page,
    event_id: i64,
    sender: Sender,
    today: String,
    question: String,
    /// "10 a.m. on Saturday, January 9, 2027".
    day: String,
    rain_day: String,
    place: String,
    /// What a live burn is.
    about: String,
    words: String,
    letters: Vec<Letter>,
    /// No one is on the list yet.
    is_bare: bool,
}

async fn letters(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(whom): Query<Whom>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let details = &snapshot.event.details;
    let letters = all_letters(&app, &snapshot, &whom, now).await?;
    show(&Letters {
        page: page::page(&app, &visit, &snapshot.event, "Letters").await?,
        event_id: id,
        sender: Sender::of(app.db.read(), &visit.user).await?,
        today: Reader::Public.day(snapshot.event.today(now)),
        question: Kind::Guest.question().to_owned(),
        day: format!("{} on {}", Reader::Public.time(details.burn_time), Reader::Public.day(details.burn_on)),
        rain_day: details.rain_on.map(|on| Reader::Public.day(on)).unwrap_or_default(),
        place: details.site.clone(),
        about: asks::about(details),
        words: words_of(&visit.user.department.name),
        letters,
        is_bare: snapshot.guests.is_empty(),
    })
}

/// The letter to the guest who was chosen, or to everyone who hasn't replied.
async fn all_letters(app: &App, snapshot: &GuestSnapshot, whom: &Whom, now: OffsetDateTime) -> Result<Vec<Letter>> {
    let on = snapshot.event.details.burn_on;
    let waits = |known: &GuestRecord| matches!(known.status(on), GuestStatus::NotAsked | GuestStatus::Waiting);
    let closings = countdown::closings(app.clone(), snapshot.event.clone(), now).await?;
    let usual_end = closings.last(Kind::Guest, &snapshot.event, now);
    let usual = snapshot.settings.signer.as_ref().map(|(id, _)| *id);
    let mut letters = Vec::new();
    for known in chosen(snapshot, whom, waits)? {
        // Once invited, the letter keeps the invitation's signer, whoever signs now.
        let signs = if known.request.is_some() { known.guest.signer_id } else { usual };
        let signer = signing::signer(&mut *app.db.read().acquire().await?, signs).await?;
        let closes_at = known.request.as_ref().map(|request| request.closes_at).filter(|closes_at| *closes_at > now);
        letters.push(letter(snapshot, known, closes_at.unwrap_or(usual_end), signer));
    }
    Ok(letters)
}

fn letter(snapshot: &GuestSnapshot, known: &GuestRecord, closes_at: OffsetDateTime, signer: Option<Signer>) -> Letter {
    let mut facts = shown_to(Reader::Public, facts(snapshot, known));
    facts.retain(|(label, _)| label != "For");
    Letter {
        name: known.addressed(),
        dear: known.person.details.salutation(),
        lines: [known.place()].into_iter().filter(|line| !line.is_empty()).collect(),
        facts,
        reply_by: Reader::Public.day(snapshot.event.details.zone.wall(closes_at).date()),
        signer,
    }
}
