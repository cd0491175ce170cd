//! One message: what the reader sees, what became of it, and what can be done about it.

use super::views;
use super::visitor::zone;
use crate::accounts::{Officer, Visit};
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events;
use crate::mail::outbox::{self, Mail};
use crate::mail::{MailState, Plain, build};
use crate::state::App;
use crate::web::form::{self, Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::link::without_links;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::web::{flash, guard};
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/mail/{id}", get(index))
        .route("/mail/{id}/reading", get(reading))
        .route("/mail/{id}/try-again", post(try_again))
        .route("/mail/{id}/cancel", post(cancel))
}

/// In place of a link that is no one's business but the reader's.
const OWN_LINK: &str = "[their own link]";
/// The message may style its parts and do nothing else. A link in it opens in its own
/// tab, which is not restricted.
const READING: &str = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; \
                       frame-ancestors 'self'; sandbox allow-popups allow-popups-to-escape-sandbox";

#[derive(Template)]
#[template(path = "mail_room/message.html")]
struct Message {
    page: Page,
    id: i64,
    subject: String,
    state: &'static str,
    facts: Vec<Fact>,
    /// Links in what is shown work.
    live: bool,
    text: String,
    headers: String,
    can_try: bool,
    can_cancel: bool,
    is_uncertain: bool,
    history: Vec<HistoryLine>,
    form: CancelForm,
    mistakes: Mistakes,
}

