//! Turns for password hashes, so that those who try to sign in take no more of the
//! machine than it can give.

use crate::error::{Error, Result};
use std::sync::Arc;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

const AT_ONCE: usize = 2;

/// Password hashes under way. Each takes 19 MiB and a core, so two run at once, and
/// only as many wait as are done within about a second.
pub struct Hashing {
    running: Arc<Semaphore>,
    /// Places for whoever tries,
    strangers: Arc<Semaphore>,
    /// and for those who signed in before from where they are.
    known: Arc<Semaphore>,
}

impl Default for Hashing {
    fn default() -> Self {
        let places = |number| Arc::new(Semaphore::new(number));
        Self { running: places(AT_ONCE), strangers: places(32), known: places(16) }
    }
}

/// In whose places somebody waits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Waits {
    AsStranger,
    AsKnown,
}

/// A place to wait and a turn. Both go along with the work: who hangs up leaves it
/// running.
pub struct Turn {
    _place: OwnedSemaphorePermit,
    _run: OwnedSemaphorePermit,
}

impl Hashing {
    /// How many run just now.
    #[must_use]
    pub fn running(&self) -> usize {
        AT_ONCE - self.running.available_permits()
    }

    /// A place to wait, and then a turn.
    ///
    /// # Errors
    /// [`Error::Busy`] at once if too many wait.
    pub async fn turn(&self, waits: Waits) -> Result<Turn> {
        let places = if waits == Waits::AsKnown { &self.known } else { &self.strangers };
        let place = Arc::clone(places).try_acquire_owned().map_err(|_| Error::Busy)?;
        Ok(Turn { _place: place, _run: Arc::clone(&self.running).acquire_owned().await? })
    }
}
