//! A release to print or copy: an approved version, or the draft.

use super::changes::changes_say;
use super::layout::{Layout, Printed};
use super::snapshot::PaperSnapshot;
use super::version::Version;
use crate::accounts::SignedIn;
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/releases/{paper}/print", get(print))
}

#[derive(Template)]
#[template(path = "press/print.html")]
struct Print {
    page: Page,
    department: String,
    sheet: Sheet,
    /// As plain text.
    whole: String,
}

/// What is printed.
struct Sheet {
    layout: Layout,
    called: String,
    is_draft: bool,
    is_outdated: bool,
    is_unread: bool,
    /// That it is out of date or unread.
    warning: String,
}

impl Sheet {
    /// A version with this number, or if it is 0, the newest or else the draft.
    fn of(snapshot: &PaperSnapshot, number: i64, today: Date) -> Option<Self> {
        let mut versions = snapshot.paper.versions.iter();
        match versions.find(|version| number == 0 || version.number == number) {
            Some(version) => Some(Self::of_version(snapshot, version)),
            None => (number == 0).then(|| Self::of_draft(snapshot, today)),
        }
    }

    fn of_version(snapshot: &PaperSnapshot, version: &Version) -> Self {
        let changes = version.changes(&snapshot.event, &snapshot.facts);
        let (is_outdated, is_unread) = (!changes.is_empty(), version.read.is_unread());
        let outdated = is_outdated.then(|| format!("Out of date: {}.", changes_say(&changes)));
        let unread = is_unread.then(|| version.read.warning());
        let printed = Printed { headline: &version.headline, text: &version.text, embargo: &version.embargo };
        let approved_on = snapshot.event.details.zone.wall(version.approved_at).date();
        Self {
            layout: Layout::of(version.kind, printed, approved_on),
            called: version.called(),
            is_draft: false,
            is_outdated,
            is_unread,
            warning: [outdated, unread].into_iter().flatten().collect::<Vec<_>>().join(" "),
        }
    }

    fn of_draft(snapshot: &PaperSnapshot, today: Date) -> Self {
        let (kind, filled) = (snapshot.paper.kind, snapshot.filled());
        let printed = Printed { headline: &filled.headline, text: &filled.text, embargo: &filled.embargo };
        Self {
            layout: Layout::of(kind, printed, today),
            called: format!("{}, not approved", kind.label()),
            is_draft: true,
            is_outdated: false,
            is_unread: false,
            warning: String::new(),
        }
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    v: i64,
}

async fn print(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, paper)): Path<(i64, i64)>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = PaperSnapshot::load(&app, id, paper).await?;
    let page = events::page(&app, &visit, Some(&snapshot.event), now).await?.titled("Print or copy");
    let page = page.under(snapshot.href(), snapshot.paper.kind.title());
    let sheet = Sheet::of(&snapshot, wanted.v, snapshot.event.today(now)).ok_or(Error::NotFound)?;
    let department = visit.user.department.name.clone();
    show(&Print { page, whole: sheet.layout.plain(&department), department, sheet })
}
