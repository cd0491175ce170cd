//! The list of loans.

use super::choices::{Free, Step, state_mark, state_says};
use super::due_back::late_says;
use super::loan::{Loan, date_name};
use super::page;
use super::problems::Problem;
use super::snapshot::LoanSnapshot;
use super::unlisted::unlisted;
use crate::accounts::{Private, SignedIn};
use crate::asks::Unlisted;
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/loans", get(index))
}

/// A loan on one line.
#[derive(Debug)]
struct Line {
    pub id: i64,
    /// Its status, as a mark.
    pub step: &'static str,
    /// When it is due back, unless it is back or fell through.
    pub due_on: Option<Date>,
    /// How many days it is late.
    pub late: Option<i64>,
    pub title: String,
    pub href: String,
    pub beneath: String,
    pub state: String,
    pub when: String,
    /// "damaged", "something missing", "not available on the rain date".
    pub flags: String,
    pub sign: &'static str,
    pub says: &'static str,
}

#[derive(Debug)]
struct Group {
    pub mark: &'static str,
    pub heading: &'static str,
    /// Nothing in it needs anyone now.
    pub is_quiet: bool,
    pub lines: Vec<Line>,
}

#[derive(Template)]
#[template(path = "loans/index.html")]
struct Index {
    pub page: Page,
    pub event_id: i64,
    pub problems: Vec<Problem>,
    pub groups: Vec<Group>,
    /// People who said yes to lending something that isn't on the list.
    pub unlisted: Vec<Unlisted>,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = LoanSnapshot::of(&app, id, now).await?;
    let page = page::page(&app, &visit, &snapshot.event, "Loans").await?;
    let mut unlisted = unlisted(&app, &snapshot, now).await?;
    for one in &mut unlisted {
        one.note = visit.user.shown(Private::Notes, &one.note);
        one.phone = visit.user.shown(Private::Contact, &one.phone);
    }
    show(&Index { page, event_id: id, problems: snapshot.problems(), groups: groups(&snapshot), unlisted })
}

fn line(snapshot: &LoanSnapshot, loan: &Loan) -> Line {
    let state = snapshot.state(loan);
    let late = snapshot.days_late(loan);
    let day = |on| Reader::App.near_day(on, snapshot.today);
    let back = snapshot.goes_back(loan);
    let when = match (late, state) {
        (Some(days), _) => format!("{}, due {}", late_says(days), day(back.on)),
        (None, Some(Step::NotLent)) => String::new(),
        (None, Some(Step::Returned | Step::Closed)) => {
            loan.last(Step::Returned).map(|step| format!("returned {}", day(step.on))).unwrap_or_default()
        }
        (None, _) => format!("return by {}", day(back.on)),
    };
    let (sign, says) = match state {
        _ if late.is_some() => ("late", "late"),
        Some(Step::NotLent) => ("dropped", Step::NotLent.label()),
        Some(Step::Asked | Step::Promised) => ("waiting", "asked"),
        None => ("todo", "not asked yet"),
        Some(_) => ("done", "confirmed"),
    };
    let burn = snapshot.availability(loan, snapshot.event.details.burn_on);
    let mut flags: Vec<String> = loan.harms().into_iter().map(str::to_owned).collect();
    for on in snapshot.dates() {
        if loan.is_live() && snapshot.availability(loan, on).free == Free::NotFree {
            flags.push(format!("not available on the {}", date_name(&snapshot.event, on)));
        }
    }
    let mut beneath = vec![loan.lender_in_full()];
    if let (None, Some(Step::Asked)) = (burn.span, state)
        && burn.free == Free::NotFree
    {
        beneath.push(burn.why);
    }
    let is_over = matches!(state, Some(Step::NotLent | Step::Returned | Step::Closed));
    Line {
        id: loan.id,
        step: state_mark(state),
        due_on: (!is_over).then_some(back.on),
        late,
        title: loan.title(),
        href: loan.href(),
        beneath: beneath.join(" · "),
        state: state_says(state).to_owned(),
        when,
        flags: flags.join(", "),
        sign,
        says,
    }
}

/// The groups of loans, in order: mark, heading, and whether nothing in it needs anyone now.
const GROUPS: [(&str, &str, bool); 6] = [
    ("late", "Late", false),
    ("to-confirm", "To ask or confirm", false),
    ("here", "Here", false),
    ("to-come", "Confirmed", true),
    ("back", "Returned", true),
    ("over", "Closed", true),
];

/// All loans: the late ones first, then the ones to ask for or confirm, the ones we have, the
/// ones to come, and the returned ones.
fn groups(snapshot: &LoanSnapshot) -> Vec<Group> {
    let place = |loan: &Loan| match snapshot.state(loan) {
        _ if snapshot.days_late(loan).is_some() => 0,
        None | Some(Step::Asked | Step::Promised) => 1,
        Some(Step::Collected | Step::Tested) => 2,
        Some(Step::Confirmed) => 3,
        Some(Step::Returned) => 4,
        Some(Step::Closed | Step::NotLent) => 5,
    };
    let group = |(number, (mark, heading, is_quiet)): (usize, (&'static str, &'static str, bool))| {
        let mut these: Vec<&Loan> = snapshot.loans.iter().filter(|loan| place(loan) == number).collect();
        these.sort_by_key(|loan| (snapshot.goes_back(loan).on, loan.id));
        Group { mark, heading, is_quiet, lines: these.into_iter().map(|loan| line(snapshot, loan)).collect() }
    };
    GROUPS.into_iter().enumerate().map(group).filter(|g| !g.lines.is_empty()).collect()
}
