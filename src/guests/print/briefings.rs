//! What each guest who is coming is told before burn day.

use super::chosen::{Whom, chosen};
use crate::accounts::SignedIn;
use crate::asks::{self, Sender};
use crate::calc::precedence::ordinal;
use crate::error::Result;
use crate::guests::facts::{facts, others, shown_to};
use crate::guests::order::placed;
use crate::guests::program::slot::Slot;
use crate::guests::record::GuestRecord;
use crate::guests::snapshot::GuestSnapshot;
use crate::guests::{called, page};
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

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/briefings", get(briefings))
}

struct Briefing {
    guest: i64,
    name: String,
    deputy: String,
    order: String,
    facts: Vec<(String, String)>,
    /// How many seconds the program leaves them to speak; none if they don't speak.
    speaks: Option<u32>,
    others: Vec<String>,
}

/// A speaker whom the program cuts short or leaves out.
struct Hint {
    guest: i64,
    says: String,
    /// Seconds they were given, and seconds left.
    wanted: u32,
    left: u32,
}

#[derive(Template)]
#[template(path = "guests/briefings.html")]
struct Briefings {
    page: Page,
    event_id: i64,
    event_line: String,
    day: String,
    time: String,
    place: String,
    rain_day: String,
    /// What a live burn is.
    about: String,
    sender: Sender,
    briefings: Vec<Briefing>,
    /// Speakers whom the program leaves out or cuts short.
    hints: Vec<Hint>,
}

async fn briefings(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(whom): Query<Whom>,
) -> Result<Response> {
    let snapshot = page::snapshot(&app, id).await?;
    let details = &snapshot.event.details;
    let whom = chosen(&snapshot, &whom, |known| known.is_counted_on(details.burn_on))?;
    let page = page::page(&app, &visit, &snapshot.event, "Briefings").await?;
    show(&Briefings {
        event_id: id,
        event_line: page.event.as_ref().map(|banner| banner.name.clone()).unwrap_or_default(),
        day: Reader::Public.day(details.burn_on),
        time: Reader::Public.time(details.burn_time),
        place: details.site.clone(),
        rain_day: details.rain_on.map(|on| Reader::Public.day(on)).unwrap_or_default(),
        about: asks::about(details),
        sender: Sender::of(app.db.read(), &visit.user).await?,
        hints: whom.iter().filter_map(|known| cut(&snapshot, known)).collect(),
        briefings: whom.into_iter().map(|known| briefing(&snapshot, known)).collect(),
        page,
    })
}

fn briefing(snapshot: &GuestSnapshot, known: &GuestRecord) -> Briefing {
    let on = snapshot.event.details.burn_on;
    Briefing {
        guest: known.guest.id,
        name: known.addressed(),
        deputy: called::deputy(known, on),
        order: placed(snapshot, known, on).map(|placed| ordinal(placed.place)).unwrap_or_default(),
        facts: shown_to(Reader::Public, facts(snapshot, known)),
        speaks: snapshot.program.slot(snapshot, known).seconds(),
        others: others(snapshot, known, on),
    }
}

/// How the program cuts a speaker's time; none if they have all of it.
fn cut(snapshot: &GuestSnapshot, known: &GuestRecord) -> Option<Hint> {
    let (name, wanted) = (called::headed(known), known.guest.details.seconds);
    let says = crate::calc::program::says;
    let (left, says) = match snapshot.program.slot(snapshot, known) {
        Slot::LeftOut => (0, format!("The program has no time for {name}, who was given {} to speak.", says(wanted))),
        Slot::Speaks(left) if left < wanted => {
            (left, format!("The program cuts {name} from {} to {}.", says(wanted), says(left)))
        }
        _ => return None,
    };
    Some(Hint { guest: known.guest.id, says, wanted, left })
}
