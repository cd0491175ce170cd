//! What needs someone, in every place of an event: what is late or due today, and what is
//! wrong. The bar at the top of every page counts it; whoever knows the places says how to
//! find out.

use crate::error::Result;
use futures_util::future::BoxFuture;
use std::fmt;
use std::sync::Arc;
use time::OffsetDateTime;

/// Finds the addresses of what needs someone in an event.
type Ask = dyn Fn(i64, OffsetDateTime) -> BoxFuture<'static, Result<Vec<String>>> + Send + Sync;

/// Nothing, until someone says how to find out.
#[derive(Clone, Default)]
pub struct Needs(Option<Arc<Ask>>);

impl Needs {
    #[must_use]
    pub fn by(
        ask: impl Fn(i64, OffsetDateTime) -> BoxFuture<'static, Result<Vec<String>>> + Send + Sync + 'static,
    ) -> Self {
        Self(Some(Arc::new(ask)))
    }

    /// The addresses of what needs someone. A page is worth more than its counts,
    /// so there are none if they can't be found.
    pub async fn of(&self, event_id: i64, now: OffsetDateTime) -> Vec<String> {
        let Some(ask) = &self.0 else { return Vec::new() };
        ask(event_id, now).await.unwrap_or_else(|error| {
            tracing::error!(?error, "what needs someone could not be counted");
            Vec::new()
        })
    }
}

impl fmt::Debug for Needs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Needs").field(&self.0.is_some()).finish()
    }
}
