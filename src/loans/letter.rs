//! Letters to a lender: when the item will be returned, and in what condition it was
//! returned.

mod draft;
mod page;

use super::loan::Loan;
use super::store::{self, NewLetter};
use crate::accounts::Officer;
use crate::db::Tx;
use crate::error::Result;
use crate::mail::{self, Letter};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use draft::about;
use page::{LetterContext, LetterForm};
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) use draft::ABOUT;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/loans/{loan}/letter", get(show_page).merge(post(send)))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    about: String,
}

async fn show_page(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(ids): Path<(i64, i64)>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let context = LetterContext::of(&app, &visit, ids).await?;
    let about = about(&context.loan, &wanted.about);
    let text = draft::draft(&context.snapshot, &context.loan, about);
    let form = LetterForm { about: about.to_owned(), text, act: String::new() };
    show(&context.page(&app, &visit, form, Mistakes::default()).await?)
}

async fn send(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(ids): Path<(i64, i64)>,
    Form(form): Form<LetterForm>,
) -> Result<Response> {
    let context = LetterContext::of(&app, &visit, ids).await?;
    let about = about(&context.loan, &form.about);
    let form = LetterForm { about: about.to_owned(), ..form };
    let text = match form.read() {
        Ok(text) => text,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &context.page(&app, &visit, form, mistakes).await?);
        }
    };
    let by_mail = context.person.clone().filter(|person| person.has_mail() && form.act == "mail");
    if by_mail.is_none() && form.act != "on paper" {
        return show(&context.page(&app, &visit, form, Mistakes::default()).await?);
    }
    let letter = by_mail.map(|person| context.letter(&person, about, &text)).transpose()?;
    let said =
        if letter.is_some() { "The letter is on its way by email." } else { "The letter is saved as sent on paper." };
    let (href, by, now) = (context.loan.href(), visit.user.account_id, context.now);
    let (loan, new) = (context.loan, Sending { about, text, letter, seen: context.written.len() });
    let write = app.db.write(move |tx| Box::pin(async move { keep(tx, by, &loan, &new, now).await }));
    let said = if write.await? { said } else { "Nothing was sent. Someone sent a letter a moment ago." };
    Ok(flash::redirect(&href, said))
}

/// A letter that goes out.
#[derive(Debug, Clone)]
struct Sending {
    about: &'static str,
    text: String,
    /// The email, unless it goes out on paper.
    letter: Option<Letter>,
    /// How many letters there were when it was written.
    seen: usize,
}

/// Saves a letter, and queues its email. False if it was sent twice.
async fn keep(tx: &mut Tx, by: i64, loan: &Loan, new: &Sending, now: OffsetDateTime) -> Result<bool> {
    if store::letters(tx, loan.id).await?.len() != new.seen {
        return Ok(false);
    }
    let mail_id = match &new.letter {
        Some(letter) => mail::queue(tx, letter, now).await?,
        None => None,
    };
    if new.letter.is_some() && mail_id.is_none() {
        return Ok(false);
    }
    let written = NewLetter { about: new.about, text: &new.text, mail_id };
    store::add_letter(tx, by, loan, &written, now).await?;
    Ok(true)
}
