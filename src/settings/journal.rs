//! The history of changes.

use crate::accounts::{SignedIn, Visit};
use crate::db::journal::{self, Side, Wanted};
use crate::error::{Error, Result};
use crate::events;
use crate::people::sort_key;
use crate::state::App;
use crate::web::history::{History, HistoryLine};
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::query::query_escape;
use crate::web::routes::get;
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use std::collections::BTreeSet;

pub(super) fn router() -> Router<App> {
    Router::new().route("/journal", get(department)).route("/events/{id}/journal", get(event))
}

/// Entries on one page.
const MOST: i64 = 60;

#[derive(Template)]
#[template(path = "settings/journal.html")]
struct Journal {
    page: Page,
    heading: &'static str,
    /// The address of this page, without what was looked for.
    path: String,
    lines: Vec<HistoryLine>,
    /// Where to find older entries; empty on the last page.
    older: String,
    event_journal: String,
    /// Everyone who changed something: what to filter for, and their name.
    people: Vec<(String, String)>,
    kinds: BTreeSet<&'static str>,
    filter: Filter,
}

/// What someone looks for.
#[derive(Deserialize, Default)]
#[serde(default)]
struct Filter {
    before: Option<i64>,
    /// Who did it, as in [`Side::who`]; empty for everyone.
    who: String,
    /// The kind of thing, as the page names it; empty for all.
    kind: String,
}

impl Filter {
    fn wanted(&self, history: &History) -> Wanted {
        Wanted { who: self.who.clone(), subjects: history.kinds_of(&self.kind) }
    }

    fn is_for_all(&self) -> bool {
        self.who.is_empty() && self.kind.is_empty()
    }

    /// The same, further back.
    fn before(&self, id: i64) -> String {
        format!("?before={id}&who={}&kind={}", query_escape(&self.who), query_escape(&self.kind))
    }
}

async fn department(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("History");
    let zone = Zone::named(&visit.user.department.zone).ok_or(Error::NotFound)?;
    let event_journal = page.event.as_ref().map(|event| format!("{}/journal", event.href)).unwrap_or_default();
    let history = Journal { heading: "History of the department", event_journal, ..Journal::empty(page, filter) };
    show(&history.filled(&app, &visit, None, &zone).await?)
}

async fn event(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let page = events::page(&app, &visit, Some(&event), app.clock.now()).await?.titled("History");
    let history = Journal { path: format!("/events/{id}/journal"), ..Journal::empty(page, filter) };
    show(&history.filled(&app, &visit, Some(id), &event.details.zone).await?)
}

impl Journal {
    fn empty(page: Page, filter: Filter) -> Self {
        Self {
            page,
            heading: "History",
            path: "/journal".to_owned(),
            lines: Vec::new(),
            older: String::new(),
            event_journal: String::new(),
            people: Vec::new(),
            kinds: BTreeSet::new(),
            filter,
        }
    }

    /// With the entries of an event, or with `None` those that belong to no event.
    async fn filled(mut self, app: &App, visit: &Visit, event_id: Option<i64>, zone: &Zone) -> Result<Self> {
        let before = self.filter.before.unwrap_or(i64::MAX);
        let history = journal::page(app.db.read(), event_id, &self.filter.wanted(&app.history), before, MOST).await?;
        let history = visit.user.shown_history(history);
        let is_full = i64::try_from(history.len()).is_ok_and(|length| length == MOST);
        if let Some(last) = history.last().filter(|_| is_full) {
            self.older = self.path.clone() + &self.filter.before(last.id);
        }
        self.lines = app.history.lines(history, zone);
        let sides = journal::sides(app.db.read(), event_id).await?;
        self.kinds = sides.iter().filter_map(|side| app.history.side_of(&side.subject)).collect();
        self.people = people(sides);
        Ok(self)
    }
}

/// Everyone once, by surname.
fn people(sides: Vec<Side>) -> Vec<(String, String)> {
    let mut people: Vec<(String, String)> = sides.into_iter().map(|side| (side.who, side.name)).collect();
    people.sort_by_cached_key(|(who, name)| (sort_key(name), who.clone()));
    people.dedup();
    people
}
