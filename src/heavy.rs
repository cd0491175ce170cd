//! Long computations: one at a time, apart from the requests, and none for longer than
//! someone waits for it.

use crate::error::{Error, Result};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use tokio::sync::Semaphore;

/// This many may wait their turn: more than the officers of a department who open such a
/// page in the same second.
const WAITING: usize = 16;

/// The one place where long computations run.
pub struct Heavy {
    turn: Arc<Semaphore>,
    waiting: Arc<Semaphore>,
    has_ended: Arc<AtomicBool>,
}

impl Default for Heavy {
    fn default() -> Self {
        let places = |number| Arc::new(Semaphore::new(number));
        Self { turn: places(1), waiting: places(WAITING), has_ended: Arc::default() }
    }
}

/// Tells a computation that nobody is waiting for it any longer.
#[derive(Debug, Clone, Default)]
pub struct Stop {
    is_left: Arc<AtomicBool>,
    has_ended: Arc<AtomicBool>,
}

impl Stop {
    /// A computation checks this every millisecond or so.
    #[must_use]
    pub fn is_set(&self) -> bool {
        self.is_left.load(Ordering::Relaxed) || self.has_ended.load(Ordering::Relaxed)
    }
}

/// Sets the flag when the one who waits goes away.
struct Waits(Arc<AtomicBool>);

impl Drop for Waits {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

impl Heavy {
    /// Runs a computation when its turn comes. A computation returns nothing if it was
    /// stopped, which happens when the request is gone or the program ends.
    ///
    /// # Errors
    /// [`Error::Busy`] if too many are waiting or it was stopped, and an error if it panics.
    pub async fn run<T: Send + 'static>(&self, work: impl FnOnce(&Stop) -> Option<T> + Send + 'static) -> Result<T> {
        let place = Arc::clone(&self.waiting).try_acquire_owned().map_err(|_| Error::Busy)?;
        let turn = Arc::clone(&self.turn).acquire_owned().await?;
        let stop = Stop { is_left: Arc::default(), has_ended: Arc::clone(&self.has_ended) };
        let _waits = Waits(Arc::clone(&stop.is_left));
        let done = tokio::task::spawn_blocking(move || {
            // The work holds its turn: if the one who waits leaves, the turn stays taken until
            // the work stops.
            let _held = (place, turn);
            if stop.is_set() { None } else { work(&stop) }
        });
        done.await?.ok_or(Error::Busy)
    }

    /// Stops what is running and whatever would start.
    pub fn end(&self) {
        self.has_ended.store(true, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicUsize;

    /// Runs until it is stopped.
    fn endless(running: Arc<AtomicUsize>) -> impl FnOnce(&Stop) -> Option<()> {
        move |stop| {
            assert_eq!(running.fetch_add(1, Ordering::SeqCst), 0, "one at a time");
            while !stop.is_set() {
                std::thread::yield_now();
            }
            running.fetch_sub(1, Ordering::SeqCst);
            None
        }
    }

    #[tokio::test]
    async fn one_at_a_time_is_stopped_when_nobody_waits_and_few_wait() {
        let (heavy, running) = (Arc::new(Heavy::default()), Arc::new(AtomicUsize::new(0)));
        let start = || {
            let (heavy, work) = (Arc::clone(&heavy), endless(Arc::clone(&running)));
            tokio::spawn(async move { heavy.run(work).await })
        };
        let waiting: Vec<_> = (0..WAITING).map(|_| start()).collect();
        while heavy.waiting.available_permits() > 0 || running.load(Ordering::SeqCst) == 0 {
            tokio::task::yield_now().await;
        }
        assert!(matches!(heavy.run(|_| Some(())).await, Err(Error::Busy)), "no more may wait");
        for one in &waiting {
            one.abort();
        }
        for one in waiting {
            let _ = one.await;
        }
        assert_eq!(heavy.run(|_| Some(7)).await.unwrap(), 7, "nobody waits for the others any longer");
    }

    #[tokio::test]
    async fn the_end_of_the_program_stops_it() {
        let heavy = Arc::new(Heavy::default());
        let running = Arc::new(AtomicUsize::new(0));
        let (own, work) = (Arc::clone(&heavy), endless(Arc::clone(&running)));
        let waits = tokio::spawn(async move { own.run(work).await });
        while running.load(Ordering::SeqCst) == 0 {
            tokio::task::yield_now().await;
        }
        heavy.end();
        assert!(matches!(waits.await.unwrap(), Err(Error::Busy)));
        assert!(heavy.run(|_| Some(())).await.is_err(), "and nothing starts");
    }
}
