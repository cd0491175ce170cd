use super::{FIELDS, Facts, Field, MOST_MESSAGES, store};
use crate::accounts::{SignedIn, Visit};
use crate::asks;
use crate::db::{Tx, journal};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::press::editor::{PressEditor, event};
use crate::state::App;
use crate::talk;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::fold::Fold;
use crate::web::form::{self, Form, Mistakes};
use crate::web::history::HistoryLine;
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
    Router::new().route("/events/{id}/press/facts", get(index).merge(post(save)))
}

#[derive(Template)]
#[template(path = "press/facts.html")]
struct FactsPage {
    page: Page,
    event_id: i64,
    keeps: bool,
    typed: Vec<Typed>,
    /// The contact's email, if People has it; else empty.
    from_people: String,
    messages: String,
    /// Of the lesson plan.
    taught: Vec<String>,
    version: i64,
    mistakes: Mistakes,
    history: Vec<HistoryLine>,
}

/// A field with what is typed in it.
struct Typed {
    field: &'static Field,
    value: String,
}

impl FactsPage {
    /// These of the fields.
    fn these(&self, names: &[&str]) -> Vec<&Typed> {
        self.typed.iter().filter(|typed| names.contains(&typed.field.name)).collect()
    }

    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let facts = self.these(names).into_iter().map(|typed| (typed.field.name, !typed.value.trim().is_empty()));
        let messages = names.iter().filter(|name| **name == "messages");
        let messages = messages.map(|name| (*name, !self.messages.trim().is_empty()));
        Fold::of(facts.chain(messages), &self.mistakes, false)
    }
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct FactsForm {
    contact: String,
    phone: String,
    mail: String,
    why: String,
    area: String,
    arrival: String,
    interviews: String,
    visuals: String,
    decision: String,
    clothing: String,
    power: String,
    messages: String,
    version: i64,
}

impl FactsForm {
    /// As it was typed.
    fn raw(self) -> (Facts, String) {
        let facts = Facts {
            contact: self.contact,
            phone: self.phone,
            mail: self.mail,
            in_people: None,
            why: self.why,
            area: self.area,
            arrival: self.arrival,
            interviews: self.interviews,
            visuals: self.visuals,
            decision: self.decision,
            clothing: self.clothing,
            power: self.power,
            messages: Vec::new(),
            taught: Vec::new(),
            version: self.version,
        };
        (facts, self.messages)
    }

    fn read(&self) -> Result<Facts, Mistakes> {
        let mut mistakes = Mistakes::default();
        let (raw, messages) = self.clone().raw();
        let mut text = |place: usize| {
            let field = &FIELDS[place];
            mistakes.note(field.name, form::optional_line((field.of)(&raw), 300)).unwrap_or_default()
        };
        let facts = Facts {
            contact: text(0),
            phone: text(1),
            mail: text(2),
            in_people: None,
            why: text(3),
            area: text(4),
            arrival: text(5),
            interviews: text(6),
            visuals: text(7),
            decision: text(8),
            clothing: text(9),
            power: text(10),
            messages: Vec::new(),
            taught: Vec::new(),
            version: self.version,
        };
        if let Some(Err(what)) = (!facts.mail.is_empty()).then(|| form::mail(&facts.mail)) {
            mistakes.add("mail", what);
        }
        let messages = mistakes.note("messages", form::paragraph(&messages, 1_500)).unwrap_or_default();
        let messages: Vec<String> =
            messages.lines().map(|line| line.trim().to_owned()).filter(|line| !line.is_empty()).collect();
        if messages.len() > MOST_MESSAGES {
            mistakes.add(
                "messages",
                format!("Give at most {MOST_MESSAGES} messages, one to a line. A story carries only a few."),
            );
        }
        if mistakes.is_empty() { Ok(Facts { messages, ..facts }) } else { Err(mistakes) }
    }
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let facts = store::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let messages = facts.messages.join("\n");
    show(&view(&app, &visit, &event, (facts, messages), Mistakes::default()).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    (facts, messages): (Facts, String),
    mistakes: Mistakes,
) -> Result<FactsPage> {
    let history = journal::of(app.db.read(), "press facts", event.id).await?;
    let mut db = app.db.read().acquire().await?;
    let in_people = store::in_people(&mut db, &facts.contact).await?;
    let taught = talk::press_messages(&mut db, event.id).await?;
    drop(db);
    Ok(FactsPage {
        page: events::page(app, visit, Some(event), app.clock.now()).await?.titled("Facts and key messages"),
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        typed: FIELDS.iter().map(|field| Typed { field, value: (field.of)(&facts).clone() }).collect(),
        from_people: in_people.unwrap_or_default(),
        messages,
        taught,
        version: facts.version,
        mistakes,
        history: history.into_iter().map(|entry| HistoryLine::of(entry, &event.details.zone)).collect(),
    })
}

/// Puts today's facts under the questions to the press. Gives how many questions changed.
async fn refresh(tx: &mut Tx, event_id: i64, facts: &Facts, now: OffsetDateTime) -> Result<usize> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    let lines = super::coverage_facts(facts);
    let mut changed = 0;
    for request in asks::of_event(tx, event_id).await?.iter().filter(|one| one.kind == asks::Kind::Coverage) {
        changed += usize::from(asks::refresh(tx, &event, request, &lines, now).await?);
    }
    Ok(changed)
}

async fn save(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<FactsForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, form.raw(), mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, mine) = (visit.user.actor(), new.clone());
    let save = app.db.write(move |tx| {
        Box::pin(async move {
            if !store::save(tx, actor, id, &new, now).await? {
                return Ok(None);
            }
            Ok(Some(refresh(tx, id, &new, now).await?))
        })
    });
    if let Some(outdated) = save.await? {
        let said = format!("The press facts are saved.{}", asks::tell_next(outdated));
        return Ok(flash::redirect(&format!("/events/{id}/press"), &said));
    }
    let theirs = store::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let mut conflict = Conflict::new("Facts and key messages", format!("/events/{id}/press/facts"), theirs.version);
    for field in &FIELDS {
        conflict.field(field.name, field.label, (field.of)(&theirs), (field.of)(&mine));
    }
    conflict.field("messages", "Key messages", &theirs.messages.join("\n"), &mine.messages.join("\n"));
    conflict::show(events::page(&app, &visit, Some(&event), now).await?, &conflict)
}
