//! The thank-you pages.

use super::context::ThanksContext;
use super::dates::due_on;
use super::email::email;
use super::owed::count;
use super::thanking::thank;
use super::views::{Index, LettersPage, Preview, SendPage};
use super::{Way, Whom, figures, letters, person};
use crate::accounts::{Officer, SignedIn, Visit};
use crate::closed_days;
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

/// Whom to thank after an event.
pub fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/thanks", get(index))
        .route("/events/{id}/guests/thanks/send", post(send))
        .route("/events/{id}/guests/thanks/letters", get(print))
        .merge(figures::router())
        .merge(person::router())
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let context = ThanksContext::of(&app, &visit, id, app.clock.now()).await?;
    show(&index_view(&app, &visit, &context, Mistakes::default()).await?)
}

async fn index_view(app: &App, visit: &Visit, context: &ThanksContext, mistakes: Mistakes) -> Result<Index> {
    let calendar = closed_days::calendar(app).await?;
    let due = due_on(context.event.details.burn_on, &calendar);
    let (open, all) = count(&context.owed, &context.thanked);
    Ok(Index {
        page: context.page(app, visit, "Thanks").await?,
        event_id: context.event.id,
        has_begun: context.has_begun(),
        burn_day: context.burn_day(),
        due: Reader::App.near_day(due, context.today()),
        burn_on: words::iso(context.event.details.burn_on),
        due_on: words::iso(due),
        is_late: open > 0 && due < context.today(),
        lists: context.lists(),
        thanked: all - open,
        figures: letters::figures(&context.day),
        signature: letters::signature(&context.day, &context.sender),
        mistakes,
    })
}

/// The people chosen, and the button.
#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct SendForm {
    who: Vec<String>,
    act: String,
}

async fn send(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<SendForm>,
) -> Result<Response> {
    let context = ThanksContext::of(&app, &visit, id, app.clock.now()).await?;
    let chosen: Vec<Whom> = form.who.iter().filter_map(|key| Whom::of_key(key)).collect();
    let mut mistakes = Mistakes::default();
    if chosen.is_empty() {
        mistakes.add("who", "Choose at least one person.");
    } else if !["see", "mail", "letter"].contains(&form.act.as_str()) {
        mistakes.add("who", "Use one of the buttons on the page.");
    } else if form.act != "see" && !context.has_begun() {
        mistakes.add("who", context.too_early());
    }
    if !mistakes.is_empty() {
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &index_view(&app, &visit, &context, mistakes).await?);
    }
    if form.act == "see" {
        return show(&previews(&app, &visit, &context, &chosen).await?);
    }
    let way = if form.act == "mail" { Way::Mail } else { Way::Letter };
    let done = thank(&app, &visit, context, chosen, way).await?;
    let said = match (way, done) {
        (_, 0) => "No one was thanked: they already had been, or have no email.".to_owned(),
        (Way::Mail, done) => format!("{} will go out.", words::count(done, "thank-you email", "thank-you emails")),
        (_, done) => format!("{} marked as mailed.", words::count(done, "letter", "letters")),
    };
    Ok(flash::redirect(&format!("/events/{id}/guests/thanks"), &said))
}

async fn previews(app: &App, visit: &Visit, context: &ThanksContext, chosen: &[Whom]) -> Result<SendPage> {
    let (mut previews, mut who) = (Vec::new(), Vec::new());
    for owed in chosen.iter().filter_map(|whom| context.find(*whom)) {
        let Some(reader) = context.reader(owed).filter(|reader| !reader.mail.is_empty()) else { continue };
        let Some(written) = context.write(owed) else { continue };
        let letter = email(&context.event, &written, &reader, (&context.day, &context.sender), 0, context.now)?;
        let to = format!("{} <{}>", letter.to.name, letter.to.address);
        previews.push(Preview { to, subject: letter.subject, text: letter.body.text, keys: written.keys });
        who.push(owed.whom.key());
    }
    Ok(SendPage {
        page: context.page(app, visit, "Thank-you emails").await?,
        event_id: context.event.id,
        has_begun: context.has_begun(),
        burn_day: context.burn_day(),
        who,
        previews,
    })
}

async fn print(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let context = ThanksContext::of(&app, &visit, id, app.clock.now()).await?;
    let waits = context.lists().paper;
    let on_paper = waits.iter().filter_map(|line| Whom::of_key(&line.key)).filter_map(|whom| context.find(whom));
    let letters = on_paper.filter_map(|owed| context.paper(owed)).collect();
    show(&LettersPage { page: context.page(&app, &visit, "Thank-you letters").await?, letters })
}
