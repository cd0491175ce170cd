//! The only place that reads the system's time.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use time::OffsetDateTime;

/// Tells the time, in UTC and whole seconds.
#[derive(Debug, Clone)]
pub enum Clock {
    System,
    /// Doesn't move until it is set; for tests.
    Set(Arc<AtomicI64>),
}

impl Clock {
    #[must_use]
    pub fn standing_at(at: OffsetDateTime) -> Self {
        Self::Set(Arc::new(AtomicI64::new(at.unix_timestamp())))
    }

    /// Sets a clock that doesn't move. The system's can't be set.
    pub fn set(&self, at: OffsetDateTime) {
        if let Self::Set(seconds) = self {
            seconds.store(at.unix_timestamp(), Ordering::SeqCst);
        }
    }

    #[must_use]
    #[expect(clippy::disallowed_methods, reason = "this is the one place that may")]
    pub fn now(&self) -> OffsetDateTime {
        let seconds = match self {
            Self::System => OffsetDateTime::now_utc().unix_timestamp(),
            Self::Set(seconds) => seconds.load(Ordering::SeqCst),
        };
        OffsetDateTime::from_unix_timestamp(seconds).expect("a clock reads a year below 10,000")
    }
}
