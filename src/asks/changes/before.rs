//! What everyone knows before the event changes, and how many people a change would affect.

use crate::asks::noted::{self, Waiting};
use crate::asks::{Ask, Known, Request, Statement, store};
use crate::error::Result;
use crate::events::{Details, Event};
use sqlx::SqliteConnection;

/// Everyone who was asked, with what they know before the event changes.
#[derive(Debug, Clone)]
pub struct Before {
    pub(super) event: Event,
    pub(super) known: Vec<Known>,
}

/// How many people a change affects.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    /// Get an email.
    pub written: usize,
    /// Have no working email, so someone has to call.
    pub to_call: usize,
    /// Of all these, are asked about another date.
    pub asked: usize,
}

/// What everyone knows before the event changes. Emails waiting to go out don't count,
/// since a change cancels them.
pub async fn before_change(db: &mut SqliteConnection, event: &Event) -> Result<Before> {
    let mut noted = noted::statements(&mut *db, event.id, Waiting::IsTakenBack).await?;
    let requests = store::of_event(db, event.id).await?;
    let known = requests.into_iter().map(|request| {
        let statement = noted.remove(&request.id).map(|(statement, _)| statement);
        Known::of(event, request, statement)
    });
    Ok(Before { event: event.clone(), known: known.collect() })
}

/// The question as it would be if the event had these details, asked again if `again`.
fn after_change(request: &Request, details: &Details, again: bool) -> Request {
    let mut request = request.clone();
    for ask in &mut request.asks {
        // Donations move with burn day.
        if request.kind.takes_offer() && !ask.is_lapsed {
            ask.for_on = details.burn_on;
        }
        ask.is_lapsed |= ask.for_on != details.burn_on && Some(ask.for_on) != details.rain_on;
    }
    if again && request.is_willing() {
        let ask = |for_on| Ask { id: 0, for_on, date_revision: 0, is_lapsed: false, answers: Vec::new() };
        let lacks = request.lacks(details.burn_on, details.rain_on);
        request.asks.extend(lacks.into_iter().map(ask));
    }
    request
}

impl Before {
    /// How many people a change would affect, to show before it is made.
    #[must_use]
    pub fn count(&self, details: &Details, again: bool, reached: impl Fn(i64) -> bool) -> Count {
        let new = Event { details: details.clone(), ..self.event.clone() };
        let mut count = Count::default();
        for known in &self.known {
            let request = after_change(&known.request, details, again);
            let truth = Statement::of(&new, &request);
            if !known.statement.is_outdated(&truth) {
                continue;
            }
            if reached(request.person_id) {
                count.written += 1;
            } else {
                count.to_call += 1;
            }
            count.asked += usize::from(request.live().any(|ask| ask.id == 0));
        }
        count
    }

    /// How many people could be asked about dates they weren't asked about.
    #[must_use]
    pub fn to_ask(&self, details: &Details) -> usize {
        let lacks = |known: &&Known| after_change(&known.request, details, true).live().any(|ask| ask.id == 0);
        self.known.iter().filter(lacks).count()
    }
}
