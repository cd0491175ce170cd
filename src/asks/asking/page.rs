//! The page that asks anyone anything, with lines typed there or those for the press.

use super::asked::Asked;
use super::form::{Choosing, QuestionForm};
use super::part::{AskingPart, Recipient};
use crate::accounts::{Officer, Visit};
use crate::asks::{Kind, NewQuestion, ReadClosings, ReadCoverage, Request, Sender, Sending, found, store, views};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail;
use crate::people::choosing::{Chooser, Find};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Mistakes, Three};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(in crate::asks) fn router() -> Router<App> {
    Router::new().route("/events/{id}/replies/new", get(new).merge(post(create)))
}

/// The most emails to preview.
const PREVIEWS: usize = 50;

const CHOOSING: Choosing = Choosing { field: "person", nothing: "Choose at least one person." };

/// The lines that may go under a question: form fields and labels.
pub const FACTS: [(&str, &str); 4] = [("at", "Time"), ("place", "Where"), ("with", "With"), ("bring", "Bring")];

/// What is typed beside the question: its kind, and the lines under it.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct FactsForm {
    kind: String,
    at: String,
    place: String,
    with: String,
    bring: String,
}

impl FactsForm {
    fn fact(&self, name: &str) -> &str {
        match name {
            "at" => &self.at,
            "place" => &self.place,
            "with" => &self.with,
            _ => &self.bring,
        }
    }

    fn kind(&self) -> Result<Kind, String> {
        self.kind.parse()
    }

    /// Are its lines the facts for the press?
    fn has_press_lines(&self) -> bool {
        self.kind().is_ok_and(Kind::has_press_lines)
    }

    /// The kind of question and the lines under it. The event's own time and place come from
    /// the event.
    fn read(&self, event: &Event, mistakes: &mut Mistakes) -> (Option<Kind>, Vec<(String, String)>) {
        let kind = mistakes.note("kind", self.kind());
        let mut facts = Vec::new();
        for (name, label) in FACTS {
            let is_own = |text: &String| match name {
                "at" => *text != words::iso_time(event.details.burn_time),
                "place" => *text != event.details.site,
                _ => true,
            };
            let text = mistakes.note(name, form::optional_line(self.fact(name), 150));
            facts.extend(text.filter(|text| is_own(text) && !text.is_empty()).map(|text| (label.to_owned(), text)));
        }
        (kind, facts)
    }
}

/// Everything that the page sends.
struct Typed {
    facts: FactsForm,
    form: QuestionForm,
    find: Find,
}

impl Typed {
    fn read(&self, event: &Event, now: OffsetDateTime) -> Result<NewQuestion, Mistakes> {
        let mut mistakes = Mistakes::default();
        let (kind, facts) = self.facts.read(event, &mut mistakes);
        // Without a kind there is a mistake, so there is no question.
        let question = self.form.read(kind.unwrap_or(Kind::Help), CHOOSING, event, now, mistakes)?;
        Ok(NewQuestion { facts, ..question })
    }
}

#[derive(Template)]
#[template(path = "asks/new.html")]
struct NewPage {
    page: Page,
    event_id: i64,
    facts: FactsForm,
    asking: AskingPart,
    chooser: Chooser,
}

