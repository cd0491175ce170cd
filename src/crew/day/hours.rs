//! Hours on site, for the report.

use super::says;
use crate::accounts::{Private, SignedIn, User};
use crate::crew::page::{page, snapshot};
use crate::crew::snapshot::CrewSnapshot;
use crate::error::{Error, Result};
use crate::people::Person;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use time::{Date, Duration, OffsetDateTime};

pub(in crate::crew) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/hours", get(list)).route("/events/{id}/crew/hours/file", get(file))
}

/// One person's times.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PersonHours {
    pub name: String,
    /// The name in a printed list.
    pub listed: String,
    pub posts: String,
    /// "Sat, Jan 9, 07:02 to 12:40", each with why it was corrected.
    pub times: Vec<(String, String)>,
    pub lasted: Duration,
    pub is_in: bool,
}

impl PersonHours {
    fn total(&self) -> String {
        let more = if self.is_in { ", still here" } else { "" };
        format!("{}{more}", says(self.lasted))
    }
}

/// Everyone who was there, sorted by surname, with days written as given.
#[must_use]
pub fn of_all(snapshot: &CrewSnapshot, user: &User, day: impl Fn(Date) -> String) -> Vec<PersonHours> {
    let zone = &snapshot.event.details.zone;
    let moment = |at: OffsetDateTime| Reader::App.time(zone.wall(at).time());
    let mut people: Vec<&Person> = snapshot.people.values().collect();
    people.sort_by_cached_key(|person| person.listing());
    let one = |person: &Person| {
        let theirs: Vec<_> = snapshot.attendances.iter().filter(|one| one.person_id == person.id).collect();
        let posts = snapshot.posts_of(person.id);
        PersonHours {
            name: person.details.name.clone(),
            listed: person.details.listed(),
            posts: posts.iter().map(|(_, post)| post.details.name.as_str()).collect::<Vec<_>>().join(", "),
            times: theirs
                .iter()
                .map(|one| {
                    let until = one.out_at.map_or("now".to_owned(), &moment);
                    let day = day(zone.wall(one.in_at).date());
                    (format!("{day}, {} to {until}", moment(one.in_at)), user.shown(Private::Notes, &one.reason))
                })
                .collect(),
            lasted: theirs.iter().filter_map(|one| one.lasted()).sum(),
            is_in: theirs.iter().any(|one| one.out_at.is_none()),
        }
    };
    people.into_iter().map(one).filter(|one| !one.times.is_empty()).collect()
}

#[derive(Template)]
#[template(path = "crew/hours.html")]
struct HoursPage {
    page: Page,
    event_id: i64,
    lines: Vec<PersonHours>,
    total: String,
    minutes: i64,
    is_in: usize,
}

async fn list(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let today = snapshot.event.today(app.clock.now());
    let lines = of_all(&snapshot, &visit.user, |on| Reader::App.near_day(on, today));
    let total: Duration = lines.iter().map(|line| line.lasted).sum();
    show(&HoursPage {
        page: page(&app, &visit, &snapshot.event, "Hours on site").await?,
        event_id: id,
        total: says(total),
        minutes: total.whole_minutes(),
        is_in: lines.iter().filter(|line| line.is_in).count(),
        lines,
    })
}

/// The same for a spreadsheet. No text can start a formula.
async fn file(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let mut writer = csv::Writer::from_writer(Vec::new());
    // People who may not read notes don't get the last column.
    let columns = if visit.user.sees(Private::Notes) { 5 } else { 4 };
    let row = |writer: &mut csv::Writer<Vec<u8>>, cells: [&str; 5]| {
        let guarded = cells.into_iter().take(columns).map(|cell| {
            let is_formula = cell.starts_with(['=', '+', '-', '@', '\t']);
            if is_formula { format!("'{cell}") } else { cell.to_owned() }
        });
        writer.write_record(guarded).map_err(|error| Error::Internal(error.into()))
    };
    row(&mut writer, ["name", "positions", "times", "minutes", "reason for correction"])?;
    for line in of_all(&snapshot, &visit.user, words::iso) {
        let times: Vec<&str> = line.times.iter().map(|(time, _)| time.as_str()).collect();
        let reasons: Vec<&str> = line.times.iter().map(|(_, why)| why.as_str()).filter(|why| !why.is_empty()).collect();
        let minutes = line.lasted.whole_minutes().to_string();
        row(&mut writer, [&line.name, &line.posts, &times.join("; "), &minutes, &reasons.join("; ")])?;
    }
    let bytes = writer.into_inner().map_err(|error| Error::Internal(anyhow::anyhow!("{error}")))?;
    let headers = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"crew-hours.csv\""),
    ];
    Ok((headers, bytes).into_response())
}
