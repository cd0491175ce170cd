//! Prints: letters, briefings, cue cards, and the presenter's sheet.

use super::inviting::words_of;
use super::program::{Following, ReadFollowing, Slot, Timed};
use super::snapshot::{GuestRecord, GuestSnapshot, GuestStatus};
use super::{routes, signing, store, views};
use crate::accounts::SignedIn;
use crate::asks::{self, Kind, Sender, Signer};
use crate::calc::precedence::ordinal;
use crate::countdown;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/letters", get(letters))
        .route("/events/{id}/guests/briefings", get(briefings))
        .route("/events/{id}/burn-day/cards", get(cards))
        .route("/events/{id}/burn-day/presenter", get(sheet))
}

/// One guest, or everyone who fits.
#[derive(Deserialize, Default)]
#[serde(default)]
struct Whom {
    guest: Option<i64>,
}

/// The one guest requested, or those who fit.
fn chosen<'a>(
    snapshot: &'a GuestSnapshot,
    whom: &Whom,
    fits: impl Fn(&GuestRecord) -> bool,
) -> Result<Vec<&'a GuestRecord>> {
    if let Some(id) = whom.guest {
        return Ok(vec![snapshot.find(id).ok_or(Error::NotFound)?]);
    }
    let order = snapshot.order(snapshot.event.details.burn_on, fits);
    Ok(order.iter().map(|placed| &snapshot.guests[placed.of]).collect())
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
    let snapshot = routes::snapshot(&app, id).await?;
    let on = snapshot.event.details.burn_on;
    let waits = |known: &GuestRecord| matches!(known.status(on), GuestStatus::NotAsked | GuestStatus::Waiting);
    let closings = countdown::closings(app.clone(), snapshot.event.clone(), now).await?;
    let usual_end = closings.last(Kind::Guest, &snapshot.event, now);
    let letter = |known: &GuestRecord| {
        let details = &known.person.details;
        let lines = [known.place()].into_iter().filter(|line| !line.is_empty()).collect();
        let mut facts = views::shown_to(Reader::Public, views::facts(&snapshot, known));
        facts.retain(|(label, _)| label != "For");
        let closes_at = known.request.as_ref().map(|request| request.closes_at).filter(|closes_at| *closes_at > now);
        let reply_by = snapshot.event.details.zone.wall(closes_at.unwrap_or(usual_end)).date();
        let reply_by = Reader::Public.day(reply_by);
        Letter { name: known.addressed(), dear: details.salutation(), lines, facts, reply_by, signer: None }
    };
    let usual = snapshot.settings.signer.as_ref().map(|(id, _)| *id);
    let mut letters = Vec::new();
    for known in chosen(&snapshot, &whom, waits)? {
        // Once invited, the letter keeps the invitation's signer, whoever signs now.
        let signs = if known.request.is_some() { known.guest.signer_id } else { usual };
        let signer = signing::signer(&mut *app.db.read().acquire().await?, signs).await?;
        letters.push(Letter { signer, ..letter(known) });
    }
    show(&Letters {
        page: routes::page(&app, &visit, &snapshot.event, "Letters").await?,
        event_id: id,
        sender: Sender::of(app.db.read(), &visit.user).await?,
        today: Reader::Public.day(snapshot.event.today(now)),
        question: Kind::Guest.question().to_owned(),
        day: format!("{} on {}", Reader::Public.time(snapshot.event.details.burn_time), Reader::Public.day(on)),
        rain_day: snapshot.event.details.rain_on.map(|on| Reader::Public.day(on)).unwrap_or_default(),
        place: snapshot.event.details.site.clone(),
        about: asks::about(&snapshot.event.details),
        words: words_of(&visit.user.department.name),
        letters,
        is_bare: snapshot.guests.is_empty(),
    })
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
    let snapshot = routes::snapshot(&app, id).await?;
    let on = snapshot.event.details.burn_on;
    let briefing = |known: &GuestRecord| Briefing {
        guest: known.guest.id,
        name: known.addressed(),
        deputy: views::deputy(known, on),
        order: views::placed(&snapshot, known, on).map(|placed| ordinal(placed.place)).unwrap_or_default(),
        facts: views::shown_to(Reader::Public, views::facts(&snapshot, known)),
        speaks: snapshot.program.slot(&snapshot, known).seconds(),
        others: views::others(&snapshot, known, on),
    };
    let whom = chosen(&snapshot, &whom, |known| known.is_counted_on(on))?;
    let hints = whom.iter().filter_map(|known| cut(&snapshot, known)).collect();
    let briefings = whom.into_iter().map(briefing).collect();
    let page = routes::page(&app, &visit, &snapshot.event, "Briefings").await?;
    show(&Briefings {
        event_id: id,
        event_line: page.event.as_ref().map(|banner| banner.name.clone()).unwrap_or_default(),
        day: Reader::Public.day(on),
        time: Reader::Public.time(snapshot.event.details.burn_time),
        place: snapshot.event.details.site.clone(),
        rain_day: snapshot.event.details.rain_on.map(|on| Reader::Public.day(on)).unwrap_or_default(),
        about: asks::about(&snapshot.event.details),
        sender: Sender::of(app.db.read(), &visit.user).await?,
        briefings,
        hints,
        page,
    })
}