impl NewPage {
    async fn load(
        app: &App,
        visit: &Visit,
        event: &Event,
        typed: Typed,
        mistakes: Mistakes,
        now: OffsetDateTime,
    ) -> Result<Self> {
        let Typed { facts, form, find } = typed;
        let here = format!("/events/{}/replies/new", event.id);
        let mut db = app.db.read().acquire().await?;
        let chooser = Chooser::load(&mut db, here, &find, &form.chosen, &[], views::reached).await?;
        drop(db);
        let form = QuestionForm { chosen: chooser.ids(), ..form };
        Ok(Self {
            page: events::page(app, visit, Some(event), now).await?.titled("Ask people"),
            event_id: event.id,
            facts,
            asking: AskingPart::of(form, mistakes, event, |on| Reader::App.day(on)),
            chooser,
        })
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    kind: String,
}

async fn new(
    State(app): State<App>,
    Extension(closings): Extension<ReadClosings>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
    Query(find): Query<Find>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = found::event(&app, id).await?;
    let kind = wanted.kind.parse().ok().filter(|kind: &Kind| !kind.takes_offer()).unwrap_or(Kind::Post);
    let closings = closings(app.clone(), event.clone(), now).await?;
    let facts = FactsForm { kind: kind.to_string(), ..FactsForm::default() };
    let form = QuestionForm::usual(kind, &event, &closings, now).for_burn_day();
    show(&NewPage::load(&app, &visit, &event, Typed { facts, form, find }, Mistakes::default(), now).await?)
}

async fn create(
    State(app): State<App>,
    Extension(coverage): Extension<ReadCoverage>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Three(facts, form, find): Three<FactsForm, QuestionForm, Find>,
) -> Result<Response> {
    let (now, typed) = (app.clock.now(), Typed { facts, form, find });
    let event = found::event(&app, id).await?;
    if typed.find.is_looking() && typed.form.act != "ask" {
        return show(&NewPage::load(&app, &visit, &event, typed, Mistakes::default(), now).await?);
    }
    let question = match typed.read(&event, now) {
        Ok(question) => with_press_lines(&app, id, question, coverage).await?,
        Err(mistakes) => {
            let page = NewPage::load(&app, &visit, &event, typed, mistakes, now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let chosen = people::some(&mut *app.db.read().acquire().await?, &typed.form.chosen).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    if typed.form.act == "see" {
        let mut page = NewPage::load(&app, &visit, &event, typed, Mistakes::default(), now).await?;
        page.asking.preview(&event, &recipients(&event, &question, &chosen, now), &sender, now)?;
        return show(&page);
    }
    let said = ask(&app, &visit, event, question, chosen, sender, now).await?;
    Ok(flash::redirect(&format!("/events/{id}/replies"), &said))
}

/// The question with the facts for the press, if those are its lines.
async fn with_press_lines(
    app: &App,
    event_id: i64,
    mut question: NewQuestion,
    coverage: ReadCoverage,
) -> Result<NewQuestion> {
    if question.kind.takes_offer() {
        return Err(Error::BadRequest(found::BY_ROOMS.to_owned()));
    }
    if question.kind.has_press_lines() {
        question.facts = coverage(&mut *app.db.read().acquire().await?, event_id).await?;
    }
    Ok(question)
}

/// The people to preview emails to, and everyone to call.
fn recipients<'a>(
    event: &Event,
    question: &NewQuestion,
    chosen: &'a [Person],
    now: OffsetDateTime,
) -> Vec<Recipient<'a>> {
    let (reached, unreached): (Vec<&Person>, Vec<&Person>) = chosen.iter().partition(|person| person.has_mail());
    let recipient = |person: &'a Person| Recipient {
        person,
        called: person.details.name.clone(),
        questions: vec![question.unsent(event, person.id, now)],
    };
    reached.into_iter().take(PREVIEWS).chain(unreached).map(recipient).collect()
}

/// Asks them, and says what became of it.
async fn ask(
    app: &App,
    visit: &Visit,
    event: Event,
    question: NewQuestion,
    chosen: Vec<Person>,
    sender: Sender,
    now: OffsetDateTime,
) -> Result<String> {
    let (by, key) = (visit.user.account_id, app.link_key.clone());
    let night = mail::night_note(&event.details.zone, now);
    let count = chosen.len();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let sending = Sending { actor: Actor::Account(by), sender: &sender, key: &key, now };
            ask_all(tx, by, &event, &question, &chosen, sending).await
        })
    });
    let asked = write.await?;
    let mut said = vec![format!("{} asked.", words::count(asked.asked, "person was", "people were"))];
    if asked.unreached() > 0 {
        said.push(format!("{} no working email: call.", words::count(asked.unreached(), "has", "have")));
    }
    if asked.asked < count {
        said.push(format!("{} asked before and not again.", words::count(count - asked.asked, "was", "were")));
    }
    Ok(said.join(" ") + asked.night(&night))
}

/// Asks everyone whom no open question asks the same.
async fn ask_all(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    question: &NewQuestion,
    chosen: &[Person],
    sending: Sending<'_>,
) -> Result<Asked> {
    let known = store::of_event(tx, event.id).await?;
    let mut asked = Asked::default();
    for person in chosen {
        let is_same = |old: &Request| old.question == question.question && old.person_id == person.id;
        if known.iter().any(|old| is_same(old) && !old.is_withdrawn && !old.is_stale()) {
            continue;
        }
        let id = store::ask(tx, by, event, person.id, question, sending.key, sending.now).await?;
        asked.send(tx, event, &[id], sending).await?;
    }
    Ok(asked)
}
