//! One crew member: their positions, their qualifications and the hours they can be
//! there.

use super::editor::{CrewEditor, keeps_crew, may_decide};
use super::home::{page, snapshot};
use super::lines::{Cell, PersonLine};
use super::skills::form::HoldingForm;
use super::skills::{self, Holding, Kept};
use super::snapshot::{CrewSnapshot, ReplyStatus};
use super::{Hours, store};
use crate::accounts::{self, Private, SignedIn, User, Visit};
use crate::error::{Error, Result};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/crew/people", get(index))
        .route("/events/{id}/crew/people/{person}", get(person_page))
        .route("/events/{id}/crew/people/{person}/hours", post(hours))
        .route("/events/{id}/crew/people/{person}/certificates", post(hold))
        .route("/events/{id}/crew/people/{person}/certificates/{holding}", get(edit).merge(post(renew)))
        .route("/events/{id}/crew/people/{person}/certificates/{holding}/check", post(check))
        .route("/events/{id}/crew/people/{person}/certificates/{holding}/remove", post(remove))
}

#[derive(Template)]
#[template(path = "crew/people.html")]
struct Index {
    page: Page,
    event_id: i64,
    lines: Vec<IndexLine>,
}

struct IndexLine {
    id: i64,
    name: String,
    posts: String,
    skills: Vec<SkillLine>,
}

/// A qualification someone holds, and whether it is valid on the event's dates.
struct SkillLine {
    id: i64,
    name: String,
    evidence: String,
    until: String,
    /// Says that it expires before burn day or the rain date. Empty if it doesn't.
    expires: String,
    checked: String,
    is_checked: bool,
    /// On which day. Empty if it wasn't.
    checked_on: String,
    version: i64,
}

impl SkillLine {
    fn of(snapshot: &CrewSnapshot, holding: &Holding, user: &User, today: Date) -> Self {
        let details = &snapshot.event.details;
        let until = holding.kept.expires_on;
        let rain = details.rain_on.filter(|on| !holding.kept.holds_on(*on));
        let expires = match until {
            Some(last) if !holding.kept.holds_on(details.burn_on) => {
                format!("Expires {}, before burn day", Reader::App.near_day(last, today))
            }
            Some(last) if rain.is_some() => {
                format!("Expires {}, before the rain date", Reader::App.near_day(last, today))
            }
            _ => String::new(),
        };
        let name = snapshot.qualification(holding.kept.qualification_id).map(|one| one.name.clone());
        let checked = holding.checked.as_ref().map(|(by, at)| (by, details.zone.wall(*at).date()));
        let checked_on = checked.map(|(_, on)| words::iso(on)).unwrap_or_default();
        let checked = checked.map(|(by, on)| format!("checked by {by}, {}", Reader::App.near_day(on, today)));
        Self {
            id: holding.id,
            name: name.unwrap_or_default(),
            evidence: [holding.kept.evidence.as_str(), &holding.kept.issued_by]
                .map(|part| user.shown(Private::Certificates, part))
                .into_iter()
                .filter(|part| !part.is_empty())
                .collect::<Vec<_>>()
                .join(" · "),
            until: until.map_or("doesn't expire".to_owned(), |last| format!("valid through {}", Reader::App.day(last))),
            expires,
            is_checked: checked.is_some(),
            checked_on,
            version: holding.version,
            checked: checked.unwrap_or("not checked yet".to_owned()),
        }
    }
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let today = snapshot.event.today(app.clock.now());
    let mut people: Vec<&Person> = snapshot.people.values().collect();
    people.sort_by_cached_key(|person| person.listing());
    let line = |person: &&Person| {
        let posts: Vec<&str> =
            snapshot.posts_of(person.id).iter().map(|(_, post)| post.details.name.as_str()).collect();
        IndexLine {
            id: person.id,
            name: person.details.listed(),
            posts: posts.join(", "),
            skills: snapshot.held(person.id).map(|held| SkillLine::of(&snapshot, held, &visit.user, today)).collect(),
        }
    };
    show(&Index {
        page: page(&app, &visit, &snapshot.event, "Crew members").await?,
        event_id: id,
        lines: people.iter().map(line).collect(),
    })
}

#[derive(Template)]
#[template(path = "crew/person.html")]
struct PersonPage {
    page: Page,
    event_id: i64,
    person_id: i64,
    name: String,
    place: String,
    phone: String,
    keeps: bool,
    /// May open the contact record.
    sees_people: bool,
    /// Why the user may not check this person's qualifications. Empty if they may.
    who_checks: &'static str,
    posts: Vec<PostLine>,
    requests: Vec<(i64, String)>,
    skills: Vec<SkillLine>,
    dates: Vec<HoursLine>,
    known: Vec<skills::Qualification>,
    form: HoldingForm,
    mistakes: Mistakes,
    /// The date whose hours couldn't be read.
    wrong: String,
}

