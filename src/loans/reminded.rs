//! What reminders need to know about loans.

use super::loan::Loan;
use super::phrases;
use super::snapshot::LoanSnapshot;
use std::collections::HashMap;
use time::Date;

/// An item we have that must go back, for the reminder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Out {
    pub id: i64,
    pub title: String,
    pub lender: String,
    pub href: String,
    /// Our contact for it.
    pub our_contact_id: Option<i64>,
    pub due: Date,
}

impl LoanSnapshot {
    /// The items we have that must go back.
    #[must_use]
    pub fn out(&self) -> Vec<Out> {
        let out = |loan: &Loan| Out {
            id: loan.id,
            title: loan.title(),
            lender: loan.lender_in_full(),
            href: loan.href(),
            our_contact_id: loan.our_contact_id,
            due: self.goes_back(loan).on,
        };
        self.loans.iter().filter(|loan| loan.is_out()).map(out).collect()
    }

    /// What is known now about the loans of each request, by the request's number: reminders
    /// state what is true now, not what was true when we asked.
    #[must_use]
    pub fn facts_of_requests(&self) -> HashMap<i64, Vec<(String, String)>> {
        let mut all: HashMap<i64, Vec<(String, String)>> = HashMap::new();
        for loan in self.loans.iter().filter(|loan| loan.is_live()) {
            if let Some(request_id) = loan.request_id {
                all.entry(request_id).or_default().extend(phrases::plan(self, loan, self.event.details.burn_on));
            }
        }
        all
    }
}
