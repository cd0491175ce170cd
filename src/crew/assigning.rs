//! One position: who has it, and assigning people to it.

use super::editor::{CrewEditor, event, keeps_crew, may_decide};
use super::home::{page, snapshot};
use super::lines::{DateLine, PersonLine};
use super::snapshot::{CrewSnapshot, Seat};
use super::{Assignment, Post, Violation, follow, store};
use crate::accounts::{self, SignedIn, Visit};
use crate::asks;
use crate::db::Tx;
use crate::db::journal::{self, Actor};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::people;
use crate::people::choosing::{self, Adding, Chooser, Find, Line, NewPerson, Recognized, Settled, Whom, who_is_it};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes, Three};
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

/// At most this many people are listed to choose from.
const MOST_KNOWN: usize = 200;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/crew/positions/{post}", get(post_page))
        .route("/events/{id}/crew/positions/{post}/assign", post(assign))
        .route("/events/{id}/crew/assignments/{assignment}/remove", post(take_off))
        .route("/events/{id}/crew/assignments/{assignment}/standby", post(standby))
}

/// The result of assigning someone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Placed {
    Done {
        id: i64,
        /// The rules that are broken on the rain date only.
        rain: Vec<Violation>,
    },
    Already,
    /// The rules that are broken on burn day.
    Refused(Vec<Violation>),
    /// The position or the person no longer exists.
    Gone,
}

/// Someone to assign to a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placing {
    pub post_id: i64,
    pub person_id: i64,
    pub is_standby: bool,
    /// Why the rules are overridden. Empty to follow them.
    pub reason: String,
}

/// Assigns someone to a position unless that breaks a rule on burn day. A rule that is
/// broken on the rain date only leaves the position open on that date.
///
/// # Errors
/// The store's.
pub async fn place(tx: &mut Tx, actor: Actor, event: &Event, placing: &Placing, now: OffsetDateTime) -> Result<Placed> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    let Some(person) = people::find(tx, placing.person_id).await? else { return Ok(Placed::Gone) };
    let Some(post) = snapshot.post(placing.post_id) else { return Ok(Placed::Gone) };
    let burn = snapshot.against(post, person.id, event.details.burn_on);
    let mut rain = event.details.rain_on.map(|on| snapshot.against(post, person.id, on)).unwrap_or_default();
    rain.retain(|violation| !burn.contains(violation));
    if !burn.is_empty() && placing.reason.is_empty() {
        return Ok(Placed::Refused(burn));
    }
    let broken: Vec<Violation> = burn.iter().chain(&rain).cloned().collect();
    let rule_override = (!burn.is_empty()).then_some((broken.as_slice(), placing.reason.as_str()));
    let who = (event.id, (post.id, post.details.name.as_str()), (person.id, person.details.name.as_str()));
    let id = store::assign(tx, actor, who, (placing.is_standby, rule_override), now).await?;
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
    /// Why the user may not override a rule for the chosen person. Empty if they may.
    who_overrides: &'static str,
    choices: Vec<Choice>,
    chooser: Chooser,
    /// Someone who isn't in People yet, and whether this user may add them.
    adding: Adding,
    adds: bool,
    form: AssignForm,
    /// The rules that the chosen person would break.
    refused: Vec<Violation>,
    refused_name: String,
    mistakes: Mistakes,
    history: Vec<HistoryLine>,
}