struct PostLine {
    id: i64,
    name: String,
    hours: String,
    is_standby: bool,
    rule_override: String,
    cells: Vec<Cell>,
}

struct HoursLine {
    iso: String,
    label: &'static str,
    day: String,
    says: String,
    from: String,
    until: String,
}

impl HoursLine {
    fn of(snapshot: &CrewSnapshot, person_id: i64, on: Date, today: Date) -> Self {
        let there = snapshot.hours(person_id, on);
        let clocks = there.map(Hours::clocks);
        Self {
            iso: words::iso(on),
            label: if on == snapshot.event.details.burn_on { "Burn day" } else { "Rain date" },
            day: Reader::App.near_day(on, today),
            says: there.map_or("no hours given, so the whole time".to_owned(), Hours::says),
            from: clocks.map(|(from, _)| words::iso_time(from)).unwrap_or_default(),
            until: clocks.map(|(_, until)| words::iso_time(until)).unwrap_or_default(),
        }
    }
}

/// A person, and the crew of an event.
async fn found(app: &App, event_id: i64, id: i64) -> Result<(CrewSnapshot, Person)> {
    let snapshot = snapshot(app, event_id).await?;
    let person = people::find(&mut *app.db.read().acquire().await?, id).await?.ok_or(Error::NotFound)?;
    Ok((snapshot, person))
}

fn view(
    page: Page,
    (visit, accounts): (&Visit, &[accounts::Account]),
    (snapshot, person): (&CrewSnapshot, Person),
    now: OffsetDateTime,
) -> PersonPage {
    let today = snapshot.event.today(now);
    let posts = snapshot.posts_of(person.id).into_iter().filter_map(|(assignment, post)| {
        let here = snapshot.at(post.id, snapshot.event.details.burn_on);
        let one = here.iter().find(|one| one.assignment.id == assignment.id)?;
        let line = PersonLine::of(snapshot, one, now);
        Some(PostLine {
            id: post.id,
            name: post.details.name.clone(),
            hours: post.details.hours.says(),
            is_standby: line.is_standby,
            rule_override: line.rule_override,
            cells: line.cells,
        })
    });
    let asked = snapshot.requests.iter().filter(|one| one.person_id == person.id && super::snapshot::is_ours(one));
    PersonPage {
        page,
        event_id: snapshot.event.id,
        phone: visit.user.shown(Private::Contact, &person.details.phone),
        place: person.place(),
        person_id: person.id,
        name: person.details.name,
        keeps: keeps_crew(&visit.user),
        sees_people: visit.user.sees_people(),
        who_checks: may_decide(&visit.user, person.id, accounts).err().unwrap_or_default(),
        posts: posts.collect(),
        requests: asked.map(|one| (one.id, one.question.clone())).collect(),
        skills: snapshot.held(person.id).map(|held| SkillLine::of(snapshot, held, &visit.user, today)).collect(),
        dates: snapshot.dates().map(|on| HoursLine::of(snapshot, person.id, on, today)).collect(),
        known: snapshot.qualifications.clone(),
        form: HoldingForm::default(),
        mistakes: Mistakes::default(),
        wrong: String::new(),
    }
}

async fn shown(app: &App, visit: &Visit, found: (CrewSnapshot, Person)) -> Result<PersonPage> {
    let (snapshot, person) = found;
    let page = page(app, visit, &snapshot.event, &person.details.name).await?;
    let accounts = accounts::list(app.db.read()).await?;
    Ok(view(page, (visit, &accounts), (&snapshot, person), app.clock.now()))
}

async fn person_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, person)): Path<(i64, i64)>,
) -> Result<Response> {
    let found = found(&app, id, person).await?;
    show(&shown(&app, &visit, found).await?)
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct HoursForm {
    on: String,
    from: String,
    until: String,
}

async fn hours(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, person)): Path<(i64, i64)>,
    Form(form): Form<HoursForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, person) = found(&app, id, person).await?;
    let here = format!("/events/{id}/crew/people/{}", person.id);
    let Some(on) = snapshot.dates().find(|on| words::iso(*on) == form.on) else {
        return Ok(flash::redirect(
            &here,
            "Nothing changed: the event is no longer on that date. Look at the dates below.",
        ));
    };
    let new = match Hours::read(&form.from, &form.until) {
        Ok(new) => new,
        Err(what) => {
            let mut page = shown(&app, &visit, (snapshot, person)).await?;
            page.mistakes.add("hours", what);
            if let Some(line) = page.dates.iter_mut().find(|line| line.iso == form.on) {
                (line.from, line.until) = (form.from, form.until);
            }
            page.wrong = form.on;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, name) = (visit.user.actor(), person.details.name);
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::note_hours(tx, actor, (id, (person.id, &name), on), new, now).await })
    });
    write.await?;
    Ok(flash::redirect(&here, "Hours saved."))
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
            let mut page = shown(&app, &visit, (snapshot, person)).await?;
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

