//! One post: who stands there, and putting somebody there.

use super::book::{Book, Seat};
use super::home::{DateLine, PersonLine, book, page};
use super::keeper::{CrewKeeper, event, keeps_crew, may_decide};
use super::{Assignment, Post, Violation, follow, store};
use crate::accounts::{self, SignedIn, Visit};
use crate::asks;
use crate::db::Tx;
use crate::db::journal::{self, Actor};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::people;
use crate::people::choosing::{Chooser, Find, Line};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Both, Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

/// At most so many people are shown to choose from.
const MOST_KNOWN: usize = 200;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/crew/posts/{post}", get(post_page))
        .route("/events/{id}/crew/posts/{post}/assign", post(assign))
        .route("/events/{id}/crew/assignments/{assignment}/remove", post(take_off))
        .route("/events/{id}/crew/assignments/{assignment}/standby", post(standby))
}

/// What came of putting somebody at a post.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Placed {
    Done {
        id: i64,
        /// What speaks against it on the rain date alone.
        rain: Vec<Violation>,
    },
    Already,
    /// What speaks against it on burn day.
    Refused(Vec<Violation>),
    /// The post or the person is no more.
    Gone,
}

/// Somebody to be put at a post.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placing {
    pub post_id: i64,
    pub person_id: i64,
    pub is_standby: bool,
    /// Against the rules, because of this; empty to keep them.
    pub reason: String,
}

/// Puts somebody at a post unless a rule speaks against it on burn day. What
/// speaks against it on the rain date alone leaves a gap there.
///
/// # Errors
/// The store's.
pub async fn place(tx: &mut Tx, actor: Actor, event: &Event, placing: &Placing, now: OffsetDateTime) -> Result<Placed> {
    let book = Book::load(tx, event).await?;
    let Some(person) = people::find(tx, placing.person_id).await? else { return Ok(Placed::Gone) };
    let Some(post) = book.post(placing.post_id) else { return Ok(Placed::Gone) };
    let burn = book.against(post, person.id, event.details.burn_on);
    let mut rain = event.details.rain_on.map(|on| book.against(post, person.id, on)).unwrap_or_default();
    rain.retain(|violation| !burn.contains(violation));
    if !burn.is_empty() && placing.reason.is_empty() {
        return Ok(Placed::Refused(burn));
    }
    let rules: Vec<String> = burn.iter().chain(&rain).map(|violation| violation.words.clone()).collect();
    let all_the_same = (!burn.is_empty()).then_some((rules.as_slice(), placing.reason.as_str()));
    let who = (event.id, (post.id, post.details.name.as_str()), (person.id, person.details.name.as_str()));
    let id = store::assign(tx, actor, who, (placing.is_standby, all_the_same), now).await?;
    Ok(id.map_or(Placed::Already, |id| Placed::Done { id, rain: if burn.is_empty() { rain } else { Vec::new() } }))
}

#[derive(Template)]
#[template(path = "crew/post.html")]
struct PostPage {
    page: Page,
    event_id: i64,
    post: Post,
    hours: String,
    needs: Vec<(String, String)>,
    dates: Vec<DateLine>,
    people: Vec<PersonLine>,
    keeps: bool,
    /// Why the reader may not override a rule about whom was chosen; empty if
    /// they may.
    who_overrides: &'static str,
    choices: Vec<Choice>,
    chooser: Chooser,
    form: AssignForm,
    /// The rules that speak against whom was chosen.
    refused: Vec<Violation>,
    refused_name: String,
    mistakes: Mistakes,
    history: Vec<HistoryLine>,
}