/// How the program cuts a speaker's time; none if they have all of it.
fn cut(snapshot: &GuestSnapshot, known: &GuestRecord) -> Option<Hint> {
    let (name, wanted) = (views::headed(known), known.guest.details.seconds);
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

/// A cue card for introducing one guest.
struct Card {
    guest: i64,
    number: usize,
    name: String,
    /// Pronunciation.
    said: String,
    place: String,
    /// The guest a deputy came for.
    on_behalf: String,
    speaks: String,
    /// Seconds and words that the program leaves them; none if they don't speak.
    talk: Option<(u32, u32)>,
}

/// Everyone who is introduced, with the minutes that the program leaves them.
fn all_cards(snapshot: &GuestSnapshot, lines: &[Timed]) -> Vec<Card> {
    let on = snapshot.event.details.burn_on;
    let card = |placed: crate::calc::precedence::Placed| {
        let known = &snapshot.guests[placed.of];
        let line = lines.iter().find(|line| line.entry.guest == Some(known.guest.id));
        let speaks = match line {
            Some(line) if line.is_dropped => "Not speaking: cut from the program".to_owned(),
            Some(line) => format!("Speaks {}", views::speaks(line.seconds, snapshot.settings.rate)),
            None => String::new(),
        };
        let said = known.person.details.said.clone();
        let holder = Card {
            guest: known.guest.id,
            number: placed.place,
            name: views::headed(known),
            said,
            place: views::subtitle(snapshot, known),
            on_behalf: String::new(),
            speaks,
            talk: line.map(|line| (line.seconds, line.words)),
        };
        match known.deputy(on) {
            Some((name, title)) => Card {
                name,
                said: String::new(),
                place: title,
                on_behalf: [holder.name, holder.place]
                    .into_iter()
                    .filter(|t| !t.is_empty())
                    .collect::<Vec<_>>()
                    .join(", "),
                ..holder
            },
            None => holder,
        }
    };
    snapshot.order(on, |known| known.is_counted_on(on)).into_iter().map(card).collect()
}

#[derive(Template)]
#[template(path = "guests/cards.html")]
struct Cards {
    page: Page,
    cards: Vec<Card>,
}

async fn cards(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = routes::snapshot(&app, id).await?;
    let program = store::program(&mut *app.db.read().acquire().await?, id).await?;
    let cards = all_cards(&snapshot, &program.times(&snapshot, 0).lines);
    let page = routes::page(&app, &visit, &snapshot.event, "Cue cards").await?;
    show(&Cards { page, cards })
}

#[derive(Template)]
#[template(path = "guests/sheet.html")]
struct Sheet {
    page: Page,
    event_line: String,
    printed: String,
    over: String,
    cards: Vec<Card>,
    lines: Vec<Timed>,
    following: Vec<Following>,
}

async fn sheet(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Extension(following): Extension<ReadFollowing>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let program = store::program(&mut *app.db.read().acquire().await?, id).await?;
    let times = program.times(&snapshot, 0);
    let page = routes::page(&app, &visit, &snapshot.event, "Presenter's sheet").await?;
    let event_line = page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line));
    let over = times.over;
    show(&Sheet {
        page,
        event_line: event_line.unwrap_or_default(),
        printed: Reader::App.moment(snapshot.event.details.zone.wall(now)),
        over: if over > 0 { crate::calc::program::says(over) } else { String::new() },
        cards: all_cards(&snapshot, &times.lines),
        lines: times.lines,
        following: following(app.clone(), snapshot.event.clone()).await?,
    })
}
