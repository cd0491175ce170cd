//! The thank-you pages.

use super::form::{DayForm, FORM, SentenceForm};
use super::views::{DayPage, Index, LettersPage, PersonPage, Preview, SendPage, ThankedLine, ThanksContext};
use super::{Deputy, Owed, Way, Whom, all_owed, begins_at, count, due_on, letters, store};
use crate::accounts::{Officer, Private, SignedIn, Visit};
use crate::asks::Sender;
use crate::closed_days;
use crate::error::{Error, Result};
use crate::events;
use crate::mail;
use crate::people;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use std::sync::Arc;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/thanks", get(index))
        .route("/events/{id}/guests/thanks/send", post(send))
        .route("/events/{id}/guests/thanks/letters", get(print))
        .route("/events/{id}/guests/thanks/day", get(day_page).merge(post(save_day)))
        .route("/events/{id}/guests/thanks/{who}", get(person).merge(post(press)))
        .route("/events/{id}/guests/thanks/{who}/back", post(take_back))
}

impl ThanksContext {
    async fn of(app: &App, visit: &Visit, event_id: i64, now: OffsetDateTime) -> Result<Self> {
        let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
        let sender = Sender::of(app.db.read(), &visit.user).await?;
        let mut db = app.db.read().acquire().await?;
        let (owed, people) = all_owed(&mut db, &event).await?;
        let day = store::day(&mut db, event_id).await?;
        let drafts = store::drafts(&mut db, event_id).await?;
        let sentences = drafts.into_iter().map(|draft| (draft.whom, (draft.sentence, draft.version))).collect();
        let thanked = store::thanked(&mut db, event_id).await?;
        Ok(Self { event, owed, people, day, sentences, thanked, sender, now })
    }

    async fn page(&self, app: &App, visit: &Visit, title: &str) -> Result<Page> {
        Ok(events::page(app, visit, Some(&self.event), self.now).await?.titled(title))
    }

    fn burn_day(&self) -> String {
        Reader::App.day(self.event.details.burn_on)
    }

    /// Why no one can be thanked yet.
    fn too_early(&self) -> String {
        let begins = Reader::App.moment(self.event.details.zone.wall(begins_at(&self.event)));
        format!("Nothing was sent. You can send thanks once the burn starts: {begins}.")
    }
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
        let letter = letters::mail(&context.event, &written, &reader, (&context.day, &context.sender), 0, context.now)?;
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

/// Thanks all of these for what they haven't been thanked for, and returns how many
/// there were. The same write checks what was sent in the meantime.
async fn thank(app: &App, visit: &Visit, context: ThanksContext, chosen: Vec<Whom>, way: Way) -> Result<usize> {
    let by = visit.user.account_id;
    let context = Arc::new(context);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let thanked = store::thanked(tx, context.event.id).await?;
            let mut done = 0;
            for owed in chosen.iter().filter_map(|whom| context.find(*whom)) {
                let open = owed.open(&thanked);
                let Some(reader) = context.reader(owed).filter(|_| !open.is_empty()) else { continue };
                let mail_id = if way == Way::Mail {
                    let written = letters::write(&context.event, &context.day, &open, context.sentence(owed.whom));
                    let number = thanked.iter().filter(|thanked| thanked.whom == owed.whom).count();
                    let from = (&context.day, &context.sender);
                    let letter = letters::mail(&context.event, &written, &reader, from, number, context.now)?;
                    if reader.mail.is_empty() {
                        continue;
                    }
                    let Some(id) = mail::queue(tx, &letter, context.now).await? else { continue };
                    Some(id)
                } else {
                    None
                };
                let keys: Vec<String> = open.iter().map(|reason| reason.key.clone()).collect();
                let whom = (owed.whom, reader.name.as_str());
                store::add_thanked(tx, by, context.event.id, whom, &keys, (way, mail_id), context.now).await?;
                done += 1;
            }
            Ok(done)
        })
    });
    write.await
}

async fn print(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let context = ThanksContext::of(&app, &visit, id, app.clock.now()).await?;
    let waits = context.lists().paper;
    let on_paper = waits.iter().filter_map(|line| Whom::of_key(&line.key)).filter_map(|whom| context.find(whom));
    let letters = on_paper.filter_map(|owed| context.paper(owed)).collect();
    show(&LettersPage { page: context.page(&app, &visit, "Thank-you letters").await?, letters })
}

async fn day_page(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let context = ThanksContext::of(&app, &visit, id, app.clock.now()).await?;
    let form = DayForm::of(&context.day);
    show(&day_view(&app, &visit, &context, form, Mistakes::default()).await?)
}

async fn day_view(
    app: &App,
    visit: &Visit,
    context: &ThanksContext,
    form: DayForm,
    mistakes: Mistakes,
) -> Result<DayPage> {
    Ok(DayPage {
        page: context.page(app, visit, "Figures and signature").await?,
        event_id: context.event.id,
        form,
        mistakes,
        names: people::list(app.db.read()).await?,
        sender: context.sender.name.clone(),
    })
}

async fn save_day(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<DayForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let context = ThanksContext::of(&app, &visit, id, now).await?;
    let day = match form.read() {
        Ok(day) => day,
        Err(mistakes) => {
            let page = day_view(&app, &visit, &context, form, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, event) = (visit.user.actor(), context.event.clone());
    let save =
        app.db.write(move |tx| Box::pin(async move { store::save_day(tx, actor, &event, &day, now).await })).await?;
    if save {
        return Ok(flash::redirect(
            &format!("/events/{id}/guests/thanks"),
            "Saved. All thank-you letters use this now.",
        ));
    }
    let stands = store::day(&mut *app.db.read().acquire().await?, id).await?;
    let theirs = DayForm::of(&stands);
    let action = format!("/events/{id}/guests/thanks/day");
    let mut conflict = Conflict::new("Figures and signature", action, stands.version);
    conflict.silent("act", "save");
    for field in FORM {
        conflict.field(field.name, field.label, (field.of)(&theirs), (field.of)(&form));
    }
    conflict::show(events::page(&app, &visit, Some(&context.event), now).await?, &conflict)
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
    let line = |thanked: &super::Thanked| {
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
    let way = match form.act.as_str() {
        "save" => Ok(None),
        "mail" | "letter" | "in person" if !context.has_begun() => Err(("act", context.too_early())),
        other => other.parse::<Way>().map(Some).map_err(|_| ("act", "Use one of the buttons on the page.".to_owned())),
    };
    let read = match (way, form.read()) {
        (Ok(way), Ok(sentence)) => Ok((way, sentence)),
        (Err((field, what)), read) => {
            let mut mistakes = read.err().unwrap_or_default();
            mistakes.add(field, what);
            Err(mistakes)
        }
        (Ok(_), Err(mistakes)) => Err(mistakes),
    };
    let (way, sentence) = match read {
        Ok(read) => read,
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
    let said = match (thank(&app, &visit, context, vec![whom], way).await?, way) {
        (0, Way::Mail) => "Nothing was sent: they have no email, or were already thanked.".to_owned(),
        (0, _) => "Nothing was changed: they were already thanked.".to_owned(),
        (_, Way::Mail) => format!("Your thanks to {name} will go out by email."),
        (_, Way::Letter) => format!("Letter to {name} marked as mailed."),
        (_, Way::InPerson) => format!("{name} marked as thanked in person."),
    };
    Ok(flash::redirect(&here, &said))
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
