//! What is offered with an answer, and saving it.

use super::store;
use crate::asks::{Request, Said};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::photos::{self, Taken};
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// An answer to a question about donations.
#[derive(Debug, Clone)]
pub struct Offered {
    pub event: Event,
    pub request: Request,
    pub said: Said,
    /// The lines of the question they will donate, counted from 0.
    pub lines: Vec<usize>,
    /// In their own words. Both may be empty.
    pub what: String,
    pub fetch: String,
    pub at: OffsetDateTime,
}

/// What an answer does besides being saved.
pub type Follows = for<'c> fn(&'c mut Tx, &'c Offered) -> BoxFuture<'c, Result<()>>;

/// What is stored along with an answer by link.
#[derive(Debug, Clone)]
pub(in crate::asks) struct Taking {
    pub(super) offered: Offered,
    pub(super) photo: Option<Taken>,
    pub(super) follows: Follows,
}

impl Taking {
    /// What they promised, for their own records. None if they didn't.
    pub fn says(&self) -> Option<String> {
        if self.offered.said != Said::Yes {
            return None;
        }
        let line = |number: &usize| self.offered.request.facts.get(*number).map(|(what, _)| what.as_str());
        let lines: Vec<&str> = self.offered.lines.iter().filter_map(line).collect();
        let mut says = vec![format!("You promised: {}.", lines.join(", "))];
        if !self.offered.what.is_empty() {
            says.push(format!("What it is: {}", self.offered.what));
        }
        if !self.offered.fetch.is_empty() {
            says.push(format!("When and where we can pick it up: {}", self.offered.fetch));
        }
        Some(says.join("\n"))
    }

    /// Saves the offer with the answer just written, and does what follows from it.
    pub async fn keep(&self, tx: &mut Tx, ask: i64) -> Result<()> {
        let now = self.offered.at;
        let photo = match &self.photo {
            Some(taken) => Some(photos::keep(tx, taken, Actor::Link, now).await?),
            None => None,
        };
        store::insert(tx, ask, (&self.offered.lines, &self.offered.fetch), photo).await?;
        (self.follows)(tx, &self.offered).await
    }
}
