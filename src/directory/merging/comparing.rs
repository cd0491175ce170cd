//! Two records of a person side by side, and making them one.

use super::choice::{self, FieldLine, MergeForm};
use crate::accounts::{self, PeopleKeeper, Visit};
use crate::db::Tx;
use crate::db::journal::{self, Actor};
use crate::directory::found::found;
use crate::error::{Error, Result};
use crate::events;
use crate::people::choosing::{Chooser, Find};
use crate::people::{self, AllPersonReferences, Merge, MergeUndo, Person};
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::Form;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/{id}/merge", get(compare).merge(post(merge)))
}

#[derive(Template)]
#[template(path = "directory/merge.html")]
struct MergePage {
    page: Page,
    one: Person,
    /// The other person, once chosen.
    other: Option<Person>,
    fields: Vec<FieldLine>,
    /// Fields that are the same in both.
    same: Vec<(&'static str, String)>,
    /// The people to choose the other from.
    chooser: Chooser,
    /// Why they can't be merged.
    refused: Option<Refused>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct With {
    /// The number of the other person.
    with: String,
}

async fn compare(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Path(id): Path<i64>,
    Query(with): Query<With>,
    Query(looked_for): Query<Find>,
) -> Result<Response> {
    let one = found(&app, id).await?;
    let other = match with.with.parse() {
        Ok(with) if !looked_for.is_looking() => Some(found(&app, with).await?),
        _ => None,
    };
    show(&view(&app, &visit, (one, other.filter(|other| other.id != id)), &looked_for, None).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    (one, other): (Person, Option<Person>),
    looked_for: &Find,
    refused: Option<Refused>,
) -> Result<MergePage> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Merge");
    let page = page.under(format!("/people/{}", one.id), one.details.name.as_str());
    let here = format!("/people/{}/merge", one.id);
    let mut db = app.db.read().acquire().await?;
    let chooser = Chooser::load(&mut db, here, looked_for, &[], &[one.id], Person::place).await?;
    drop(db);
    let (fields, same) = other.as_ref().map(|other| choice::compared(&one, other)).unwrap_or_default();
    Ok(MergePage { page, one, other, fields, same, chooser, refused })
}

/// Why two rows were not merged.
#[derive(Debug, Clone, Copy)]
enum Refused {
    Stale,
    BothSignIn,
}

impl Refused {
    fn as_str(self) -> &'static str {
        match self {
            Self::Stale => "stale",
            Self::BothSignIn => "both-sign-in",
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::Stale => {
                "Someone changed one of these records while you were here. Nothing was merged. Here is what they say now."
            }
            Self::BothSignIn => {
                "Both have an account that can sign in. In Settings, Accounts, disable the one they don't use. Then \
                 start the merge from the person whose account stays."
            }
        }
    }
}

async fn merge(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Extension(references): Extension<AllPersonReferences>,
    Path(id): Path<i64>,
    Form(form): Form<MergeForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (one, other) = (found(&app, id).await?, found(&app, form.with).await?);
    if one.id == other.id {
        return Err(Error::NotFound);
    }
    let stale = one.version != form.version || other.version != form.with_version;
    let details = form.details(&one, &other);
    let said = format!("Merged {} and {}.", one.details.name, other.details.name);
    let (actor, merge) = (visit.user.actor(), Merge { keep: one.clone(), gone: other.clone(), details });
    let merged = if stale {
        Err(Refused::Stale)
    } else {
        app.db.write(move |tx| Box::pin(async move { make_one(tx, references, actor, &merge, now).await })).await?
    };
    let Err(refused) = merged else { return done(&app, id, &said).await };
    let status = match refused {
        Refused::Stale => StatusCode::CONFLICT,
        Refused::BothSignIn => StatusCode::UNPROCESSABLE_ENTITY,
    };
    show_as(status, &view(&app, &visit, (one, Some(other)), &Find::default(), Some(refused)).await?)
}

/// Goes to the person who stayed, with a button to undo the merge.
async fn done(app: &App, id: i64, said: &str) -> Result<Response> {
    let told = journal::of(app.db.read(), "person", id).await?;
    let to = format!("/people/{id}");
    let Some(entry) = told.into_iter().find(|told| told.verb == "merged") else {
        return Ok(flash::redirect(&to, said));
    };
    let fields = vec![("entry".to_owned(), entry.id.to_string())];
    Ok(flash::redirect_with_undo(&to, said, &Undo { action: format!("{to}/undo-merge"), fields }))
}

async fn make_one(
    tx: &mut Tx,
    references: AllPersonReferences,
    actor: Actor,
    merge: &Merge,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let (keep, gone) = (merge.keep.id, merge.gone.id);
    let stands = (people::find(tx, keep).await?, people::find(tx, gone).await?);
    if stands != (Some(merge.keep.clone()), Some(merge.gone.clone())) {
        return Ok(Err(Refused::Stale));
    }
    let accounts = (accounts::of_person(tx, keep).await?, accounts::of_person(tx, gone).await?);
    if matches!(accounts, (Some(_), Some(theirs)) if !theirs.disabled) {
        return Ok(Err(Refused::BothSignIn));
    }
    // First, since the entry of the merge in the journal says what was moved.
    let moved = references.reassign(tx, gone, keep).await?;
    let undo = MergeUndo { gone, version: merge.keep.version + 1, moved };
    people::merge(tx, actor, merge, &undo, now).await?;
    Ok(Ok(()))
}