/// A certificate someone holds.
async fn certificate(app: &App, (id, person, holding): (i64, i64, i64)) -> Result<(CrewSnapshot, Person, Holding)> {
    let (snapshot, person) = found(app, id, person).await?;
    let one = snapshot.held(person.id).find(|one| one.id == holding).cloned().ok_or(Error::NotFound)?;
    Ok((snapshot, person, one))
}

async fn edit_view(
    app: &App,
    visit: &Visit,
    (snapshot, person, holding): (&CrewSnapshot, Person, &Holding),
    (form, mistakes): (HoldingForm, Mistakes),
) -> Result<Edit> {
    let name = snapshot.qualification(holding.kept.qualification_id).map(|one| one.name.clone()).unwrap_or_default();
    let theirs = format!("/events/{}/crew/people/{}", snapshot.event.id, person.id);
    let page = page(app, visit, &snapshot.event, &name).await?.under(theirs, person.details.name.as_str());
    Ok(Edit { page, event_id: snapshot.event.id, person, id: holding.id, name, form, mistakes })
}

async fn edit(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(path): Path<(i64, i64, i64)>,
) -> Result<Response> {
    let (snapshot, person, holding) = certificate(&app, path).await?;
    let form = (HoldingForm::of(&holding), Mistakes::default());
    show(&edit_view(&app, &visit, (&snapshot, person, &holding), form).await?)
}

async fn renew(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(path): Path<(i64, i64, i64)>,
    Form(mut form): Form<HoldingForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, person, holding) = certificate(&app, path).await?;
    form.qualification = holding.kept.qualification_id.to_string();
    let new = match form.read(&snapshot.qualifications) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = edit_view(&app, &visit, (&snapshot, person, &holding), (form.shown(), mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if save(&app, &visit, Holding { version: form.version, ..holding }, new, now).await? {
        let said = "Saved. It has to be checked again.";
        return Ok(flash::redirect(&format!("/events/{}/crew/people/{}", path.0, path.1), said));
    }
    let (snapshot, person, theirs) = certificate(&app, path).await?;
    let (theirs, action) =
        (HoldingForm::of(&theirs), format!("/events/{}/crew/people/{}/certificates/{}", path.0, path.1, path.2));
    let mut conflict = Conflict::new(&person.details.name, action, theirs.version);
    conflict.field("evidence", "Proof", &theirs.evidence, &form.evidence);
    conflict.field("issued_by", "Issued by", &theirs.issued_by, &form.issued_by);
    conflict.field("expires_on", "Valid through", &theirs.expires_on, &form.expires_on);
    conflict::show(page(&app, &visit, &snapshot.event, "").await?, &conflict)
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
    Path(path): Path<(i64, i64, i64)>,
    Form(seen): Form<Seen>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, _, holding) = certificate(&app, path).await?;
    let accounts = accounts::list(app.db.read()).await?;
    may_decide(&visit.user, path.1, &accounts).map_err(Error::Forbidden)?;
    let (by, seen) = (visit.user.account_id, Holding { version: seen.version, ..holding });
    let write = app.db.write(move |tx| Box::pin(async move { skills::store::check(tx, by, &seen, now).await }));
    let said = if write.await? {
        "Checked. Your name and today's date are saved with it."
    } else {
        "Nothing changed: someone edited this qualification in the meantime. Look at it again, then check it."
    };
    Ok(flash::redirect(&format!("/events/{}/crew/people/{}", path.0, path.1), said))
}

async fn remove(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(path): Path<(i64, i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, _, holding) = certificate(&app, path).await?;
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { skills::store::drop(tx, actor, &holding, now).await }));
    write.await?;
    Ok(flash::redirect(&format!("/events/{}/crew/people/{}", path.0, path.1), "Qualification removed."))
}

impl CrewSnapshot {
    /// Did they say yes to a position on a date?
    #[must_use]
    pub fn has_said_yes(&self, person_id: i64, on: Date) -> bool {
        let theirs = self.assigned.iter().filter(|one| one.person_id == person_id);
        theirs.into_iter().any(|one| self.status(one, on) == ReplyStatus::Confirmed)
    }
}
