//! The page behind the link: the text, and two buttons for someone without an account.

use super::{Asked, Said, store};
use crate::accounts::{dead_link, private};
use crate::asks::Sender;
use crate::error::{Error, Result};
use crate::press::papers::approving::{Reader, Seen, approve};
use crate::press::papers::kind::PaperKind;
use crate::press::papers::layout::{Layout, Printed};
use crate::press::papers::snapshot::PaperSnapshot;
use crate::state::App;
use crate::web::client::Client;
use crate::web::form::{self, Form, Mistakes};
use crate::web::limits::Limit;
use crate::web::link::Secret;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use time::OffsetDateTime;

/// For anyone with a link.
pub fn router() -> Router<App> {
    Router::new().route("/read-paper/{secret}", get(page).merge(post(press)))
}

#[derive(Template)]
#[template(path = "press/reading.html")]
struct ReadingPage {
    sender: Sender,
    kind: &'static str,
    asked: Asked,
    layout: Layout,
    /// "You approved this text on Wednesday, November 25, 2026, at 9 a.m."; empty before
    /// they answer.
    stands: String,
    /// It changed, or someone else approved it, after it was sent.
    is_past: bool,
    until: String,
    note: String,
    mistakes: Mistakes,
}

struct Opened {
    asked: Asked,
    is_past: bool,
    kind: PaperKind,
    zone: crate::zone::Zone,
}

async fn opened(app: &App, client: &str, secret: &str, now: OffsetDateTime) -> Result<Result<Opened, Response>> {
    if let Err(too_often) = app.limits.take(Limit::LinkAddress, client) {
        return Ok(Err(too_often.into_response()));
    }
    let asked = match Secret::read(secret) {
        Some(secret) => store::opened(app.db.read(), &secret, now).await?,
        None => None,
    };
    let Some(asked) = asked else { return Ok(Err(dead_link(app).await?)) };
    let snapshot = match PaperSnapshot::load(app, asked.event_id, asked.paper_id).await {
        Err(Error::NotFound) => return Ok(Err(dead_link(app).await?)),
        found => found?,
    };
    let filled = snapshot.filled();
    let is_open = !snapshot.is_approved() && snapshot.check().is_clean();
    let PaperSnapshot { event, facts, paper } = snapshot;
    let is_past = !asked.is_current(&filled, &facts) || !is_open || asked.person_id == paper.editor_person;
    Ok(Ok(Opened {
        is_past,
        kind: paper.kind,
        zone: event.details.zone,
        asked: if is_past || asked.said == Some(Said::Approved) { asked } else { asked.with_text_of_now(filled) },
    }))
}

async fn view(app: &App, opened: Opened, (note, mistakes): (String, Mistakes)) -> Result<ReadingPage> {
    let Opened { asked, is_past, kind, zone } = opened;
    let moment = |at| words::Reader::Public.moment(zone.wall(at));
    let stands = asked.said.zip(asked.said_at).map(|(said, at)| match said {
        Said::Approved => format!("You approved this text on {}. Thank you.", moment(at)),
        Said::NeedsAChange => format!("You told us what to change on {}. Thank you.", moment(at)),
    });
    let printed = Printed { headline: &asked.headline, text: &asked.text, embargo: &asked.embargo };
    let asked_on = zone.wall(asked.asked_at).date();
    Ok(ReadingPage {
        sender: Sender::named(app.db.read(), Some(asked.asked_by)).await?,
        kind: kind.label(),
        layout: Layout::of(kind, printed, asked_on),
        stands: stands.unwrap_or_default(),
        is_past,
        until: moment(asked.expires_at),
        note,
        mistakes,
        asked,
    })
}

async fn page(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret, app.clock.now()).await? {
        Ok(opened) => private(show(&view(&app, opened, (String::new(), Mistakes::default())).await?)),
        Err(answer) => Ok(answer),
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SayForm {
    say: String,
    note: String,
}

impl SayForm {
    fn read(&self) -> Result<(Said, String), Mistakes> {
        let mut mistakes = Mistakes::default();
        let said = mistakes.note("say", self.say.parse::<Said>());
        let note = mistakes.note("note", form::paragraph(&self.note, 1_000));
        if said == Some(Said::NeedsAChange) && note.as_deref() == Some("") {
            mistakes.add("note", "Tell us what to change.");
        }
        said.zip(note).filter(|_| mistakes.is_empty()).ok_or(mistakes)
    }
}

async fn press(
    State(app): State<App>,
    Client(client): Client,
    Path(secret): Path<String>,
    Form(form): Form<SayForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let opened = match opened(&app, &client, &secret, now).await? {
        Ok(opened) => opened,
        Err(answer) => return Ok(answer),
    };
    let (said, note) = match form.read() {
        Ok(read) => read,
        Err(mistakes) => {
            let page = view(&app, opened, (form.note, mistakes)).await?;
            return private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page));
        }
    };
    // The next page says what they answered, or that the text has changed.
    if !opened.is_past && opened.asked.said != Some(Said::Approved) {
        record(&app, opened.asked, (said, note), now).await?;
    }
    private(Ok(Redirect::to(&format!("/read-paper/{secret}")).into_response()))
}

async fn record(app: &App, asked: Asked, (said, note): (Said, String), now: OffsetDateTime) -> Result<()> {
    let department = crate::accounts::department(app.db.read()).await?.unwrap_or_default().name;
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if said == Said::Approved {
                let (reader, place) = (Reader::Outside(asked.person_id), (asked.event_id, department.as_str()));
                let seen = Seen::ByLink(&asked.made_from, asked.hold.as_deref());
                let approved = approve(tx, reader, place, (asked.paper_id, seen), now).await?;
                if approved.is_none() {
                    return Ok(());
                }
            }
            store::answer(tx, &asked, (said, &note), now).await?;
            Ok(())
        })
    });
    write.await
}
