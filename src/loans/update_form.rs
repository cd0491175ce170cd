//! The form of an update, and which updates can be made now.

use super::choices::Step;
use super::loan::Loan;
use super::snapshot::LoanSnapshot;
use super::store::Noted;
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;

/// The updates that can be made by hand now. Pickup and return are recorded with their
/// condition records instead.
pub(super) fn can_happen(snapshot: &LoanSnapshot, loan: &Loan) -> Vec<Step> {
    let is_new = |step: Step| {
        let further = |on| snapshot.availability(loan, on).stage < Some(step);
        snapshot.dates().into_iter().any(further)
    };
    let fits = |step: Step| match step {
        Step::Asked | Step::Promised | Step::Confirmed => loan.is_live() && !loan.is_out() && is_new(step),
        Step::Tested => loan.is_out() && !loan.has(Step::Tested),
        Step::Closed => loan.has(Step::Returned) && !loan.has(Step::Closed),
        Step::NotLent => loan.is_live() && !loan.is_out(),
        Step::Collected | Step::Returned => false,
    };
    Step::ALL.into_iter().filter(|step| fits(*step)).collect()
}

/// The form of an update.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct StepForm {
    pub step: String,
    /// `burn day`, `rain date`
    pub date: Vec<String>,
    pub on: String,
    pub who: String,
    pub note: String,
}

const DATES: [&str; 2] = ["burn day", "rain date"];

impl StepForm {
    pub fn fresh(snapshot: &LoanSnapshot, who: &str) -> Self {
        Self {
            step: String::new(),
            date: vec![DATES[0].to_owned()],
            on: words::iso(snapshot.today),
            who: who.to_owned(),
            note: String::new(),
        }
    }

    pub fn has(&self, date: &str) -> bool {
        self.date.iter().any(|chosen| chosen == date)
    }

    pub fn read(&self, snapshot: &LoanSnapshot, loan: &Loan) -> Result<Noted, Mistakes> {
        let mut mistakes = Mistakes::default();
        let can = can_happen(snapshot, loan);
        let step = self.step.parse::<Step>().ok().filter(|step| can.contains(step));
        let step = mistakes.note("step", step.ok_or("Choose the next step. A loan only moves forward.".to_owned()));
        let on = mistakes.note("on", form::day(&self.on));
        if on.is_some_and(|on| on > snapshot.today) {
            mistakes.add("on", "This date is in the future. Enter today or earlier.");
        }
        let who = mistakes.note("who", form::line(&self.who, 100));
        let note = mistakes.note("note", form::optional_line(&self.note, 300));
        let mut for_on = Vec::new();
        if let Some(step) = step.filter(|step| step.is_dated()) {
            let details = &snapshot.event.details;
            for_on.extend(Some(details.burn_on).filter(|_| self.has(DATES[0])));
            for_on.extend(details.rain_on.filter(|_| self.has(DATES[1])));
            // A date that already has this step doesn't need it again.
            for_on.retain(|on| snapshot.availability(loan, *on).stage < Some(step));
            if for_on.is_empty() {
                mistakes.add("date", "Choose a date that doesn't have this update yet.");
            }
        }
        match (step, on, who, note, mistakes.is_empty()) {
            (Some(step), Some(on), Some(who), Some(note), true) => Ok(Noted { step, for_on, on, who, note }),
            _ => Err(mistakes),
        }
    }
}