/// Someone to choose.
struct Choice {
    id: i64,
    name: String,
    place: String,
    /// The rules they would break on burn day, or else on the rain date. Empty if none.
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
    let snapshot = snapshot(&app, id).await?;
    show(&view(&app, &visit, &snapshot, post, (form, Mistakes::default(), &find), Adding::default()).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    snapshot: &CrewSnapshot,
    post: i64,
    (form, mistakes, find): (AssignForm, Mistakes, &Find),
    adding: Adding,
) -> Result<PostPage> {
    let now = app.clock.now();
    let post = snapshot.post(post).ok_or(Error::NotFound)?;
    let (event, today) = (&snapshot.event, snapshot.event.today(now));
    let keeps = keeps_crew(&visit.user);
    let (choices, chooser) = choices(app, snapshot, post, &form, find).await?;
    let needs = post.details.needs.iter().filter_map(|id| snapshot.qualification(*id));
    let history = journal::of(app.db.read(), "post", post.id).await?;
    let accounts = accounts::list(app.db.read()).await?;
    Ok(PostPage {
        page: page(app, visit, event, &post.details.name).await?,
        event_id: event.id,
        hours: post.details.hours.says(),
        needs: needs.map(|one| (one.name.clone(), one.basis.clone())).collect(),
        dates: snapshot
            .dates()
            .map(|on| DateLine { seats: snapshot.seats(post, on), ..DateLine::of(snapshot, on, today) })
            .collect(),
        people: snapshot
            .at(post.id, event.details.burn_on)
            .iter()
            .map(|one| PersonLine::of(snapshot, one, now))
            .collect(),
        keeps,
        who_overrides: may_decide(&visit.user, form.person, &accounts).err().unwrap_or_default(),
        choices: if keeps { choices } else { Vec::new() },
        chooser,
        adding,
        adds: visit.user.keeps_people(),
        form,
        refused: Vec::new(),
        refused_name: String::new(),
        mistakes,
        history: history.into_iter().map(|entry| HistoryLine::of(entry, &event.details.zone)).collect(),
        post: post.clone(),
    })
}

/// The people to choose from: the ones the crew knows, or the ones searched for. Those who
/// would break no rule come first.
async fn choices(
    app: &App,
    snapshot: &CrewSnapshot,
    post: &Post,
    form: &AssignForm,
    find: &Find,
) -> Result<(Vec<Choice>, Chooser)> {
    let page = format!("/events/{}/crew/positions/{}", snapshot.event.id, post.id);
    let here: Vec<i64> =
        snapshot.assigned.iter().filter(|one| one.post_id == post.id).map(|one| one.person_id).collect();
    let mut db = app.db.read().acquire().await?;
    let chooser = Chooser::load(&mut db, page, find, &[], &here, people::Person::place).await?;
    drop(db);
    let line =
        |person: &people::Person| Line { id: person.id, name: person.details.name.clone(), detail: person.place() };
    let mut known: Vec<&people::Person> =
        snapshot.people.values().filter(|person| !here.contains(&person.id)).collect();
    known.sort_by_cached_key(|person| person.listing());
    let found: Vec<Line> = if find.is_empty() && !snapshot.people.is_empty() && find.find_act.is_empty() {
        known.into_iter().take(MOST_KNOWN).map(line).collect()
    } else {
        chooser.people.clone()
    };
    let mut choices: Vec<(usize, Choice)> = found
        .into_iter()
        .map(|Line { id, name, detail }| {
            let (count, against) = speaks_against(snapshot, post, id);
            (count, Choice { id, name, place: detail, against, is_chosen: form.person == id })
        })
        .collect();
    // Those of one weight stay in the order of lists.
    choices.sort_by_key(|(weight, _)| *weight);
    Ok((choices.into_iter().map(|(_, choice)| choice).collect(), chooser))
}

/// The rules someone would break in a position, and how much that weighs.
fn speaks_against(snapshot: &CrewSnapshot, post: &Post, person_id: i64) -> (usize, String) {
    let words = |on: Date| -> Vec<String> {
        snapshot.against(post, person_id, on).into_iter().map(|violation| violation.words).collect()
    };
    let mut parts = words(snapshot.event.details.burn_on);
    let weight = parts.len() * 2;
    if let Some(rain) = snapshot.event.details.rain_on.filter(|_| parts.is_empty()) {
        parts = words(rain);
    }
    let elsewhere = snapshot.posts_of(person_id).into_iter().filter(|(other, _)| !other.is_standby).count();
    if parts.is_empty() && elsewhere > 0 {
        parts.push("Also has another position.".to_owned());
    }
    (weight + parts.len(), parts.join(" "))
}

async fn assign(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, post)): Path<(i64, i64)>,
    Three(form, find, new): Three<AssignForm, Find, NewPerson>,
) -> Result<Response> {
    new.only_if(visit.user.keeps_people())?;
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let name = snapshot.post(post).ok_or(Error::NotFound)?.details.name.clone();
    let accounts = accounts::list(app.db.read()).await?;
    let (placing, whom) = match read((&form, &new), post, may_decide(&visit.user, form.person, &accounts)) {
        Ok(read) => read,
        Err(mistakes) => {
            return refuse(&app, &visit, (&snapshot, post), (form, mistakes, &find), (new, Vec::new())).await;
        }
    };
    let (actor, event, key) = (visit.user.actor(), snapshot.event.clone(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let assigned = assign_whom(tx, actor, &event, (&placing, &whom), now).await?;
            // People who were asked earlier get their own page too.
            if let Assigned::Tried { placed: Placed::Done { .. }, person_id, .. } = &assigned {
                store::add_link(tx, (event.id, *person_id), &key).await?;
                follow::refresh(tx, id, now).await?;
            }
            Ok(assigned)
        })
    });
    let here = format!("/events/{id}/crew/positions/{post}");
    let (placed, person_id, said) = match write.await? {
        Assigned::Tried { placed, person_id, said } => (placed, person_id, said),
        Assigned::Unsure(known) => {
            return refuse(&app, &visit, (&snapshot, post), (form, who_is_it(), &find), (new, known)).await;
        }
    };
    match placed {
        Placed::Done { rain, .. } if rain.is_empty() => {
            let is_asked = snapshot.requests.iter().any(|one| one.person_id == person_id && snapshot.is_general(one));
            let next = if is_asked { "They were asked before, and that answer counts." } else { "Next, ask them." };
            Ok(flash::redirect(&here, &format!("Assigned to “{name}”.{said} {next}")))
        }
        Placed::Done { rain, .. } => {
            let words: Vec<String> = rain.into_iter().map(|violation| violation.words).collect();
            let words = words.join(" ");
            Ok(flash::redirect(&here, &format!("Assigned to “{name}”, but not for the rain date: {words}{said}")))
        }
        Placed::Already => Ok(flash::redirect(&here, "Nothing changed: they already have this position.")),
        Placed::Gone => {
            let mut mistakes = Mistakes::default();
            mistakes.add("person", NOBODY);
            refuse(&app, &visit, (&snapshot, post), (form, mistakes, &find), (new, Vec::new())).await
        }
        Placed::Refused(rules) => {
            let person = people::find(&mut *app.db.read().acquire().await?, person_id).await?;
            let name = person.map_or_else(|| new.new_name.trim().to_owned(), |person| person.details.name);
            let form = AssignForm { person: person_id, ..form };
            let new = if person_id == 0 { new } else { NewPerson::default() };
            let adding = Adding::of(new, Vec::new(), &Mistakes::default(), true);
            let mut page = view(&app, &visit, &snapshot, post, (form, Mistakes::default(), &find), adding).await?;
            page.refused = rules;
            page.refused_name = name;
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
        }
    }
}

