//! The receipt for a gift, on paper or by email.

use super::letter::letter;
use super::page::{found, receipts};
use super::receipt::is_part_deductible;
use super::receipted::ReceiptLine;
use super::views::{self, ReceiptPage};
use super::{Gift, Receipt, facts, receipt, store};
use crate::accounts::{Officer, Visit};
use crate::asks::Sender;
use crate::error::Result;
use crate::events;
use crate::mail::{self, Letter};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/gifts/{gift}/receipt", get(receipt_page).merge(post(give_receipt)))
}

async fn receipt_page(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, gift)): Path<(i64, i64)>,
) -> Result<Response> {
    show(&receipt_view(&app, &visit, (id, gift), app.clock.now()).await?)
}

async fn receipt_view(app: &App, visit: &Visit, (id, gift): (i64, i64), now: OffsetDateTime) -> Result<ReceiptPage> {
    let (event, gift) = found(app, id, gift).await?;
    let person = people::find(&mut *app.db.read().acquire().await?, gift.details.person_id).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let made = receipt(&gift, &sender.department);
    let today = event.today(now);
    let given = receipts(app, id).await?;
    let given = given.iter().filter(|receipt| receipt.gift_id == gift.id);
    Ok(ReceiptPage {
        page: events::page(app, visit, Some(&event), now).await?.titled("Receipt"),
        title: facts::title(&gift, false),
        date: Reader::Public.day(today),
        to: views::address(&gift, person.as_ref()),
        dear: person.as_ref().map_or_else(|| format!("Dear {}:", gift.person), |person| person.details.salutation()),
        missing: made.as_ref().err().copied(),
        is_part_deductible: is_part_deductible(&gift),
        receipt: made.ok(),
        signed: sender.name,
        signed_as: sender.title,
        phone: sender.phone,
        department: sender.department,
        mail: person.filter(Person::has_mail).map(|person| person.details.mail).unwrap_or_default(),
        given: given.map(|receipt| ReceiptLine::of(receipt, &event, today)).collect(),
        gift,
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct GiveForm {
    act: String,
}

async fn give_receipt(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, gift_id)): Path<(i64, i64)>,
    Form(form): Form<GiveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, gift) = found(&app, id, gift_id).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let person = people::find(&mut *app.db.read().acquire().await?, gift.details.person_id).await?;
    let by_mail = person.filter(Person::has_mail).filter(|_| form.act == "mail");
    let (Ok(made), true) = (receipt(&gift, &sender.department), form.act == "on paper" || by_mail.is_some()) else {
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &receipt_view(&app, &visit, (id, gift_id), now).await?);
    };
    let failed = receipts(&app, id).await?.iter().filter(|r| r.gift_id == gift.id && !r.status()).count();
    let letter = by_mail.map(|person| letter(&gift, &made, (&person, &sender), failed, now)).transpose()?;
    let said = if letter.is_some() { "The receipt will go out by email." } else { "Saved: receipt given on paper." };
    let href = gift.href();
    let done = give(&app, visit.user.account_id, gift, made, letter, now).await?;
    Ok(flash::redirect(
        &href,
        if done { said } else { "Nothing was sent: this receipt is already out, or the gift has changed." },
    ))
}

/// Saves that a receipt was given, and queues its letter. False if this letter was queued before,
/// or the gift changed in the meantime.
async fn give(
    app: &App,
    by: i64,
    gift: Gift,
    made: Receipt,
    letter: Option<Letter>,
    now: OffsetDateTime,
) -> Result<bool> {
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if store::find(tx, gift.event_id, gift.id).await?.as_ref() != Some(&gift) {
                return Ok(false);
            }
            let mail_id = match &letter {
                Some(letter) => mail::queue(tx, letter, now).await?,
                None => None,
            };
            let is_given = mail_id.is_some() || letter.is_none();
            if is_given {
                store::add_receipt(tx, by, &gift, &made, mail_id, now).await?;
            }
            Ok(is_given)
        })
    });
    write.await
}