/// Somebody who could stand there.
struct Choice {
    id: i64,
    name: String,
    place: String,
    /// What speaks against it on burn day, else on the rain date; empty if
    /// nothing does.
    against: String,
    is_chosen: bool,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct AssignForm {
    person: i64,
    standby: String,
    reason: String,
}

async fn post_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, post)): Path<(i64, i64)>,
    Query(form): Query<AssignForm>,
    Query(find): Query<Find>,
) -> Result<Response> {
    let book = book(&app, id).await?;
    show(&view(&app, &visit, &book, post, (form, Mistakes::default(), &find)).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    book: &Book,
    post: i64,
    (form, mistakes, find): (AssignForm, Mistakes, &Find),
) -> Result<PostPage> {
    let now = app.clock.now();
    let post = book.post(post).ok_or(Error::NotFound)?;
    let (event, today) = (&book.event, book.event.today(now));
    let keeps = keeps_crew(&visit.user);
    let (choices, chooser) = choices(app, book, post, &form, find).await?;
    let needs = post.details.needs.iter().filter_map(|id| book.qualification(*id));
    let history = journal::of(app.db.read(), "post", post.id).await?;
    let accounts = accounts::list(app.db.read()).await?;
    Ok(PostPage {
        page: page(app, visit, event, &post.details.name).await?,
        event_id: event.id,
        hours: post.details.hours.says(),
        needs: needs.map(|one| (one.name.clone(), one.basis.clone())).collect(),
        dates: book
            .dates()
            .map(|on| DateLine { seats: book.seats(post, on), ..DateLine::of(book, on, today) })
            .collect(),
        people: book.at(post.id, event.details.burn_on).iter().map(|one| PersonLine::of(book, one, now)).collect(),
        keeps,
        who_overrides: may_decide(&visit.user, form.person, &accounts).err().unwrap_or_default(),
        choices: if keeps { choices } else { Vec::new() },
        chooser,
        form,
        refused: Vec::new(),
        refused_name: String::new(),
        mistakes,
        history: history.into_iter().map(|told| HistoryLine::of(told, &event.details.zone)).collect(),
        post: post.clone(),
    })
}

/// Whom to choose from: those known to the crew, or whoever is looked for; those
/// against whom nothing speaks first.
async fn choices(
    app: &App,
    book: &Book,
    post: &Post,
    form: &AssignForm,
    find: &Find,
) -> Result<(Vec<Choice>, Chooser)> {
    let page = format!("/events/{}/crew/posts/{}", book.event.id, post.id);
    let here: Vec<i64> = book.assigned.iter().filter(|one| one.post_id == post.id).map(|one| one.person_id).collect();
    let mut db = app.db.read().acquire().await?;
    let chooser = Chooser::load(&mut db, page, find, &[], &here, people::Person::place).await?;
    drop(db);
    let line =
        |person: &people::Person| Line { id: person.id, name: person.details.name.clone(), detail: person.place() };
    let known = book.people.values().filter(|person| !here.contains(&person.id));
    let found: Vec<Line> = if find.is_empty() && !book.people.is_empty() && find.find_act.is_empty() {
        known.take(MOST_KNOWN).map(line).collect()
    } else {
        chooser.people.clone()
    };
    let mut choices: Vec<(usize, Choice)> = found
        .into_iter()
        .map(|Line { id, name, detail }| {
            let (count, against) = speaks_against(book, post, id);
            (count, Choice { id, name, place: detail, against, is_chosen: form.person == id })
        })
        .collect();
    choices.sort_by(|a, b| (a.0, &a.1.name).cmp(&(b.0, &b.1.name)));
    Ok((choices.into_iter().map(|(_, choice)| choice).collect(), chooser))
}

/// How much speaks against somebody at a post, and what.
fn speaks_against(book: &Book, post: &Post, person_id: i64) -> (usize, String) {
    let words = |on: Date| -> Vec<String> {
        book.against(post, person_id, on).into_iter().map(|violation| violation.words).collect()
    };
    let mut parts = words(book.event.details.burn_on);
    let weight = parts.len() * 2;
    if let Some(rain) = book.event.details.rain_on.filter(|_| parts.is_empty()) {
        parts = words(rain);
    }
    let elsewhere = book.posts_of(person_id).into_iter().filter(|(other, _)| !other.is_standby).count();
    if parts.is_empty() && elsewhere > 0 {
        parts.push("Stands at another post too.".to_owned());
    }
    (weight + parts.len(), parts.join(" "))
}

async fn assign(
    State(app): State<App>,
    CrewKeeper(visit): CrewKeeper,
    Path((id, post)): Path<(i64, i64)>,
    Both(form, find): Both<AssignForm, Find>,
) -> Result<Response> {
    let now = app.clock.now();
    let book = book(&app, id).await?;
    let name = book.post(post).ok_or(Error::NotFound)?.details.name.clone();
    let accounts = accounts::list(app.db.read()).await?;
    let placing = match read(&form, post, may_decide(&visit.user, form.person, &accounts)) {
        Ok(placing) => placing,
        Err(mistakes) => {
            let page = view(&app, &visit, &book, post, (form, mistakes, &find)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, event, key) = (visit.user.actor(), book.event.clone(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let placed = place(tx, actor, &event, &placing, now).await?;
            // Who was asked before has a page of their own as well.
            if matches!(placed, Placed::Done { .. }) {
                store::add_link(tx, (event.id, placing.person_id), &key).await?;
                follow::refresh(tx, id, now).await?;
            }
            Ok(placed)
        })
    });
    let here = format!("/events/{id}/crew/posts/{post}");
    match write.await? {
        Placed::Done { rain, .. } if rain.is_empty() => {
            let is_asked = book.requests.iter().any(|one| one.person_id == form.person && book.is_general(one));
            let next = if is_asked { "They were asked before: what they said counts here." } else { "Ask them next." };
            Ok(flash::redirect(&here, &format!("Assigned to “{name}”. {next}")))
        }
        Placed::Done { rain, .. } => {
            let words: Vec<String> = rain.into_iter().map(|violation| violation.words).collect();
            Ok(flash::redirect(&here, &format!("Assigned, with a gap on the rain date: {}", words.join(" "))))
        }
        Placed::Already => Ok(flash::redirect(&here, "Nothing was changed: they stand there already.")),
        Placed::Gone => {
            let mut mistakes = Mistakes::default();
            mistakes.add("person", "Choose somebody.");
            let page = view(&app, &visit, &book, post, (form, mistakes, &find)).await?;
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
        }
        Placed::Refused(rules) => {
            let person = people::find(&mut *app.db.read().acquire().await?, form.person).await?;
            let mut page = view(&app, &visit, &book, post, (form, Mistakes::default(), &find)).await?;
            page.refused = rules;
            page.refused_name = person.map(|person| person.details.name).unwrap_or_default();
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
        }
    }
}

fn read(form: &AssignForm, post_id: i64, may_override: Result<(), &'static str>) -> Result<Placing, Mistakes> {
    let mut mistakes = Mistakes::default();
    if form.person == 0 {
        mistakes.add("person", "Choose somebody.");
    }
    let reason = mistakes.note("reason", form::optional_line(&form.reason, 300)).unwrap_or_default();
    if let (false, Err(who_may)) = (reason.is_empty(), may_override) {
        mistakes.add("reason", who_may);
    }
    if mistakes.is_empty() {
        Ok(Placing { post_id, person_id: form.person, is_standby: form.standby == "yes", reason })
    } else {
        Err(mistakes)
    }
}

/// An assignment of this event, and what it is called.
async fn found(app: &App, event_id: i64, id: i64) -> Result<(Assignment, String)> {
    let event = event(app, event_id).await?;
    let book = Book::load(&mut *app.db.read().acquire().await?, &event).await?;
    let one = book.assigned.iter().find(|one| one.id == id).ok_or(Error::NotFound)?;
    let post = book.post(one.post_id).map(|post| post.details.name.as_str()).unwrap_or_default();
    let name = book.people.get(&one.person_id).map_or("somebody forgotten", |person| person.details.name.as_str());
    Ok((one.clone(), format!("{post}: {name}")))
}

async fn take_off(
    State(app): State<App>,
    CrewKeeper(visit): CrewKeeper,
    Path((id, assignment)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (one, title) = found(&app, id, assignment).await?;
    let (actor, back) = (visit.user.actor(), format!("/events/{id}/crew/posts/{}", one.post_id));
    let said = if one.request_id.is_some() {
        "Taken off the post. They were asked about it: take the question back among the asks, so that they hear of it."
    } else {
        "Taken off the post."
    };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::unassign(tx, actor, &one, &title, now).await?;
            follow::refresh(tx, id, now).await
        })
    });
    write.await?;
    Ok(flash::redirect(&back, said))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct StandbyForm {
    standby: String,
}

