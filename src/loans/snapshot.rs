//! Everything borrowed for an event and the status of each loan, worked out anew each
//! time from its steps, what was agreed, and the replies.

use super::clash::{Clash, Window, clashes};
use super::condition::{Difference, Means, differences};
use super::{Agreed, Free, Loan, Span, Step, date_name, store};
use crate::asks::{self, Request, Said};
use crate::calc::calendar::Calendar;
use crate::closed_days;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::words::Reader;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use std::fmt;
use std::sync::Arc;
use time::{Date, OffsetDateTime};

/// The loans of an event, with everything that affects them.
#[derive(Debug)]
pub struct LoanSnapshot {
    pub event: Event,
    pub today: Date,
    pub calendar: Arc<Calendar>,
    pub loans: Vec<Loan>,
    /// The requests about loans, by number.
    pub requests: HashMap<i64, Request>,
    elsewhere: Vec<Elsewhere>,
}

/// The same item in another event.
#[derive(Debug)]
struct Elsewhere {
    /// The loan of this event.
    loan_id: i64,
    event: String,
    href: String,
    windows: Vec<Window>,
}

/// Whether an item is available on a date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Availability {
    pub free: Free,
    /// The loan dates agreed.
    pub span: Option<Span>,
    /// Its status for this date: asked, promised or confirmed.
    pub stage: Option<Step>,
    /// Why it isn't available; empty if it is.
    pub why: String,
}

/// A problem with a loan that someone must deal with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub kind: Wrong,
    pub what: String,
    /// The problem, with the item in front
    pub says: String,
    /// and without it.
    pub short: String,
    pub beneath: String,
    pub href: String,
    /// The first and the last day it is about, if it is about days.
    pub days: Option<(Date, Date)>,
    /// There is no backup.
    pub lacks_backup: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Wrong {
    NotFree,
    NotFreeOnRainDate,
    Twice,
    NoBackup,
}

impl Wrong {
    /// As a page marks it.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::NotFree => "not-free",
            Self::NotFreeOnRainDate => "not-free-on-rain-date",
            Self::Twice => "two-events",
            Self::NoBackup => "no-backup",
        }
    }
}

/// When an item must go back, and why then.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    pub on: Date,
    pub why: Why,
}

/// Why an item must go back on that day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// Schools get their items back on their next working day.
    School,
    /// The return date was agreed.
    Agreed,
    /// It is the last day we may have it.
    Until,
    /// No dates were agreed.
    Open,
}

impl Why {
    /// As a page marks it.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::School => "school",
            Self::Agreed => "agreed",
            Self::Until => "until",
            Self::Open => "open",
        }
    }
}

/// As people read it.
impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::School => "due back at a school the next working day",
            Self::Agreed => "return date agreed",
            Self::Until => "last day of the loan",
            Self::Open => "no date agreed; due the next working day",
        })
    }
}

impl LoanSnapshot {
    /// # Errors
    /// The store's.
    pub async fn of(app: &App, event_id: i64, now: OffsetDateTime) -> Result<Self> {
        let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
        Self::of_event(app, event, now).await
    }

    /// # Errors
    /// The store's.
    pub async fn of_event(app: &App, event: Event, now: OffsetDateTime) -> Result<Self> {
        let calendar = closed_days::calendar(app).await?;
        let all = events::list(app.db.read()).await?;
        Self::read(&mut *app.db.read().acquire().await?, event, (&all, calendar), now).await
    }

