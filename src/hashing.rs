//! Turns for password hashes, so that sign-in attempts can't take more of the machine than
//! it has to give.

use crate::error::{Error, Result};
use std::sync::Arc;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

const AT_ONCE: usize = 2;

/// Password hashes in progress. Each takes 19 MiB and a core, so two run at once, and only
/// as many may wait as finish within about a second.
pub struct Hashing {
    running: Arc<Semaphore>,
    /// Places for anyone who tries,
    strangers: Arc<Semaphore>,
    /// and for people whose browser signed in before.
    known: Arc<Semaphore>,
}

impl Default for Hashing {
    fn default() -> Self {
        let places = |number| Arc::new(Semaphore::new(number));
        Self { running: places(AT_ONCE), strangers: places(32), known: places(16) }
    }
}

/// Whose places someone waits in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Waits {
    AsStranger,
    AsKnown,
}

/// A place to wait and a turn. Both belong to the work: it keeps running when the one who
/// asked hangs up.
pub struct Turn {
    _place: OwnedSemaphorePermit,
    _run: OwnedSemaphorePermit,
}

impl Hashing {
    /// How many are running now.
    #[must_use]
    pub fn running(&self) -> usize {
        AT_ONCE - self.running.available_permits()
    }

    /// A place to wait, and then a turn.
    ///
    /// # Errors
    /// [`Error::Busy`] right away if too many are waiting.
    pub async fn turn(&self, waits: Waits) -> Result<Turn> {
        let places = if waits == Waits::AsKnown { &self.known } else { &self.strangers };
        let place = Arc::clone(places).try_acquire_owned().map_err(|_| Error::Busy)?;
        Ok(Turn { _place: place, _run: Arc::clone(&self.running).acquire_owned().await? })
    }
}
