//! Whether an item is available on a date, worked out from its steps, what was agreed, and the
//! replies.

use super::agreed::{Agreed, Span};
use super::choices::{Free, Step};
use super::clash::Window;
use super::loan::Loan;
use crate::asks::{self, Request, Said};
use crate::events::Event;
use time::Date;

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

/// The availability of a loan for a date. A no in the replies counts even if loan dates were
/// agreed, because the lender said it.
pub(super) fn availability(loan: &Loan, request: Option<&Request>, on: Date) -> Availability {
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
pub(super) fn windows(event: &Event, loan: &Loan, request: Option<&Request>) -> Vec<Window> {
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
