//! Why the store keeps nothing for now. Reading goes on meanwhile.

use std::fmt;
use std::io::{self, ErrorKind};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// What stands in the way of every write, and passes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// The disk is full, or takes nothing any more.
    Full,
    /// Something else holds the store.
    Busy,
    /// Writes are kept still, on the reserve.
    Low,
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Full => "the disk is full",
            Self::Busy => "something else holds the store",
            Self::Low => "the disk is almost full",
        })
    }
}

impl std::error::Error for Trouble {}

impl Trouble {
    /// What happened and what to do, to whoever pressed a button.
    #[must_use]
    pub fn says(self) -> (&'static str, &'static str) {
        match self {
            Self::Full => (
                "The disk is full: nothing can be saved",
                "You can go on reading. Tell whoever runs this program to make room on the disk; after that, saving \
                 works again by itself.",
            ),
            Self::Busy => (
                "That could not be saved just now",
                "Something else holds the store, such as a copy being made. Try again in a moment.",
            ),
            Self::Low => (
                "The disk is almost full: soon nothing can be saved",
                "Tell whoever runs this program to make room on the disk now.",
            ),
        }
    }

    /// Is an error such a trouble? By `SQLite`'s result codes (sqlite.org/rescode.html).
    #[must_use]
    pub fn of(error: &(dyn std::error::Error + 'static)) -> Option<Self> {
        let mut next = Some(error);
        while let Some(error) = next {
            if let Some(trouble) = error.downcast_ref::<Self>() {
                return Some(*trouble);
            }
            if let Some(error) = error.downcast_ref::<sqlx::Error>() {
                return Self::of_store(error);
            }
            if let Some(error) = error.downcast_ref::<io::Error>() {
                let is_full = [ErrorKind::StorageFull, ErrorKind::QuotaExceeded, ErrorKind::FileTooLarge];
                return is_full.contains(&error.kind()).then_some(Self::Full);
            }
            next = error.source();
        }
        None
    }

    fn of_store(error: &sqlx::Error) -> Option<Self> {
        let sqlx::Error::Database(error) = error else {
            return matches!(error, sqlx::Error::PoolTimedOut).then_some(Self::Busy);
        };
        let code: u32 = error.code()?.parse().ok()?;
        match (code & 0xff, code) {
            // SQLITE_FULL; and of SQLITE_IOERR those of writing, fsync, fstat's
            // sibling for truncating and the size of the shared memory.
            (13, _) | (_, 778 | 1_034 | 1_546 | 4_874) => Some(Self::Full),
            (5 | 6, _) => Some(Self::Busy),
            _ => None,
        }
    }
}

/// What became of the last commits, for whoever asks.
#[derive(Debug, Clone, Default)]
pub(super) struct LastCommit(Arc<Mutex<Last>>);

#[derive(Debug, Default)]
struct Last {
    trouble: Option<Trouble>,
    kept: Option<Instant>,
}

impl LastCommit {
    /// Notes one that was kept, or what stood in its way.
    pub fn note(&self, outcome: Result<(), Trouble>) {
        let mut last = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        last.trouble = outcome.err();
        if outcome.is_ok() {
            last.kept = Some(Instant::now());
        }
    }

    pub fn trouble(&self) -> Option<Trouble> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).trouble
    }

    /// Was one kept within this time, and nothing in the way of one since?
    pub fn was_kept_within(&self, time: Duration) -> bool {
        let last = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        last.trouble.is_none() && last.kept.is_some_and(|kept| kept.elapsed() < time)
    }
}
