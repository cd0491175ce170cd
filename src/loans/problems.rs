//! Problems with loans that someone must deal with.

use super::availability::windows;
use super::choices::{Free, Step};
use super::clash::{Clash, clashes};
use super::joined::joined;
use super::loan::{Loan, date_name};
use super::phrases::with_backup;
use super::shared::Elsewhere;
use super::snapshot::LoanSnapshot;
use crate::web::words::Reader;
use time::Date;

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

impl LoanSnapshot {
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
                let beneath = format!("{}: {}; {}", loan.lender(), availability.why, with_backup(&instead));
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

    /// The backup; empty without one.
    #[must_use]
    pub fn backup_says(&self, loan: &Loan) -> String {
        let other = loan.details.backup_id.and_then(|id| self.find(id)).filter(|other| !other.has(Step::NotLent));
        let parts = [other.map(|other| other.details.what.clone()).unwrap_or_default(), loan.details.backup.clone()];
        joined(parts, "; ")
    }
}
