//! Two rows that may be the same person: showing both, merging them or marking them as two
//! people, and undoing a merge.

mod choice;

use self::choice::{FieldLine, MergeForm};
use super::doubles;
use super::routes::find;
use super::store;
use crate::accounts::{self, PeopleKeeper, PeopleReader, Visit};
use crate::db::Tx;
use crate::db::journal::{self, Actor};
use crate::error::{Error, Result};
use crate::people::choosing::{Chooser, Find};
use crate::people::{self, Merge, MergeUndo, Person};
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::Form;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use crate::{asks, countdown, crew, events, gifts, guests, loans, permit_records, press, rooms, thanks};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use std::collections::HashMap;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/people/duplicates", get(duplicates))
        .route("/people/duplicates/two", post(say_two))
        .route("/people/{id}/merge", get(compare).merge(post(merge)))
        .route("/people/{id}/undo-merge", post(separate))
}

const PATH: &str = "/people/duplicates";
/// How many pairs the page shows, the likeliest first.
const MOST: usize = 50;

#[derive(Template)]
#[template(path = "directory/duplicates.html")]
struct Duplicates {
    page: Page,
    keeps: bool,
    pairs: Vec<PairLine>,
    count: usize,
}

struct PairLine {
    sides: [Side; 2],
    reasons: String,
    /// The same for a `data-` mark.
    marks: String,
}

/// One of the two, in a few words.
struct Side {
    id: i64,
    name: String,
    place: String,
    reached: String,
}

impl Side {
    fn of(person: &Person) -> Self {
        let details = &person.details;
        let ways = [details.mail.clone(), words::phone(&details.phone)];
        let reached: Vec<String> = ways.into_iter().filter(|way| !way.is_empty()).collect();
        Self { id: person.id, name: details.name.clone(), place: person.place(), reached: reached.join(" · ") }
    }
}

