//! The thanks of one person.

use super::context::ThanksContext;
use super::form::SentenceForm;
use super::thanking::thank;
use super::views::{PersonPage, ThankedLine};
use super::{Deputy, Owed, Thanked, Way, Whom, store};
use crate::accounts::{Officer, Private, SignedIn, Visit};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use crate::{events, people};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/thanks/{who}", get(person).merge(post(press)))
        .route("/events/{id}/guests/thanks/{who}/back", post(take_back))
}

/// Someone who can be thanked, and their name; with no reasons if there is nothing to
/// thank them for.
fn meant(context: &ThanksContext, key: &str) -> Result<(Owed, String)> {
    let whom = Whom::of_key(key).ok_or(Error::NotFound)?;
    let person = context.people.get(&whom.person_id).ok_or(Error::NotFound)?;
    match context.find(whom) {
        Some(owed) => {
            let name = context.reader(owed).map(|reader| reader.name).unwrap_or_default();
            Ok((owed.clone(), name))
        }
        None if whom.is_deputy => Err(Error::NotFound),
        None => {
            let owed = Owed { whom, deputy: Deputy::default(), reasons: Vec::new() };
            Ok((owed, person.details.name.clone()))
        }
    }
}

async fn person(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, key)): Path<(i64, String)>,
) -> Result<Response> {
    let context = ThanksContext::of(&app, &visit, id, app.clock.now()).await?;
    let (owed, _) = meant(&context, &key)?;
    let (sentence, version) = context.sentences.get(&owed.whom).cloned().unwrap_or_default();
    let form = SentenceForm { sentence, version, act: String::new() };
    show(&person_view(&app, &visit, &context, &key, (form, Mistakes::default())).await?)
}

async fn person_view(
    app: &App,
    visit: &Visit,
    context: &ThanksContext,
    key: &str,
    (form, mistakes): (SentenceForm, Mistakes),
) -> Result<PersonPage> {
    let (owed, name) = meant(context, key)?;
    let open = owed.open(&context.thanked);
    let rest = owed.reasons.iter().filter(|reason| !open.contains(reason));
    let of_them = context.thanked.iter().filter(|thanked| thanked.whom == owed.whom);
    let officer = visit.user.is_officer();
    let line = |thanked: &Thanked| {
        let at = Reader::App.moment(context.event.details.zone.wall(thanked.at));
        let by = thanked.by.as_ref().map(|by| format!("{by}, ")).unwrap_or_default();
        let back = if thanked.is_taken_back { ", undone" } else { "" };
        ThankedLine {
            id: thanked.id,
            says: format!("{}{back}", context.how(thanked)),
            detail: format!("{by}{at}"),
            mail: thanked.mail.map(|(id, _)| id).filter(|_| officer),
            can_go_back: officer && thanked.mail.is_none() && !thanked.is_taken_back,
            is_taken_back: thanked.is_taken_back,
        }
    };
    let person = context.people.get(&owed.whom.person_id);
    Ok(PersonPage {
        page: context.page(app, visit, &name).await?,
        event_id: context.event.id,
        key: key.to_owned(),
        place: person.map(people::Person::place).filter(|_| !owed.whom.is_deputy).unwrap_or_default(),
        has_begun: context.has_begun(),
        burn_day: context.burn_day(),
        open: open.iter().map(|reason| reason.says.clone()).collect(),
        rest: rest.map(|reason| reason.says.clone()).collect(),
        form,
        mistakes,
        paper: context.paper(&owed),
        mail: context.reader(&owed).map(|reader| visit.user.shown(Private::Contact, &reader.mail)).unwrap_or_default(),
        thanked: of_them.map(line).collect(),
        name,
    })
}

