//! The page of one crew member.

use super::skill_line::SkillLine;
use crate::accounts::{self, Private, SignedIn, Visit};
use crate::crew::editor::{keeps_crew, may_decide};
use crate::crew::lines::{Cell, PersonLine};
use crate::crew::page::{page, snapshot};
use crate::crew::skills::form::HoldingForm;
use crate::crew::snapshot::{CrewSnapshot, is_ours};
use crate::crew::{Hours, Qualification};
use crate::error::{Error, Result};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/people/{person}", get(show_page))
}

#[derive(Template)]
#[template(path = "crew/person.html")]
pub(super) struct PersonPage {
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
    pub dates: Vec<HoursLine>,
    known: Vec<Qualification>,
    pub form: HoldingForm,
    pub mistakes: Mistakes,
    /// The date whose hours couldn't be read.
    pub wrong: String,
}

struct PostLine {
    id: i64,
    name: String,
    hours: String,
    is_standby: bool,
    rule_override: String,
    cells: Vec<Cell>,
}

pub(super) struct HoursLine {
    pub iso: String,
    label: &'static str,
    day: String,
    says: String,
    pub from: String,
    pub until: String,
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
pub(super) async fn found(app: &App, event_id: i64, id: i64) -> Result<(CrewSnapshot, Person)> {
    let snapshot = snapshot(app, event_id).await?;
    let person = people::find(&mut *app.db.read().acquire().await?, id).await?.ok_or(Error::NotFound)?;
    Ok((snapshot, person))
}

impl PersonPage {
    pub async fn load(app: &App, visit: &Visit, snapshot: &CrewSnapshot, person: Person) -> Result<Self> {
        let now = app.clock.now();
        let page = page(app, visit, &snapshot.event, &person.details.name).await?;
        let accounts = accounts::list(app.db.read()).await?;
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
        let asked = snapshot.requests.iter().filter(|one| one.person_id == person.id && is_ours(one));
        Ok(Self {
            page,
            event_id: snapshot.event.id,
            phone: visit.user.shown(Private::Contact, &person.details.phone),
            place: person.place(),
            person_id: person.id,
            name: person.details.name,
            keeps: keeps_crew(&visit.user),
            sees_people: visit.user.sees_people(),
            who_checks: may_decide(&visit.user, person.id, &accounts).err().unwrap_or_default(),
            posts: posts.collect(),
            requests: asked.map(|one| (one.id, one.question.clone())).collect(),
            skills: snapshot.held(person.id).map(|held| SkillLine::of(snapshot, held, &visit.user, today)).collect(),
            dates: snapshot.dates().map(|on| HoursLine::of(snapshot, person.id, on, today)).collect(),
            known: snapshot.qualifications.clone(),
            form: HoldingForm::default(),
            mistakes: Mistakes::default(),
            wrong: String::new(),
        })
    }
}

async fn show_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, person)): Path<(i64, i64)>,
) -> Result<Response> {
    let (snapshot, person) = found(&app, id, person).await?;
    show(&PersonPage::load(&app, &visit, &snapshot, person).await?)
}