async fn duplicates(State(app): State<App>, PeopleReader(visit): PeopleReader) -> Result<Response> {
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("Possible duplicates");
    let mut db = app.db.read().acquire().await?;
    let (people, two) = (people::everyone(&mut db).await?, store::not_doubles(&mut db).await?);
    drop(db);
    let looking = app.heavy.run(move |stop| {
        let pairs = doubles::pairs(&people, &two, || stop.is_set())?;
        let by_id: HashMap<i64, &Person> = people.iter().map(|person| (person.id, person)).collect();
        let line = |pair: &doubles::Pair| PairLine {
            sides: [pair.one, pair.other].map(|id| Side::of(by_id[&id])),
            reasons: pair.reasons.iter().map(|reason| reason.says()).collect::<Vec<_>>().join(", "),
            marks: pair.reasons.iter().map(|reason| reason.as_str()).collect::<Vec<_>>().join(" "),
        };
        Some((pairs.iter().take(MOST).map(line).collect(), pairs.len()))
    });
    let (pairs, count) = looking.await?;
    show(&Duplicates { page, keeps: visit.user.keeps_people(), pairs, count })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct TwoForm {
    one: i64,
    other: i64,
}

async fn say_two(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Form(form): Form<TwoForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (one, other) = (find(&app, form.one).await?, find(&app, form.other).await?);
    if one.id == other.id {
        return Err(Error::NotFound);
    }
    let said = format!("Saved: {} and {} are two different people.", one.details.name, other.details.name);
    let (actor, account) = (visit.user.actor(), visit.user.account_id);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let pair = ((one.id, one.details.name.as_str()), (other.id, other.details.name.as_str()));
            store::say_two(tx, actor, account, pair, now).await
        })
    });
    write.await?;
    Ok(flash::redirect(PATH, &said))
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
    let one = find(&app, id).await?;
    let other = match with.with.parse() {
        Ok(with) if !looked_for.is_looking() => Some(find(&app, with).await?),
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
    Path(id): Path<i64>,
    Form(form): Form<MergeForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (one, other) = (find(&app, id).await?, find(&app, form.with).await?);
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
        app.db.write(move |tx| Box::pin(async move { make_one(tx, actor, &merge, now).await })).await?
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

async fn make_one(tx: &mut Tx, actor: Actor, merge: &Merge, now: OffsetDateTime) -> Result<Result<(), Refused>> {
    let (keep, gone) = (merge.keep.id, merge.gone.id);
    let stands = (people::find(tx, keep).await?, people::find(tx, gone).await?);
    if stands != (Some(merge.keep.clone()), Some(merge.gone.clone())) {
        return Ok(Err(Refused::Stale));
    }
    let (ours, theirs) = (accounts::of_person(tx, keep).await?, accounts::of_person(tx, gone).await?);
    // An account that can't sign in stays with the row that goes.
    let account = match (ours, theirs) {
        (Some(_), Some(theirs)) if !theirs.disabled => return Ok(Err(Refused::BothSignIn)),
        (Some(_), _) | (None, None) => false,
        (None, Some(_)) => true,
    };
    if account {
        accounts::move_person(tx, gone, keep).await?;
    }
    let undo = MergeUndo {
        gone,
        version: merge.keep.version + 1,
        requests: asks::hand_over(tx, gone, keep).await?,
        tasks: countdown::hand_over(tx, gone, keep).await?,
        guests: guests::hand_over(tx, gone, keep).await?,
        signed: guests::hand_over_signer(tx, gone, keep).await?,
        gifts: gifts::hand_over(tx, gone, keep).await?,
        thanks: serde_json::to_value(thanks::hand_over(tx, gone, keep).await?)?,
        press: serde_json::to_value(press::hand_over(tx, gone, keep).await?)?,
        crew: serde_json::to_value(crew::hand_over(tx, gone, keep).await?)?,
        loans: serde_json::to_value(loans::hand_over(tx, gone, keep).await?)?,
        account,
        permits: permit_records::hand_over(tx, gone, keep).await?,
        donation_requests: rooms::hand_over(tx, gone, keep).await?,
    };
    people::merge(tx, actor, merge, &undo, now).await?;
    Ok(Ok(()))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SeparateForm {
    entry: i64,
}

async fn separate(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Path(id): Path<i64>,
    Form(form): Form<SeparateForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let person = find(&app, id).await?;
    let (actor, entry) = (visit.user.actor(), form.entry);
    let kept = journal::kept(&mut *app.db.read().acquire().await?, entry, "person", "merged").await?;
    let (_, old) = kept.filter(|(subject, _)| *subject == Some(id)).ok_or(Error::NotFound)?;
    let undo: MergeUndo = serde_json::from_value(old["undo"].clone())?;
    let separate = app.db.write(move |tx| {
        Box::pin(async move {
            let separated = people::separate(tx, actor, id, &undo, &old, now).await?;
            if separated.is_some() {
                asks::hand_back(tx, &undo.requests, undo.gone).await?;
                countdown::hand_back(tx, &undo.tasks, id, undo.gone).await?;
                guests::hand_back(tx, (&undo.guests.0, &undo.guests.1), undo.gone).await?;
                guests::hand_back_signer(tx, (&undo.signed.0, undo.signed.1), undo.gone).await?;
                gifts::hand_back(tx, &undo.gifts, undo.gone).await?;
                rooms::hand_back(tx, &undo.donation_requests, undo.gone).await?;
                permit_records::hand_back(tx, &undo.permits, id, undo.gone).await?;
                let thanked = serde_json::from_value(undo.thanks).unwrap_or_default();
                thanks::hand_back(tx, &thanked, undo.gone).await?;
                let handed: crew::Handed = serde_json::from_value(undo.crew.clone()).unwrap_or_default();
                crew::hand_back(tx, &handed, (id, undo.gone)).await?;
                let handed: press::Handed = serde_json::from_value(undo.press.clone()).unwrap_or_default();
                press::hand_back(tx, &handed, undo.gone).await?;
                let lent: loans::Handed = serde_json::from_value(undo.loans.clone()).unwrap_or_default();
                loans::hand_back(tx, &lent, undo.gone).await?;
            }
            if separated.is_some() && undo.account {
                accounts::move_person(tx, id, undo.gone).await?;
            }
            Ok(separated)
        })
    });
    let said = match separate.await? {
        None => "This merge was already undone.".to_owned(),
        Some(true) => "Merge undone. Both records are back as they were.".to_owned(),
        Some(false) => {
            let name = &person.details.name;
            format!("Merge undone. {name} was changed since the merge, and those changes stay.")
        }
    };
    Ok(flash::redirect(&format!("/people/{id}"), &said))
}
