//! Photos of things: taken in, made small, stripped of all that a camera adds
//! (the place above all), and kept as files beside the store.
//!
//! A photo is a row here and a file named by the digest of its content. Files
//! come before their row and go an hour after their last one, so that neither a
//! crash nor a copy of the store made meanwhile ever finds a row without one.

mod files;
mod form;
mod picture;
mod routes;
mod store;

pub use files::{FOLDER, copy, sweep};
pub use form::{MOST_SENT, Pictures, Posted};
pub use picture::{ACCEPTED, MOST_BYTES, MOST_PIXELS};
pub use routes::router;
pub use store::{drop, keep, missing};

use crate::error::Result;
use crate::state::App;
use std::sync::{Arc, LazyLock};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// A photo whose files lie there, before anything refers to it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// SHA-256 of the file's content, in hexadecimal digits.
    pub digest: String,
    /// In pixels, as it is kept.
    pub width: u32,
    pub height: u32,
    pub bytes: u64,
}

/// One picture is decoded at a time: each may take a few hundred megabytes.
/// The turn is the work's own: whoever hung up leaves it running.
static DECODING: LazyLock<Arc<Semaphore>> = LazyLock::new(|| Arc::new(Semaphore::new(1)));

/// So many bytes of photos wait for their turn at once, in all requests together.
const MOST_WAITING: usize = 3 * MOST_BYTES;
const UNIT: usize = 1024;
static WAITING: LazyLock<Arc<Semaphore>> = LazyLock::new(|| Arc::new(Semaphore::new(MOST_WAITING / UNIT)));

/// The bytes of a photo as they come over, within the room for all of them.
#[derive(Debug, Default)]
struct Incoming {
    bytes: Vec<u8>,
    room: Option<OwnedSemaphorePermit>,
}

impl Incoming {
    /// Adds what came. False if there is no room for it now.
    fn add(&mut self, chunk: &[u8]) -> bool {
        let held = self.room.as_ref().map_or(0, OwnedSemaphorePermit::num_permits);
        let units = (self.bytes.len() + chunk.len()).div_ceil(UNIT).saturating_sub(held);
        let units = u32::try_from(units).unwrap_or(u32::MAX);
        let Ok(room) = Arc::clone(&WAITING).try_acquire_many_owned(units) else { return false };
        match &mut self.room {
            Some(all) => all.merge(room),
            None => self.room = Some(room),
        }
        self.bytes.extend_from_slice(chunk);
        true
    }
}

/// Takes a photo in. What comes back refused says why, in words for whoever
/// chose the file.
///
/// # Errors
/// When the file can't be written.
pub async fn take(app: &App, bytes: Vec<u8>) -> Result<std::result::Result<Taken, String>> {
    take_in(app, Incoming { bytes, room: None }).await
}

async fn take_in(app: &App, incoming: Incoming) -> Result<std::result::Result<Taken, String>> {
    let (data, now) = (app.config.data.clone(), app.clock.now());
    let turn = Arc::clone(&DECODING).acquire_owned().await?;
    let work = tokio::task::spawn_blocking(move || {
        // Both go along whole, and so are held to the end of the work.
        let (_turn, incoming) = (turn, incoming);
        match picture::pictures(&incoming.bytes) {
            Ok(pictures) => files::put(&data, &pictures, now).map(Ok),
            Err(why) => Ok(Err(why)),
        }
    });
    work.await?
}

/// A photo that was taken in for a form that came back with a mistake; none if
/// it is there no more.
pub async fn again(app: &App, digest: &str) -> Option<Taken> {
    files::look(&app.config.data, digest, app.clock.now()).await
}
