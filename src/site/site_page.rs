//! The site on its page: the drawing, what the checks find, and what each row sees.

use super::DECIDES;
use super::drawing::Drawing;
use super::page::page;
use super::plan::Plan;
use super::said::Shown;
use super::snapshot::SiteSnapshot;
use super::store::{self, Kept};
use super::typed::{at_least, distance, small};
use crate::accounts::{SignedIn, User};
use crate::calc::site::{Grade, KINDS, Site, checks};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/site", get(site))
}

/// What is picked on the drawing.
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Picked {
    picked: String,
}

/// A version that was kept: its number, name, and when and by whom.
type KeptLine = (i64, String, String);

#[derive(Template)]
#[template(path = "site/index.html")]
struct SitePage {
    page: Page,
    event_id: i64,
    may: bool,
    may_accept: bool,
    decides: &'static str,
    revision: i64,
    undo: Option<String>,
    redo: Option<String>,
    picked: u32,
    /// None while nothing is drawn.
    drawing: Option<Drawing>,
    findings: Vec<Shown>,
    open: usize,
    /// "1 to fix, 3 to check".
    summary: String,
    people: u32,
    /// What each row sees: its number, how far it is, and over the row in front, standing and
    /// seated. How high the floors would have to be for all rows.
    rows: Vec<[String; 4]>,
    floors: [String; 2],
    items: Vec<(u32, String, String)>,
    kept: Vec<KeptLine>,
    /// The basis can't be read by today's limits.
    is_unread: bool,
}

impl SitePage {
    /// How many checks found nothing wrong.
    fn fine(&self) -> usize {
        self.findings.iter().filter(|shown| shown.grade == Grade::Good).count()
    }
}

async fn site(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(Picked { picked }): Query<Picked>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = SiteSnapshot::load(&app, id).await?;
    let kept = store::kept(&mut *app.db.read().acquire().await?, id).await?;
    let page = page(&app, &visit, &snapshot.event, "The site", now).await?;
    let today = snapshot.event.today(now);
    let kept = kept.into_iter().map(|kept| kept_line(kept, &snapshot.event, today)).collect();
    let picked = picked.parse().unwrap_or(0);
    show(&SitePage { picked, kept, ..SitePage::of(snapshot, page, &visit.user) })
}

impl SitePage {
    /// Without the drawings that were kept.
    fn of(snapshot: SiteSnapshot, page: Page, user: &User) -> Self {
        let plan = &snapshot.current.plan;
        let read = plan.site();
        let (rows, floors) = read.as_ref().map(seen).unwrap_or_default();
        Self {
            page,
            event_id: snapshot.event.id,
            may: user.plans_burn(),
            may_accept: user.accepts_risk(),
            decides: DECIDES,
            revision: snapshot.current.revision,
            undo: snapshot.current.undo.clone(),
            redo: snapshot.current.redo.clone(),
            picked: 0,
            drawing: read.as_ref().ok().filter(|_| !plan.is_empty()).map(|site| Drawing::of(&snapshot, site)),
            is_unread: read.is_err(),
            open: snapshot.open().count(),
            summary: summary(&snapshot),
            people: snapshot.given.people,
            rows,
            floors,
            items: items(plan),
            kept: Vec::new(),
            findings: snapshot.findings,
        }
    }
}

fn kept_line(kept: Kept, event: &Event, today: Date) -> KeptLine {
    let by = kept.by.map_or_else(String::new, |by| format!(" by {by}"));
    (kept.id, kept.name, format!("{}{by}", Reader::App.near_moment(event.details.zone.wall(kept.at), today)))
}

/// Everything on the drawing, by kind and then alphabetically: number, name, kind.
fn items(plan: &Plan) -> Vec<(u32, String, String)> {
    let mut items: Vec<(u32, String, String)> =
        plan.items.iter().map(|drawn| (drawn.id, drawn.called(), drawn.kind.to_string())).collect();
    items.sort_by(|one, two| one.2.cmp(&two.2).then_with(|| one.1.cmp(&two.1)));
    items
}

/// What each row sees, in words.
fn seen(site: &Site) -> (Vec<[String; 4]>, [String; 2]) {
    const MOST: usize = 100;
    let (rows, floors) = checks::rows(site);
    let shown = rows.into_iter().take(MOST);
    let shown = shown.map(|row| [row.row.to_string(), distance(row.distance), small(row.standing), small(row.seated)]);
    (shown.collect(), floors.map(at_least))
}

fn summary(snapshot: &SiteSnapshot) -> String {
    let of = |grade| snapshot.open().filter(|shown| shown.grade == grade).count();
    words::to_fix(of(Grade::Wrong), of(Grade::Look))
}

/// What can be added.
const ADDED: [&str; KINDS.len()] = KINDS;