async fn press(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, key)): Path<(i64, String)>,
    Form(form): Form<SentenceForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let mut context = ThanksContext::of(&app, &visit, id, now).await?;
    let (owed, name) = meant(&context, &key)?;
    let whom = owed.whom;
    let (way, sentence) = match chosen(&context, &form) {
        Ok(chosen) => chosen,
        Err(mistakes) => {
            let page = person_view(&app, &visit, &context, &key, (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if !keep_sentence(&app, &visit, id, (whom, &name), (&sentence, form.version), now).await? {
        return stale(&app, &visit, &context, (whom, &name), &form).await;
    }
    let here = format!("/events/{id}/guests/thanks/{key}");
    let Some(way) = way else { return Ok(flash::redirect(&here, "Sentence saved.")) };
    context.sentences.insert(whom, (sentence, 0));
    let is_thanked = thank(&app, &visit, context, vec![whom], way).await? > 0;
    Ok(flash::redirect(&here, &outcome(&name, way, is_thanked)))
}

/// How they are thanked, if a button for it was used, and the sentence.
fn chosen(context: &ThanksContext, form: &SentenceForm) -> Result<(Option<Way>, String), Mistakes> {
    let way = match form.act.as_str() {
        "save" => Ok(None),
        "mail" | "letter" | "in person" if !context.has_begun() => Err(context.too_early()),
        other => other.parse::<Way>().map(Some).map_err(|_| "Use one of the buttons on the page.".to_owned()),
    };
    match (way, form.read()) {
        (Ok(way), Ok(sentence)) => Ok((way, sentence)),
        (Err(what), read) => {
            let mut mistakes = read.err().unwrap_or_default();
            mistakes.add("act", what);
            Err(mistakes)
        }
        (Ok(_), Err(mistakes)) => Err(mistakes),
    }
}

fn outcome(name: &str, way: Way, is_thanked: bool) -> String {
    match way {
        Way::Mail if !is_thanked => "Nothing was sent: they have no email, or were already thanked.".to_owned(),
        _ if !is_thanked => "Nothing was changed: they were already thanked.".to_owned(),
        Way::Mail => format!("Your thanks to {name} will go out by email."),
        Way::Letter => format!("Letter to {name} marked as mailed."),
        Way::InPerson => format!("{name} marked as thanked in person."),
    }
}

async fn keep_sentence(
    app: &App,
    visit: &Visit,
    event_id: i64,
    (whom, name): (Whom, &str),
    (sentence, version): (&str, i64),
    now: OffsetDateTime,
) -> Result<bool> {
    let (actor, name, sentence) = (visit.user.actor(), name.to_owned(), sentence.to_owned());
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::save_draft(tx, actor, event_id, (whom, &name), (&sentence, version), now).await })
    });
    write.await
}

async fn stale(
    app: &App,
    visit: &Visit,
    context: &ThanksContext,
    (whom, name): (Whom, &str),
    form: &SentenceForm,
) -> Result<Response> {
    let drafts = store::drafts(&mut *app.db.read().acquire().await?, context.event.id).await?;
    let stands = drafts.into_iter().find(|draft| draft.whom == whom);
    let (sentence, version) = stands.map(|draft| (draft.sentence, draft.version)).unwrap_or_default();
    let action = format!("/events/{}/guests/thanks/{}", context.event.id, whom.key());
    let mut conflict = Conflict::new(&format!("Thanks to {name}"), action, version);
    conflict.silent("act", "save");
    conflict.field("sentence", "Sentence", &sentence, &form.sentence);
    conflict::show(events::page(app, visit, Some(&context.event), context.now).await?, &conflict)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct BackForm {
    thanked: i64,
}

async fn take_back(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, key)): Path<(i64, String)>,
    Form(form): Form<BackForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let context = ThanksContext::of(&app, &visit, id, now).await?;
    let (owed, name) = meant(&context, &key)?;
    let known = context.thanked.iter().find(|thanked| thanked.id == form.thanked && thanked.whom == owed.whom);
    let tick = known.ok_or(Error::NotFound)?.id;
    let actor = visit.user.actor();
    let write =
        app.db.write(move |tx| Box::pin(async move { store::take_back(tx, actor, id, (tick, &name), now).await }));
    let said =
        if write.await? { "Undone. They are back on the list." } else { "Nothing was changed: that can't be undone." };
    Ok(flash::redirect(&format!("/events/{id}/guests/thanks/{key}"), said))
}
