//! Whom to call on burn day, on one list to print.

use crate::accounts::PeopleReader;
use crate::asks::{self, Kind, Request, Said};
use crate::crew;
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::{self, Person};
use crate::permit_records;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/contacts", get(list))
}

#[derive(Template)]
#[template(path = "burn_day/contacts.html")]
struct List {
    page: Page,
    event_line: String,
    printed: String,
    groups: Vec<Group>,
}

/// People who come for the same reason.
struct Group {
    name: &'static str,
    lines: Vec<Line>,
}

struct Line {
    /// None for someone at an agency, who has no record of their own.
    person_id: Option<i64>,
    /// "Ortiz, Ray".
    name: String,
    what: String,
    phone: String,
    mail: String,
}

impl Line {
    fn of(person: &Person, what: String) -> Self {
        Self {
            person_id: Some(person.id),
            name: person.details.listed(),
            what,
            phone: person.details.phone.clone(),
            mail: if person.has_mail() { person.details.mail.clone() } else { String::new() },
        }
    }
}

async fn list(State(app): State<App>, PeopleReader(visit): PeopleReader, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let event = events::found(app.db.read(), id).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Contact list");
    let groups = groups(&mut *app.db.read().acquire().await?, &event).await?;
    let event_line = page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default();
    let printed = Reader::App.moment(event.details.zone.wall(now));
    show(&List { page, event_line, printed, groups })
}

/// Everyone to call about burn day. Whoever has a position isn't among the helpers again.
async fn groups(db: &mut SqliteConnection, event: &Event) -> Result<Vec<Group>> {
    let requests = asks::of_event(db, event.id).await?;
    let snapshot = crew::CrewSnapshot::load(db, event).await?;
    let ids: Vec<i64> = requests.iter().map(|request| request.person_id).collect();
    let people: HashMap<i64, Person> =
        people::some(db, &ids).await?.into_iter().map(|person| (person.id, person)).collect();
    let permits = permit_records::of_event(db, event.id).await?;
    let on = event.details.burn_on;
    let of = |kinds: &[Kind]| coming(&requests, &people, kinds, on);
    let crew = crew_lines(&snapshot, on);
    let has_position = |line: &Line| crew.iter().any(|one| one.person_id == line.person_id);
    let helpers = of(&[Kind::Help, Kind::Post]).into_iter().filter(|line| !has_position(line)).collect();
    let mut groups = vec![
        Group { name: "Crew", lines: crew },
        Group { name: "Helpers", lines: helpers },
        Group { name: "Guests", lines: of(&[Kind::Guest]) },
        Group { name: "Media", lines: of(&[Kind::Coverage]) },
        Group { name: "Lenders", lines: of(&[Kind::Loan]) },
        Group { name: "Authorities", lines: permits.iter().filter_map(authority).collect() },
    ];
    groups.retain(|group| !group.lines.is_empty());
    Ok(groups)
}

/// Everyone in a position on burn day who hasn't declined and is still wanted there, with all
/// those positions.
fn crew_lines(snapshot: &crew::CrewSnapshot, on: Date) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    for post in &snapshot.posts {
        for one in snapshot.at(post.id, on) {
            if one.status == crew::ReplyStatus::Declined || snapshot.is_withdrawn(one.assignment) {
                continue;
            }
            match lines.iter_mut().find(|line| line.person_id == Some(one.person.id)) {
                Some(line) => line.what = format!("{}, {}", line.what, post.details.name),
                None => lines.push(Line::of(one.person, post.details.name.clone())),
            }
        }
    }
    lines.sort_by_cached_key(|line| people::fold(&line.name));
    lines
}

/// Those asked for these reasons who said they would come, or send someone.
fn coming(requests: &[Request], people: &HashMap<i64, Person>, kinds: &[Kind], on: Date) -> Vec<Line> {
    let of_kind = requests.iter().filter(|request| kinds.contains(&request.kind) && !request.is_withdrawn);
    let mut lines: Vec<Line> = Vec::new();
    for request in of_kind {
        let Some(answer) = request.stands_for(on) else { continue };
        let Some(person) = people.get(&request.person_id) else { continue };
        let is_known = lines.iter().any(|line| line.person_id == Some(person.id));
        if is_known || !matches!(answer.said, Said::Yes | Said::Deputy | Said::Maybe) {
            continue;
        }
        let says = if answer.said == Said::Yes { String::new() } else { answer.says() };
        let what = [person.place(), says].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ");
        let mut line = Line::of(person, what);
        if answer.said == Said::Deputy && !answer.deputy_phone.is_empty() {
            line.phone.clone_from(&answer.deputy_phone);
            line.mail.clone_from(&answer.deputy_mail);
        }
        lines.push(line);
    }
    lines.sort_by_cached_key(|line| people::fold(&line.name));
    lines
}

/// The agency that a permit or notice is from, if it can be called.
fn authority(permit: &permit_records::Permit) -> Option<Line> {
    let details = &permit.details;
    (!details.phone.is_empty()).then(|| Line {
        person_id: None,
        name: details.person.clone().unwrap_or_else(|| details.authority.clone()),
        what: format!("{} · {}", details.authority, details.title),
        phone: details.phone.clone(),
        mail: details.mail.clone(),
    })
}