    pub(super) async fn read(
        db: &mut SqliteConnection,
        event: Event,
        (events, calendar): (&[Event], Arc<Calendar>),
        now: OffsetDateTime,
    ) -> Result<Self> {
        let (loans, others): (Vec<Loan>, Vec<Loan>) =
            store::all(db).await?.into_iter().partition(|loan| loan.event_id == event.id);
        let today = event.today(now);
        let mut elsewhere = Vec::new();
        for theirs in others {
            let same: Vec<i64> = loans.iter().filter(|ours| is_same(ours, &theirs)).map(|ours| ours.id).collect();
            let Some(other) = events.iter().find(|other| other.id == theirs.event_id) else { continue };
            if same.is_empty() || !theirs.is_live() || last_day(other) < today {
                continue;
            }
            let request = match theirs.request_id {
                Some(id) => asks::of_request_in(db, id).await?,
                None => None,
            };
            let windows = windows(other, &theirs, request.as_ref());
            for loan_id in same {
                let (event, href) = (other.details.name.clone(), theirs.href());
                elsewhere.push(Elsewhere { loan_id, event, href, windows: windows.clone() });
            }
        }
        let mut requests: HashMap<i64, Request> = HashMap::new();
        if loans.iter().any(|loan| loan.request_id.is_some()) {
            requests = asks::of_event(db, event.id).await?.into_iter().map(|request| (request.id, request)).collect();
        }
        Ok(Self { event, today, calendar, loans, requests, elsewhere })
    }

    #[must_use]
    pub fn find(&self, id: i64) -> Option<&Loan> {
        self.loans.iter().find(|loan| loan.id == id)
    }

    /// The request it was asked for with.
    #[must_use]
    pub fn request(&self, loan: &Loan) -> Option<&Request> {
        self.requests.get(&loan.request_id?)
    }

    /// Burn day, and the rain date if there is one.
    #[must_use]
    pub fn dates(&self) -> Vec<Date> {
        [Some(self.event.details.burn_on), self.event.details.rain_on].into_iter().flatten().collect()
    }

    /// The availability of a loan for a date.
    #[must_use]
    pub fn availability(&self, loan: &Loan, on: Date) -> Availability {
        availability(loan, self.request(loan), on)
    }

    /// The status of a loan, or `None` if nobody has asked yet.
    #[must_use]
    pub fn state(&self, loan: &Loan) -> Option<Step> {
        if loan.has(Step::NotLent) {
            return Some(Step::NotLent);
        }
        let happened = loan.happened().filter(|happened| !happened.step.is_dated()).map(|happened| happened.step);
        happened.max().or(self.availability(loan, self.event.details.burn_on).stage)
    }

    /// When it must go back if the burn is on that date. Schools need their items the next
    /// morning: common practice, no published source.
    #[must_use]
    pub fn due(&self, loan: &Loan, burn_on: Date) -> Due {
        let next = || self.calendar.after(burn_on, 1);
        match loan.details.agreed.get(&burn_on) {
            _ if loan.details.is_school => Due { on: next(), why: Why::School },
            Some(Agreed::Free(Span { return_on: Some(on), .. })) => Due { on: *on, why: Why::Agreed },
            Some(Agreed::Free(span)) => Due { on: span.until_on, why: Why::Until },
            _ => Due { on: next(), why: Why::Open },
        }
    }

    /// When it must go back with the burn on its current date.
    #[must_use]
    pub fn goes_back(&self, loan: &Loan) -> Due {
        self.due(loan, self.event.details.burn_on)
    }

    /// The pickup date, if one is agreed.
    #[must_use]
    pub fn fetched_on(&self, loan: &Loan, burn_on: Date) -> Option<Date> {
        match loan.details.agreed.get(&burn_on)? {
            Agreed::Free(span) => Some(span.collect_on.unwrap_or(span.from_on)),
            Agreed::NotFree => None,
        }
    }

    /// How many days it is late, or `None` if we don't have it or it isn't due yet.
    #[must_use]
    pub fn days_late(&self, loan: &Loan) -> Option<i64> {
        let days = (self.today - self.goes_back(loan).on).whole_days();
        (loan.is_out() && days > 0).then_some(days)
    }

    /// The problems with all loans, the worst first.
    #[must_use]
    pub fn problems(&self) -> Vec<Problem> {
        let mut all: Vec<Problem> = self.loans.iter().flat_map(|loan| self.problems_of(loan)).collect();
        all.sort_by_key(|problem| problem.kind);
        all
    }

