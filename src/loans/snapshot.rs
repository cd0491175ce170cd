//! Everything borrowed for an event and the status of each loan, worked out anew each
//! time from its steps, what was agreed, and the replies.

use super::availability::{Availability, availability};
use super::choices::Step;
use super::loan::Loan;
use super::shared::{self, Elsewhere};
use super::store;
use crate::asks::{self, Request};
use crate::calc::calendar::Calendar;
use crate::closed_days;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use sqlx::SqliteConnection;
use std::collections::HashMap;
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
    /// The same items in other events. A write needs none of them.
    pub(super) elsewhere: Vec<Elsewhere>,
}

impl LoanSnapshot {
    pub async fn of(app: &App, event_id: i64, now: OffsetDateTime) -> Result<Self> {
        let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
        Self::of_event(app, event, now).await
    }

    pub async fn of_event(app: &App, event: Event, now: OffsetDateTime) -> Result<Self> {
        let calendar = closed_days::calendar(app).await?;
        let own = Self::in_write(&mut *app.db.read().acquire().await?, event, calendar, now).await?;
        let elsewhere = shared::elsewhere(app, &own.loans, own.event.id, own.today).await?;
        Ok(Self { elsewhere, ..own })
    }

    /// The event's own loans, as a write needs them.
    pub(super) async fn in_write(
        db: &mut SqliteConnection,
        event: Event,
        calendar: Arc<Calendar>,
        now: OffsetDateTime,
    ) -> Result<Self> {
        let loans = store::of_event(db, event.id).await?;
        let has_requests = loans.iter().any(|loan| loan.request_id.is_some());
        let requests = if has_requests { asks::of_event(db, event.id).await? } else { Vec::new() };
        Ok(Self::with(event, calendar, loans, requests, now))
    }

    /// Only what one request is about.
    pub(super) async fn of_request(
        db: &mut SqliteConnection,
        event: Event,
        calendar: Arc<Calendar>,
        request_id: i64,
        now: OffsetDateTime,
    ) -> Result<Self> {
        let loans = store::of_request(db, request_id).await?;
        let request = asks::of_request_in(db, request_id).await?;
        Ok(Self::with(event, calendar, loans, request, now))
    }

    fn with(
        event: Event,
        calendar: Arc<Calendar>,
        loans: Vec<Loan>,
        requests: impl IntoIterator<Item = Request>,
        now: OffsetDateTime,
    ) -> Self {
        let requests = requests.into_iter().map(|request| (request.id, request)).collect();
        Self { today: event.today(now), event, calendar, loans, requests, elsewhere: Vec::new() }
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

    /// The other events that borrow the same item: name and address.
    #[must_use]
    pub fn elsewhere(&self, loan: &Loan) -> Vec<(String, String)> {
        let same = self.elsewhere.iter().filter(|elsewhere| elsewhere.loan_id == loan.id);
        same.map(|elsewhere| (elsewhere.event.clone(), elsewhere.href.clone())).collect()
    }
}
