//! Why nothing can be saved for now. People can still read.

use std::fmt;
use std::io::{self, ErrorKind};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Something that stops every write for a while.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trouble {
    /// The disk is full, or accepts no more data.
    Full,
    /// Something else is using the store.
    Busy,
    /// Writes still work, using the reserve.
    Low,
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Full => "the disk is full",
            Self::Busy => "something else is using the store",
            Self::Low => "the disk is almost full",
        })
    }
}

impl std::error::Error for Trouble {}

impl Trouble {
    /// What happened and what to do, for the person who tried to save something.
    #[must_use]
    pub fn says(self) -> (&'static str, &'static str) {
        match self {
            Self::Full => (
                "The disk is full: nothing can be saved",
                "You can still read everything. Tell the person who runs Burnday for you to make room on the disk. \
                 Saving works again as soon as there is room.",
            ),
            Self::Busy => (
                "That could not be saved right now",
                "Another program is using the data, such as a backup. Try again in a moment.",
            ),
            Self::Low => (
                "The disk is almost full: soon nothing can be saved",
                "Tell the person who runs Burnday for you to make room on the disk now.",
            ),
        }
    }

    /// Is an error one of these? By `SQLite`'s result codes (sqlite.org/rescode.html).
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

/// How the last commits went, for anyone who asks.
#[derive(Debug, Clone, Default)]
pub(super) struct LastCommit(Arc<Mutex<Last>>);

#[derive(Debug, Default)]
struct Last {
    trouble: Option<Trouble>,
    kept: Option<Instant>,
}

impl LastCommit {
    /// Notes a commit that was saved, or what stopped it.
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

    /// Was a commit saved within this time, and none stopped since?
    pub fn was_kept_within(&self, time: Duration) -> bool {
        let last = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        last.trouble.is_none() && last.kept.is_some_and(|kept| kept.elapsed() < time)
    }
}