    /// The problems with one loan.
    #[must_use]
    pub fn problems_of(&self, loan: &Loan) -> Vec<Problem> {
        if !loan.is_live() {
            return Vec::new();
        }
        let what = loan.title();
        let problem = |kind, short: String, beneath: String| Problem {
            kind,
            what: what.clone(),
            says: format!("{what}: {short}."),
            short,
            beneath,
            href: loan.href(),
            days: None,
            lacks_backup: false,
        };
        let mut all = Vec::new();
        let instead = self.backup_says(loan);
        let lacks_backup = instead.is_empty();
        for on in self.dates() {
            let availability = self.availability(loan, on);
            if availability.free == Free::NotFree {
                let is_rain = Some(on) == self.event.details.rain_on;
                let kind = if is_rain { Wrong::NotFreeOnRainDate } else { Wrong::NotFree };
                let day = Reader::App.near_day(on, self.today);
                let short = format!("not available on the {}, {day}", date_name(&self.event, on));
                let instead = if lacks_backup { "no backup".to_owned() } else { format!("backup: {instead}") };
                let beneath = format!("{}: {}; {instead}", loan.lender(), availability.why);
                all.push(Problem { days: Some((on, on)), lacks_backup, ..problem(kind, short, beneath) });
            }
        }
        all.extend(self.clashes(loan).into_iter().map(|(elsewhere, meet)| {
            let short = "needed by two events on the same days".to_owned();
            let days = Some((meet.from_on, meet.until_on));
            Problem { days, ..problem(Wrong::Twice, short, self.meeting_says(elsewhere, &meet)) }
        }));
        if loan.details.is_single && lacks_backup {
            let beneath = "The burn needs it, and there is only one. Name what you will use if it fails.".to_owned();
            let no_backup = problem(Wrong::NoBackup, "no backup".to_owned(), beneath);
            all.push(Problem { lacks_backup, ..no_backup });
        }
        all
    }

    fn clashes(&self, loan: &Loan) -> Vec<(&Elsewhere, Clash)> {
        let ours = windows(&self.event, loan, self.request(loan));
        let same = self.elsewhere.iter().filter(|elsewhere| elsewhere.loan_id == loan.id);
        // One line for each event: the likeliest conflict.
        same.filter_map(|elsewhere| Some((elsewhere, clashes(&ours, &elsewhere.windows).into_iter().next()?))).collect()
    }

    fn meeting_says(&self, elsewhere: &Elsewhere, meet: &Clash) -> String {
        let day = |on| Reader::App.near_day(on, self.today);
        let days = if meet.from_on == meet.until_on {
            format!("on {}", day(meet.from_on))
        } else {
            format!("from {} to {}", day(meet.from_on), day(meet.until_on))
        };
        let name = |is_rain| if is_rain { "rain date" } else { "burn day" };
        format!(
            "“{}” needs it {days}. Its {} and our {} overlap.",
            elsewhere.event,
            name(meet.theirs.is_rain),
            name(meet.ours.is_rain)
        )
    }

    /// The other events that borrow the same item: name and address.
    #[must_use]
    pub fn elsewhere(&self, loan: &Loan) -> Vec<(String, String)> {
        let same = self.elsewhere.iter().filter(|elsewhere| elsewhere.loan_id == loan.id);
        same.map(|elsewhere| (elsewhere.event.clone(), elsewhere.href.clone())).collect()
    }

    /// The backup; empty without one.
    #[must_use]
    pub fn backup_says(&self, loan: &Loan) -> String {
        let other = loan.details.backup_id.and_then(|id| self.find(id)).filter(|other| !other.has(Step::NotLent));
        let parts = [other.map(|other| other.details.what.clone()).unwrap_or_default(), loan.details.backup.clone()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("; ")
    }
}

impl Loan {
    /// What changed between pickup and return, once it is back.
    #[must_use]
    pub fn differences(&self) -> Vec<Difference> {
        match (self.record(false), self.record(true)) {
            (Some(handed), Some(returned)) => differences(&handed.condition, &returned.condition),
            _ => Vec::new(),
        }
    }

    /// What its records show: damage first, then missing parts.
    #[must_use]
    pub fn harmed(&self) -> Vec<Means> {
        let found = self.differences();
        let any = |means: &Means| found.iter().any(|difference| difference.means == *means);
        [Means::Damaged, Means::Missing].into_iter().filter(any).collect()
    }

