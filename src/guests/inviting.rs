//! Inviting: a question to each guest, with the facts their office needs.

use super::facts::{facts, others};
use super::follow::ALSO_EXPECTED;
use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use super::status::GuestStatus;
use super::{called, next_step, page, signing, store};
use crate::accounts::{Officer, Visit};
use crate::asks::{self, Asked, AskingPart, Choosing, Kind, NewQuestion, QuestionForm, Recipient, Sender, Sending};
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
use crate::web::form::{Both, Mistakes};
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

const CHOOSING: Choosing = Choosing { field: "guest", nothing: "Choose at least one guest." };

/// What is typed beside the question.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct SignerForm {
    /// The signer's name; empty means the sender.
    signer: String,
}

#[derive(Template)]
#[template(path = "guests/invite.html")]
struct InvitePage {
    page: Page,
    event_id: i64,
    lines: Vec<InviteLine>,
    /// No one is on the list yet.
    is_bare: bool,
    /// Signers to choose from.
    names: Vec<String>,
    signer: String,
    asking: AskingPart,
}

struct InviteLine {
    id: i64,
    name: String,
    place: String,
    due: String,
    /// The same, for machines.
    due_on: String,
    is_late: bool,
    reached: &'static str,
}

/// The same question with the facts the guest's office needs; unchanged if the person is
/// not a guest.
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
    let snapshot = page::snapshot(&app, id).await?;
    let calendar = closed_days::calendar(&app).await?;
    let closings = countdown::closings(app.clone(), snapshot.event.clone(), now).await?;
    let words = words_of(&visit.user.department.name);
    let mut form = QuestionForm { words, ..QuestionForm::usual(Kind::Guest, &snapshot.event, &closings, now) };
    let soon = snapshot.event.today(now) + SOON;
    let on = snapshot.event.details.burn_on;
    let is_due =
        |known: &&GuestRecord| next_step::next(&snapshot, known, on, &calendar).is_some_and(|(_, day)| day <= soon);
    form.chosen = match wanted.guest {
        Some(guest) => vec![guest],
        None => can_be_invited(&snapshot).filter(is_due).map(|known| known.guest.id).collect(),
    };
    let signer = snapshot.settings.signer.as_ref().map(|(_, name)| name.clone()).unwrap_or_default();
    let page = Inviting { snapshot: &snapshot, calendar: &calendar, now };
    show(&page.view(&app, &visit, form, signer, Mistakes::default()).await?)
}

/// What the page is made from.
struct Inviting<'a> {
    snapshot: &'a GuestSnapshot,
    calendar: &'a Calendar,
    now: OffsetDateTime,
}

impl Inviting<'_> {
    async fn view(
        &self,
        app: &App,
        visit: &Visit,
        form: QuestionForm,
        signer: String,
        mistakes: Mistakes,
    ) -> Result<InvitePage> {
        let snapshot = self.snapshot;
        let mut lines: Vec<(Date, InviteLine)> = can_be_invited(snapshot).map(|known| self.line(known)).collect();
        lines.sort_by_key(|(due, _)| *due);
        Ok(InvitePage {
            page: page::page(app, visit, &snapshot.event, "Invite guests").await?,
            event_id: snapshot.event.id,
            lines: lines.into_iter().map(|(_, line)| line).collect(),
            is_bare: snapshot.guests.is_empty(),
            names: signing::names(app, &snapshot.settings).await?,
            signer,
            asking: AskingPart::of(form, mistakes, &snapshot.event, |on| Reader::App.day(on)),
        })
    }

    /// A guest's line, and by when to invite them.
    fn line(&self, known: &GuestRecord) -> (Date, InviteLine) {
        let Self { snapshot, calendar, now } = *self;
        let today = snapshot.event.today(now);
        let due = snapshot.settings.due(known.guest.details.level, snapshot.event.details.burn_on, calendar);
        let line = InviteLine {
            id: known.guest.id,
            name: called::headed(known),
            place: called::subtitle(snapshot, known),
            due: Reader::App.near_day(due, today),
            due_on: words::iso(due),
            is_late: due < today,
            reached: if known.person.has_mail() { "by email" } else { "no email: print the letter and call" },
        };
        (due, line)
    }
}

