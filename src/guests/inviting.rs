//! Inviting: a question to each guest, with the facts their office needs.

use super::follow::ALSO_EXPECTED;
use super::snapshot::{GuestRecord, GuestSnapshot, GuestStatus};
use super::{due, routes, signing, store, views};
use crate::accounts::{Officer, Visit};
use crate::asks::{self, Closings, Kind, NewQuestion, Sender, Typed};
use crate::calc::calendar::Calendar;
use crate::closed_days;
use crate::countdown;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::link::{self, LinkKey};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use sqlx::SqliteConnection;
use time::{Date, Duration, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/invite", get(show_page).merge(post(invite)))
}

/// Invitations due within this time are checked to begin with.
const SOON: Duration = Duration::days(14);

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct InviteForm {
    guest: Vec<i64>,
    date: Vec<String>,
    question: String,
    words: String,
    closes_on: String,
    closes_time: String,
    /// The signer's name; empty means the sender.
    signer: String,
    act: String,
}

#[derive(Template)]
#[template(path = "guests/invite.html")]
struct InvitePage {
    page: Page,
    event_id: i64,
    burn_day: String,
    rain_day: String,
    lines: Vec<InviteLine>,
    /// No one is on the list yet.
    is_bare: bool,
    /// Signers to choose from.
    names: Vec<String>,
    form: InviteForm,
    mistakes: Mistakes,
    previews: Vec<Preview>,
    to_ring: Vec<String>,
}

struct InviteLine {
    id: i64,
    name: String,
    place: String,
    due: String,
    /// The same, for machines.
    due_on: String,
    is_late: bool,
    is_chosen: bool,
    reached: &'static str,
}

struct Preview {
    to: String,
    subject: String,
    text: String,
}

impl InviteForm {
    fn has(&self, date: &str) -> bool {
        self.date.iter().any(|chosen| chosen == date)
    }

    fn usual(snapshot: &GuestSnapshot, closings: &Closings, department: &str, now: OffsetDateTime) -> Self {
        let event = &snapshot.event;
        let (closes_on, closes_time) = closings.typed(Kind::Guest, event, now);
        Self {
            date: asks::dates_of(event),
            question: Kind::Guest.question().to_owned(),
            words: words_of(department),
            closes_on,
            closes_time,
            signer: snapshot.settings.signer.as_ref().map(|(_, name)| name.clone()).unwrap_or_default(),
            ..Self::default()
        }
    }

    fn read(&self, event: &Event, mut mistakes: Mistakes, now: OffsetDateTime) -> Result<NewQuestion, Mistakes> {
        if self.guest.is_empty() {
            mistakes.add("guest", "Choose at least one guest.");
        }
        let typed = Typed {
            question: &self.question,
            words: &self.words,
            dates: &self.date,
            closes_on: &self.closes_on,
            closes_time: &self.closes_time,
        };
        typed.read(Kind::Guest, event, now, mistakes)
    }
}

/// The same question with the facts the guest's office needs; unchanged if the person is
/// not a guest.
///
/// # Errors
/// The store's.
pub async fn with_facts(
    db: &mut SqliteConnection,
    event: &Event,
    person_id: i64,
    question: &NewQuestion,
) -> Result<NewQuestion> {
    let snapshot = GuestSnapshot::load(db, event).await?;
    let known = snapshot.guests.iter().find(|known| known.person.id == person_id);
    Ok(known.map_or_else(|| question.clone(), |known| question_for(&snapshot, known, question)))
}

/// What an invitation says to begin with.
#[must_use]
pub fn words_of(department: &str) -> String {
    format!("{department} would be honored to introduce you to the families and neighbors who come to watch.")
}

fn can_be_invited(snapshot: &GuestSnapshot) -> impl Iterator<Item = &GuestRecord> {
    let on = snapshot.event.details.burn_on;
    snapshot.guests.iter().filter(move |known| known.status(on) == GuestStatus::NotAsked)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    guest: Option<i64>,
}