async fn standby(
    State(app): State<App>,
    CrewKeeper(visit): CrewKeeper,
    Path((id, assignment)): Path<(i64, i64)>,
    Form(form): Form<StandbyForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let (one, title) = found(&app, id, assignment).await?;
    let (actor, back) = (visit.user.actor(), format!("/events/{id}/crew/posts/{}", one.post_id));
    if !matches!(form.standby.as_str(), "yes" | "no") {
        return Ok(flash::redirect(&back, "Nothing was changed: press one of the buttons."));
    }
    let standby = form.standby == "yes";
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            // Whoever stands by holds no duty; before they do, the rules are looked at.
            let book = Book::load(tx, &event).await?;
            let on = event.details.burn_on;
            if !standby && !book.broken(&Assignment { is_standby: false, ..one.clone() }, on).is_empty() {
                return Ok(None);
            }
            store::set_standby(tx, actor, (&one, &title), standby, now).await?;
            Ok(Some(follow::refresh(tx, id, now).await?))
        })
    });
    let said = match (write.await?, standby) {
        (None, _) => "Nothing was changed: a rule speaks against it. Take them off, then assign them anew.".to_owned(),
        (Some(outdated), true) => format!("They are an alternate.{}", asks::tell_next(outdated)),
        (Some(outdated), false) => format!("They fill a seat.{}", asks::tell_next(outdated)),
    };
    Ok(flash::redirect(&back, &said))
}

impl Book {
    /// Seats of a post that have nobody on burn day or the rain date.
    #[must_use]
    pub fn is_short(&self, post: &Post) -> bool {
        self.dates().any(|on| self.seats(post, on).open > 0)
    }

    /// Fills a seat on a date.
    #[must_use]
    pub fn fills(&self, assignment: &Assignment, on: Date) -> bool {
        !assignment.is_standby && self.seat(assignment, on) == Seat::Filled
    }
}