async fn invite(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Both(form, typed): Both<QuestionForm, SignerForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let calendar = closed_days::calendar(&app).await?;
    let page = Inviting { snapshot: &snapshot, calendar: &calendar, now };
    let mut mistakes = Mistakes::default();
    let signer = mistakes.note("signer", signing::read(&app, &typed.signer).await?).flatten();
    let question = match form.read(Kind::Guest, CHOOSING, &snapshot.event, now, mistakes) {
        Ok(question) => question,
        Err(mistakes) => {
            let page = page.view(&app, &visit, form, typed.signer, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let signs = signing::signer(&mut *app.db.read().acquire().await?, signer.as_ref().map(|(id, _)| *id)).await?;
    let sender = Sender { signer: signs, ..Sender::of(app.db.read(), &visit.user).await? };
    if form.act != "invite" {
        let recipients = recipients(&snapshot, &question, &form, now);
        let mut page = page.view(&app, &visit, form, typed.signer, Mistakes::default()).await?;
        page.asking.preview(&snapshot.event, &recipients, &sender, now)?;
        return show(&page);
    }
    let said = send(&app, &visit, (snapshot, question), form.chosen, (sender, signer), now).await?;
    Ok(flash::redirect(&format!("/events/{id}/guests"), &said))
}

/// The guests chosen, with the question that each would get.
fn recipients<'a>(
    snapshot: &'a GuestSnapshot,
    question: &NewQuestion,
    form: &QuestionForm,
    now: OffsetDateTime,
) -> Vec<Recipient<'a>> {
    let recipient = |known: &'a GuestRecord| Recipient {
        person: &known.person,
        called: known.addressed(),
        questions: vec![question_for(snapshot, known, question).unsent(&snapshot.event, known.person.id, now)],
    };
    can_be_invited(snapshot).filter(|known| form.chooses(known.guest.id)).map(recipient).collect()
}

/// Notes who signs, invites the guests chosen, and says what became of it.
async fn send(
    app: &App,
    visit: &Visit,
    (snapshot, question): (GuestSnapshot, NewQuestion),
    chosen: Vec<i64>,
    (sender, signer): (Sender, Option<(i64, String)>),
    now: OffsetDateTime,
) -> Result<String> {
    let night = mail::night_note(&snapshot.event.details.zone, now);
    let (by, key, actor) = (visit.user.account_id, app.link_key.clone(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            for known in can_be_invited(&snapshot).filter(|known| chosen.contains(&known.guest.id)) {
                let signer = signer.as_ref().map(|(id, name)| (*id, name.as_str()));
                store::set_signer(tx, actor, (&known.guest, &known.person.details.name), signer, now).await?;
            }
            let sending = Sending { actor: Actor::Account(by), sender: &sender, key: &key, now };
            ask(tx, by, &snapshot.event, &question, &chosen, sending).await
        })
    });
    let asked = write.await?;
    let mut said = match asked.asked {
        0 => "No one was invited: they had already been asked.".to_owned(),
        many => format!("Invited {}.", words::count(many, "guest", "guests")),
    };
    if asked.unreached() > 0 {
        said =
            format!("{said} {} no email: print the letter and call.", words::count(asked.unreached(), "has", "have"));
    }
    Ok(said + asked.night(&night))
}

/// The question to one guest, with the facts their office needs.
pub(super) fn question_for(snapshot: &GuestSnapshot, known: &GuestRecord, question: &NewQuestion) -> NewQuestion {
    let mut facts = facts(snapshot, known);
    let others = others(snapshot, known, snapshot.event.details.burn_on);
    if !others.is_empty() {
        facts.push((ALSO_EXPECTED.to_owned(), others.join("; ")));
    }
    NewQuestion { facts, ..question.clone() }
}

/// Invites those chosen who haven't been invited in the meantime.
async fn ask(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    question: &NewQuestion,
    chosen: &[i64],
    sending: Sending<'_>,
) -> Result<Asked> {
    let snapshot = GuestSnapshot::load(tx, event).await?;
    let mut asked = Asked::default();
    for known in can_be_invited(&snapshot).filter(|known| chosen.contains(&known.guest.id)) {
        let question = question_for(&snapshot, known, question);
        let id = asks::ask(tx, by, event, known.person.id, &question, sending.key, sending.now).await?;
        asked.send(tx, event, &[id], sending).await?;
    }
    Ok(asked)
}