async fn show_page(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let calendar = closed_days::calendar(&app).await?;
    let closings = countdown::closings(app.clone(), snapshot.event.clone(), now).await?;
    let mut form = InviteForm::usual(&snapshot, &closings, &visit.user.department.name, now);
    let soon = snapshot.event.today(now) + SOON;
    let on = snapshot.event.details.burn_on;
    let is_due = |known: &&GuestRecord| due::next(&snapshot, known, on, &calendar).is_some_and(|(_, day)| day <= soon);
    form.guest = match wanted.guest {
        Some(guest) => vec![guest],
        None => can_be_invited(&snapshot).filter(is_due).map(|known| known.guest.id).collect(),
    };
    show(&view(&app, &visit, (&snapshot, &calendar), form, Mistakes::default(), now).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    (snapshot, calendar): (&GuestSnapshot, &Calendar),
    form: InviteForm,
    mistakes: Mistakes,
    now: OffsetDateTime,
) -> Result<InvitePage> {
    let (event, today) = (&snapshot.event, snapshot.event.today(now));
    let mut lines: Vec<(Date, InviteLine)> = can_be_invited(snapshot)
        .map(|known| {
            let due = snapshot.settings.due(known.guest.details.level, event.details.burn_on, calendar);
            let line = InviteLine {
                id: known.guest.id,
                name: views::headed(known),
                place: views::subtitle(snapshot, known),
                due: Reader::App.near_day(due, today),
                due_on: words::iso(due),
                is_late: due < today,
                is_chosen: form.guest.contains(&known.guest.id),
                reached: if known.person.has_mail() { "by email" } else { "no email: print the letter and call" },
            };
            (due, line)
        })
        .collect();
    lines.sort_by_key(|(due, _)| *due);
    Ok(InvitePage {
        page: routes::page(app, visit, event, "Invite guests").await?,
        event_id: event.id,
        burn_day: Reader::App.day(event.details.burn_on),
        rain_day: event.details.rain_on.map(|on| Reader::App.day(on)).unwrap_or_default(),
        lines: lines.into_iter().map(|(_, line)| line).collect(),
        is_bare: snapshot.guests.is_empty(),
        names: signing::names(app, &snapshot.settings).await?,
        form,
        mistakes,
        previews: Vec::new(),
        to_ring: Vec::new(),
    })
}

async fn invite(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<InviteForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let calendar = closed_days::calendar(&app).await?;
    let mut mistakes = Mistakes::default();
    let signer = mistakes.note("signer", signing::read(&app, &form.signer).await?).flatten();
    let question = match form.read(&snapshot.event, mistakes, now) {
        Ok(question) => question,
        Err(mistakes) => {
            let page = view(&app, &visit, (&snapshot, &calendar), form, mistakes, now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let signs = signing::signer(&mut *app.db.read().acquire().await?, signer.as_ref().map(|(id, _)| *id)).await?;
    let sender = Sender { signer: signs, ..Sender::of(app.db.read(), &visit.user).await? };
    if form.act != "invite" {
        let chosen: Vec<&GuestRecord> =
            can_be_invited(&snapshot).filter(|known| form.guest.contains(&known.guest.id)).collect();
        let mut page = view(&app, &visit, (&snapshot, &calendar), form.clone(), Mistakes::default(), now).await?;
        page.previews = previews(&snapshot, &question, &chosen, &sender, now)?;
        page.to_ring = chosen.iter().filter(|known| !known.person.has_mail()).map(|known| known.addressed()).collect();
        return show(&page);
    }
    let night = mail::night_note(&snapshot.event.details.zone, now);
    let (by, key, event, actor) =
        (visit.user.account_id, app.link_key.clone(), snapshot.event.clone(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            for known in can_be_invited(&snapshot).filter(|known| form.guest.contains(&known.guest.id)) {
                let signer = signer.as_ref().map(|(id, name)| (*id, name.as_str()));
                store::set_signer(tx, actor, (&known.guest, &known.person.details.name), signer, now).await?;
            }
            ask(tx, by, &event, (&question, &form.guest), (&sender, &key), now).await
        })
    });
    let (asked, written) = write.await?;
    let mut said = match asked {
        0 => "No one was invited: they had already been asked.".to_owned(),
        many => format!("Invited {}.", words::count(many, "guest", "guests")),
    };
    if written < asked {
        said = format!("{said} {} no email: print the letter and call.", words::count(asked - written, "has", "have"));
    }
    if written > 0 {
        said += &night;
    }
    Ok(flash::redirect(&format!("/events/{id}/guests"), &said))
}

/// The question to one guest, with the facts their office needs.
pub(super) fn question_for(snapshot: &GuestSnapshot, known: &GuestRecord, question: &NewQuestion) -> NewQuestion {
    let mut facts = views::facts(snapshot, known);
    let others = views::others(snapshot, known, snapshot.event.details.burn_on);
    if !others.is_empty() {
        facts.push((ALSO_EXPECTED.to_owned(), others.join("; ")));
    }
    NewQuestion { facts, ..question.clone() }
}

fn previews(
    snapshot: &GuestSnapshot,
    question: &NewQuestion,
    chosen: &[&GuestRecord],
    sender: &Sender,
    now: OffsetDateTime,
) -> Result<Vec<Preview>> {
    let reached = chosen.iter().filter(|known| known.person.has_mail());
    let preview = |known: &&GuestRecord| {
        let request = question_for(snapshot, known, question).unsent(&snapshot.event, known.person.id, now);
        let letter = asks::asking(&snapshot.event, &request, &known.person, sender, now)?;
        Ok(Preview {
            to: format!("{} <{}>", letter.to.name, letter.to.address),
            subject: letter.subject,
            text: link::without_links(&letter.body.text, "[their own link]"),
        })
    };
    reached.map(preview).collect()
}

/// Invites those chosen who haven't been invited in the meantime. Returns how many, and
/// how many of them get an email.
///
/// # Errors
/// The store's.
pub(super) async fn ask(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    (question, chosen): (&NewQuestion, &[i64]),
    (sender, key): (&Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<(usize, usize)> {
    let snapshot = GuestSnapshot::load(tx, event).await?;
    let (mut asked, mut written) = (0, 0);
    for known in can_be_invited(&snapshot).filter(|known| chosen.contains(&known.guest.id)) {
        let question = question_for(&snapshot, known, question);
        let id = asks::ask(tx, by, event, known.person.id, &question, key, now).await?;
        asked += 1;
        written += usize::from(asks::send_question(tx, Actor::Account(by), (event, id), (sender, key), now).await?);
    }
    Ok((asked, written))
}
