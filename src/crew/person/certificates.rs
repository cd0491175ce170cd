//! The qualifications someone holds: adding, renewing, checking and removing them.

use super::page::{PersonPage, found};
use crate::accounts::{self, SignedIn, Visit};
use crate::crew::editor::{CrewEditor, may_decide};
use crate::crew::page::page;
use crate::crew::skills::form::HoldingForm;
use crate::crew::skills::{self, Holding, Kept};
use crate::crew::snapshot::CrewSnapshot;
use crate::error::{Error, Result};
use crate::people::Person;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/crew/people/{person}/certificates", post(hold))
        .route("/events/{id}/crew/people/{person}/certificates/{holding}", get(edit).merge(post(renew)))
        .route("/events/{id}/crew/people/{person}/certificates/{holding}/check", post(check))
        .route("/events/{id}/crew/people/{person}/certificates/{holding}/remove", post(remove))
}

async fn hold(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, person)): Path<(i64, i64)>,
    Form(form): Form<HoldingForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, person) = found(&app, id, person).await?;
    let kept = match form.read(&snapshot.qualifications) {
        Ok(kept) => kept,
        Err(mistakes) => {
            let mut page = PersonPage::load(&app, &visit, &snapshot, person).await?;
            (page.form, page.mistakes) = (form.shown(), mistakes);
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, number) = (visit.user.actor(), person.id);
    let write =
        app.db.write(move |tx| Box::pin(async move { skills::store::hold(tx, actor, number, &kept, now).await }));
    let said = match write.await? {
        Some(_) => "Qualification added. Next, the safety officer checks it.",
        None => "Nothing was added: they already have this qualification. Open it to edit it.",
    };
    Ok(flash::redirect(&format!("/events/{id}/crew/people/{number}"), said))
}

#[derive(Template)]
#[template(path = "crew/certificate.html")]
struct Edit {
    page: Page,
    event_id: i64,
    person: Person,
    id: i64,
    name: String,
    form: HoldingForm,
    mistakes: Mistakes,
}

/// Where a certificate is.
#[derive(Debug, Clone, Copy, Deserialize)]
struct At {
    /// The event.
    id: i64,
    person: i64,
    holding: i64,
}

impl At {
    /// The page of whoever holds it.
    fn person_page(self) -> String {
        format!("/events/{}/crew/people/{}", self.id, self.person)
    }
}

/// A certificate someone holds.
struct Certificate {
    snapshot: CrewSnapshot,
    person: Person,
    holding: Holding,
}

impl Certificate {
    async fn find(app: &App, at: At) -> Result<Self> {
        let (snapshot, person) = found(app, at.id, at.person).await?;
        let holding = snapshot.held(person.id).find(|one| one.id == at.holding).cloned().ok_or(Error::NotFound)?;
        Ok(Self { snapshot, person, holding })
    }

    async fn page(self, app: &App, visit: &Visit, form: HoldingForm, mistakes: Mistakes) -> Result<Edit> {
        let Self { snapshot, person, holding } = self;
        let name = snapshot.qualification(holding.kept.qualification_id).map(|one| one.name.clone());
        let (name, theirs) =
            (name.unwrap_or_default(), format!("/events/{}/crew/people/{}", snapshot.event.id, person.id));
        let page = page(app, visit, &snapshot.event, &name).await?.under(theirs, person.details.name.as_str());
        Ok(Edit { page, event_id: snapshot.event.id, person, id: holding.id, name, form, mistakes })
    }

    /// Theirs beside what was typed.
    fn conflict(&self, at: At, form: &HoldingForm) -> Conflict {
        let theirs = HoldingForm::of(&self.holding);
        let action = format!("{}/certificates/{}", at.person_page(), at.holding);
        let mut conflict = Conflict::new(&self.person.details.name, action, theirs.version);
        conflict.field("evidence", "Proof", &theirs.evidence, &form.evidence);
        conflict.field("issued_by", "Issued by", &theirs.issued_by, &form.issued_by);
        conflict.field("expires_on", "Valid through", &theirs.expires_on, &form.expires_on);
        conflict
    }
}

async fn edit(State(app): State<App>, CrewEditor(visit): CrewEditor, Path(at): Path<At>) -> Result<Response> {
    let certificate = Certificate::find(&app, at).await?;
    let form = HoldingForm::of(&certificate.holding);
    show(&certificate.page(&app, &visit, form, Mistakes::default()).await?)
}

async fn renew(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(at): Path<At>,
    Form(mut form): Form<HoldingForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let certificate = Certificate::find(&app, at).await?;
    form.qualification = certificate.holding.kept.qualification_id.to_string();
    let new = match form.read(&certificate.snapshot.qualifications) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = certificate.page(&app, &visit, form.shown(), mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if save(&app, &visit, Holding { version: form.version, ..certificate.holding }, new, now).await? {
        return Ok(flash::redirect(&at.person_page(), "Saved. It has to be checked again."));
    }
    let certificate = Certificate::find(&app, at).await?;
    let page = page(&app, &visit, &certificate.snapshot.event, "").await?;
    conflict::show(page, &certificate.conflict(at, &form))
}

async fn save(app: &App, visit: &Visit, old: Holding, new: Kept, now: OffsetDateTime) -> Result<bool> {
    let actor = visit.user.actor();
    app.db.write(move |tx| Box::pin(async move { skills::store::renew(tx, actor, &old, &new, now).await })).await
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Seen {
    version: i64,
}

async fn check(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(at): Path<At>,
    Form(seen): Form<Seen>,
) -> Result<Response> {
    let now = app.clock.now();
    let Certificate { holding, .. } = Certificate::find(&app, at).await?;
    let accounts = accounts::list(app.db.read()).await?;
    may_decide(&visit.user, at.person, &accounts).map_err(Error::Forbidden)?;
    let (by, seen) = (visit.user.account_id, Holding { version: seen.version, ..holding });
    let write = app.db.write(move |tx| Box::pin(async move { skills::store::check(tx, by, &seen, now).await }));
    let said = if write.await? {
        "Checked. Your name and today's date are saved with it."
    } else {
        "Nothing changed: someone edited this qualification in the meantime. Look at it again, then check it."
    };
    Ok(flash::redirect(&at.person_page(), said))
}

async fn remove(State(app): State<App>, CrewEditor(visit): CrewEditor, Path(at): Path<At>) -> Result<Response> {
    let now = app.clock.now();
    let Certificate { holding, .. } = Certificate::find(&app, at).await?;
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { skills::store::drop(tx, actor, &holding, now).await }));
    write.await?;
    Ok(flash::redirect(&at.person_page(), "Qualification removed."))
}