/// What is known of a message, beside its label.
struct Fact {
    label: &'static str,
    text: String,
    /// What the email server said, for small type.
    said: String,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct CancelForm {
    why: String,
}

async fn index(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let mail = find(&app, id).await?;
    let page = view(&app, &visit, mail, CancelForm::default(), Mistakes::default()).await?;
    Ok(([(header::CONTENT_SECURITY_POLICY, guard::WITH_FRAMES)], show(&page)?).into_response())
}

async fn find(app: &App, id: i64) -> Result<Mail> {
    let mut connection = app.db.read().acquire().await?;
    outbox::find(&mut connection, id).await?.ok_or(Error::NotFound)
}

async fn view(app: &App, visit: &Visit, mail: Mail, form: CancelForm, mistakes: Mistakes) -> Result<Message> {
    let now = app.clock.now();
    let event = match mail.event_id {
        Some(id) => events::find(app.db.read(), id).await?,
        None => None,
    };
    // A message about an event belongs to that event's messages.
    let path = event.as_ref().map_or_else(|| visit.path.clone(), |event| format!("{}/sent/{}", event.href(), mail.id));
    let within = Visit { path, ..visit.clone() };
    let page = events::page(app, &within, event.as_ref(), now).await?.titled(&mail.subject);
    let zone = zone(visit)?;
    let history = journal::of(app.db.read(), "mail", mail.id).await?;
    Ok(Message {
        page,
        id: mail.id,
        state: mail.state.as_str(),
        facts: facts(app, &mail, &zone, now),
        live: app.mailer.stays_here(),
        text: readable(app, &mail.text),
        headers: headers(app, &mail),
        can_try: matches!(mail.state, MailState::Failed | MailState::Uncertain | MailState::Expired)
            || (mail.state == MailState::Waiting && mail.next_try_at > now && mail.attempts > 0),
        can_cancel: mail.state == MailState::Waiting,
        is_uncertain: mail.state == MailState::Uncertain,
        history: app.history.lines(history, &zone),
        subject: mail.subject,
        form,
        mistakes,
    })
}

fn facts(app: &App, mail: &Mail, zone: &Zone, now: OffsetDateTime) -> Vec<Fact> {
    let moment = |at| Reader::App.near_moment(zone.wall(at), zone.wall(now).date());
    let fact = |label, text| Fact { label, text, said: String::new() };
    let Plain { means, said } = views::outcome(mail.state, mail.words.clone());
    let mut facts = vec![
        fact("Status", views::sentence(mail.state, app.mailer.stays_here()).to_owned()),
        Fact { label: "What happened", text: means, said },
        fact("To", views::mailbox(&mail.to)),
        fact("Replies go to", views::mailbox(&mail.reply_to)),
        fact("Type", mail.kind.label().to_owned()),
    ];
    facts.retain(|fact| !(fact.text.is_empty() && fact.said.is_empty()));
    match mail.settled_at {
        Some(at) => facts.push(fact(views::settled(mail.state), moment(at))),
        None => facts.push(fact("Next try", moment(mail.next_try_at))),
    }
    facts.push(fact("Scheduled for", moment(mail.due_at)));
    facts.push(fact("Not sent after", moment(mail.not_after)));
    if mail.attempts > 0 {
        let times = words::count(usize::try_from(mail.attempts).unwrap_or(0), "time", "times");
        facts.push(fact("Delayed by the server", times));
    }
    facts
}

/// A text with its links, or without them where they belong to someone else.
fn readable(app: &App, text: &str) -> String {
    if app.mailer.stays_here() {
        app.link_key.fill(text, &app.config.base_url())
    } else {
        without_links(text, OWN_LINK)
    }
}

/// The headers of the message as it is sent.
fn headers(app: &App, mail: &Mail) -> String {
    let base = app.config.base_url();
    match build(mail, app.mailer.from(), &app.link_key, &base) {
        Err(words) => words,
        Ok(built) => {
            let bytes = String::from_utf8_lossy(&built.bytes);
            let head = bytes.split("\r\n\r\n").next().unwrap_or_default().replace("\r\n", "\n");
            if app.mailer.stays_here() {
                return head;
            }
            let is_open = |line: &&str| !line.starts_with("List-Unsubscribe:");
            let mut head = head.lines().filter(is_open).collect::<Vec<_>>().join("\n");
            if built.bytes.windows(17).any(|window| window == b"List-Unsubscribe:") {
                head.push_str("\nList-Unsubscribe: ");
                head.push_str(OWN_LINK);
            }
            head
        }
    }
}

async fn reading(State(app): State<App>, Officer(_): Officer, Path(id): Path<i64>) -> Result<Response> {
    let mail = find(&app, id).await?;
    let html = readable(&app, &mail.html).replacen("<head>", "<head><base target=\"_blank\">", 1);
    let headers = [
        (header::CONTENT_SECURITY_POLICY, READING),
        (header::X_FRAME_OPTIONS, "SAMEORIGIN"),
        (header::REFERRER_POLICY, "no-referrer"),
    ];
    Ok((headers, Html(html)).into_response())
}

async fn try_again(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let mail = find(&app, id).await?;
    let (actor, now) = (visit.user.actor(), app.clock.now());
    let done = app.db.write(move |tx| Box::pin(async move { outbox::try_again(tx, actor, &mail, now).await })).await?;
    let said = if done {
        "It will be sent again."
    } else {
        "Nothing changed: its status is different by now. Check it below."
    };
    Ok(flash::redirect(&format!("/mail/{id}"), said))
}

async fn cancel(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<CancelForm>,
) -> Result<Response> {
    let mail = find(&app, id).await?;
    let mut mistakes = Mistakes::default();
    let Some(why) = mistakes.note("why", form::line(&form.why, 200)) else {
        let page = view(&app, &visit, mail, form, mistakes).await?;
        let page = show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)?;
        return Ok(([(header::CONTENT_SECURITY_POLICY, guard::WITH_FRAMES)], page).into_response());
    };
    let (actor, now) = (visit.user.actor(), app.clock.now());
    let done =
        app.db.write(move |tx| Box::pin(async move { outbox::cancel(tx, actor, &mail, &why, now).await })).await?;
    let said = if done { "Canceled. It will not be sent." } else { "Too late: it is no longer waiting to go out." };
    Ok(flash::redirect(&format!("/mail/{id}"), said))
}