    /// The same as people read it.
    #[must_use]
    pub fn harms(&self) -> Vec<&'static str> {
        let says = |means: Means| if means == Means::Missing { "something missing" } else { "damaged" };
        self.harmed().into_iter().map(says).collect()
    }
}

/// The availability of a loan for a date. A no in the replies counts even if loan dates were
/// agreed, because the lender said it.
fn availability(loan: &Loan, request: Option<&Request>, on: Date) -> Availability {
    let noted = loan.happened().filter(|happened| happened.for_on == Some(on)).map(|happened| happened.step);
    let ask = request.filter(|request| !request.is_withdrawn).and_then(|r| r.live().find(|ask| ask.for_on == on));
    let said = ask.and_then(asks::Ask::stands);
    let from_ledger = match said.map(|answer| answer.said) {
        Some(Said::Yes) => Some(Step::Promised),
        _ => ask.map(|_| Step::Asked),
    };
    let stage = noted.max().max(from_ledger);
    let agreed = loan.details.agreed.get(&on);
    let span = match agreed {
        Some(Agreed::Free(span)) => Some(*span),
        _ => None,
    };
    let no = said.filter(|answer| answer.said == Said::No);
    let (free, why) = match (no, agreed) {
        (Some(answer), _) => (Free::NotFree, format!("said no {}", answer.way.how())),
        (None, Some(Agreed::NotFree)) => (Free::NotFree, "by agreement".to_owned()),
        (None, Some(Agreed::Free(_))) => (Free::Free, String::new()),
        (None, None) if stage >= Some(Step::Promised) => (Free::Free, String::new()),
        (None, None) => (Free::Open, String::new()),
    };
    Availability { free, span, stage, why }
}

/// The days an event needs an item that is available to it.
fn windows(event: &Event, loan: &Loan, request: Option<&Request>) -> Vec<Window> {
    if !loan.is_live() {
        return Vec::new();
    }
    let dates = [(Some(event.details.burn_on), false), (event.details.rain_on, true)];
    let dates = dates.into_iter().filter_map(|(on, is_rain)| Some((on?, is_rain)));
    dates
        .filter_map(|(for_on, is_rain)| {
            let availability = availability(loan, request, for_on);
            if availability.free != Free::Free {
                return None;
            }
            let (from_on, until_on) = availability.span.map_or((for_on, for_on), |span| (span.from_on, span.until_on));
            Some(Window { for_on, is_rain, from_on, until_on })
        })
        .collect()
}

fn last_day(event: &Event) -> Date {
    event.details.rain_on.unwrap_or(event.details.burn_on).max(event.details.burn_on)
}

/// Are they the same item? Either the lender and the serial number are the same, or
/// someone said so on the loan.
fn is_same(one: &Loan, other: &Loan) -> bool {
    let (a, b) = (&one.details, &other.details);
    let serial = |text: &str| text.trim().to_lowercase();
    let by_serial = !a.serial.is_empty() && a.lender_id == b.lender_id && serial(&a.serial) == serial(&b.serial);
    by_serial
        || a.same_as == Some(other.id)
        || b.same_as == Some(one.id)
        || (a.same_as.is_some() && a.same_as == b.same_as)
}

/// What is known now about the loans of each request, by the request's number: reminders
/// state what is true now, not what was true when we asked.
///
/// # Errors
/// The store's.
pub async fn facts_of_requests(
    app: &App,
    event: &Event,
    now: OffsetDateTime,
) -> Result<HashMap<i64, Vec<(String, String)>>> {
    let snapshot = LoanSnapshot::of(app, event.id, now).await?;
    let mut all: HashMap<i64, Vec<(String, String)>> = HashMap::new();
    for loan in snapshot.loans.iter().filter(|loan| loan.is_live()) {
        if let Some(request_id) = loan.request_id {
            all.entry(request_id).or_default().extend(super::letters::plan(&snapshot, loan, event.details.burn_on));
        }
    }
    Ok(all)
}