const NOBODY: &str = "Choose someone.";

/// The page again, with what is wrong.
async fn refuse(
    app: &App,
    visit: &Visit,
    (snapshot, post): (&CrewSnapshot, i64),
    (form, mistakes, find): (AssignForm, Mistakes, &Find),
    (new, known): (NewPerson, Vec<Line>),
) -> Result<Response> {
    let adding = Adding::of(new, known, &mistakes, true);
    let page = view(app, visit, snapshot, post, (form, mistakes, find), adding).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

/// What became of assigning whomever a form means.
enum Assigned {
    Tried {
        placed: Placed,
        /// 0 for someone new who was refused, and so was not added to People.
        person_id: i64,
        /// What to say about someone who was typed.
        said: String,
    },
    /// They may be one of these.
    Unsure(Vec<Line>),
}

async fn assign_whom(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (placing, whom): (&Placing, &Whom),
    now: OffsetDateTime,
) -> Result<Assigned> {
    let tried = |placed, person_id, said| Ok(Assigned::Tried { placed, person_id, said });
    let mut placing = placing.clone();
    if let Whom::New(_) = whom {
        let person_id = match choosing::recognize(tx, whom).await? {
            Recognized::Known(person) => {
                // Who may override a rule for them depends on who they are: the page asks again.
                placing.reason.clear();
                person.id
            }
            Recognized::Unsure(known) => return Ok(Assigned::Unsure(known)),
            Recognized::New | Recognized::Gone => 0,
        };
        // Nobody is added to People for a position that a rule keeps them from.
        let snapshot = CrewSnapshot::load(tx, event).await?;
        let Some(post) = snapshot.post(placing.post_id) else { return tried(Placed::Gone, 0, String::new()) };
        let rules = snapshot.against(post, person_id, event.details.burn_on);
        if !rules.is_empty() && placing.reason.is_empty() {
            return tried(Placed::Refused(rules), person_id, String::new());
        }
    }
    let (person_id, said) = match choosing::settle(tx, actor, whom, now).await? {
        Settled::Person { id, said } => (id, said),
        Settled::Unsure(known) => return Ok(Assigned::Unsure(known)),
    };
    let placing = Placing { person_id, ..placing };
    tried(place(tx, actor, event, &placing, now).await?, person_id, said)
}

fn read(
    (form, new): (&AssignForm, &NewPerson),
    post_id: i64,
    may_override: Result<(), &'static str>,
) -> Result<(Placing, Whom), Mistakes> {
    let mut mistakes = Mistakes::default();
    let chosen = if form.person == 0 { String::new() } else { form.person.to_string() };
    let whom = new.whom("person", &chosen, NOBODY, &mut mistakes);
    let reason = mistakes.note("reason", form::optional_line(&form.reason, 300)).unwrap_or_default();
    if let (false, Err(who_may)) = (reason.is_empty(), may_override) {
        mistakes.add("reason", who_may);
    }
    let placing = Placing { post_id, person_id: form.person, is_standby: form.standby == "yes", reason };
    whom.filter(|_| mistakes.is_empty()).map(|whom| (placing, whom)).ok_or(mistakes)
}

/// An assignment of this event, and its title.
async fn found(app: &App, event_id: i64, id: i64) -> Result<(Assignment, String)> {
    let event = event(app, event_id).await?;
    let snapshot = CrewSnapshot::load(&mut *app.db.read().acquire().await?, &event).await?;
    let one = snapshot.assigned.iter().find(|one| one.id == id).ok_or(Error::NotFound)?;
    let post = snapshot.post(one.post_id).map(|post| post.details.name.as_str()).unwrap_or_default();
    let name = snapshot
        .people
        .get(&one.person_id)
        .map_or("someone whose data was erased", |person| person.details.name.as_str());
    Ok((one.clone(), format!("{post}: {name}")))
}

async fn take_off(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, assignment)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (one, title) = found(&app, id, assignment).await?;
    let (actor, back) = (visit.user.actor(), format!("/events/{id}/crew/positions/{}", one.post_id));
    let said = if one.request_id.is_some() {
        "Removed from this position. They were asked about it: withdraw the question under Replies so that they know."
    } else {
        "Removed from this position."
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
    CrewEditor(visit): CrewEditor,
    Path((id, assignment)): Path<(i64, i64)>,
    Form(form): Form<StandbyForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let (one, title) = found(&app, id, assignment).await?;
    let (actor, back) = (visit.user.actor(), format!("/events/{id}/crew/positions/{}", one.post_id));
    if !matches!(form.standby.as_str(), "yes" | "no") {
        return Ok(flash::redirect(&back, "Nothing changed: choose Make primary or Make alternate."));
    }
    let standby = form.standby == "yes";
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            // An alternate has no duty, so the rules are checked before they get one.
            let snapshot = CrewSnapshot::load(tx, &event).await?;
            let on = event.details.burn_on;
            if !standby && !snapshot.broken(&Assignment { is_standby: false, ..one.clone() }, on).is_empty() {
                return Ok(None);
            }
            store::set_standby(tx, actor, (&one, &title), standby, now).await?;
            Ok(Some(follow::refresh(tx, id, now).await?))
        })
    });
    let said = match (write.await?, standby) {
        (None, _) => {
            "Nothing changed: that would break a rule. Remove them, then assign them again to see it.".to_owned()
        }
        (Some(outdated), true) => format!("They are now an alternate.{}", asks::tell_next(outdated)),
        (Some(outdated), false) => {
            format!("They now count toward the number needed.{}", asks::tell_next(outdated))
        }
    };
    Ok(flash::redirect(&back, &said))
}

impl CrewSnapshot {
    /// Is the position short of people on burn day or the rain date?
    #[must_use]
    pub fn is_short(&self, post: &Post) -> bool {
        self.dates().any(|on| self.seats(post, on).open > 0)
    }

    /// Does this person count toward the number needed on a date?
    #[must_use]
    pub fn fills(&self, assignment: &Assignment, on: Date) -> bool {
        !assignment.is_standby && self.seat(assignment, on) == Seat::Filled
    }
}
