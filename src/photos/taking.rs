//! Photos are accepted one at a time, within a fixed amount of memory.

use super::{MOST_BYTES, Taken, files, picture};
use crate::error::Result;
use crate::state::App;
use std::sync::{Arc, LazyLock};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// One picture is decoded at a time, because each may take a few hundred megabytes. The
/// work holds its own turn: it goes on even if the sender hangs up.
static DECODING: LazyLock<Arc<Semaphore>> = LazyLock::new(|| Arc::new(Semaphore::new(1)));

/// At most this many bytes of photos wait for their turn, in all requests together.
const MOST_WAITING: usize = 3 * MOST_BYTES;
const UNIT: usize = 1024;
static WAITING: LazyLock<Arc<Semaphore>> = LazyLock::new(|| Arc::new(Semaphore::new(MOST_WAITING / UNIT)));

/// The bytes of a photo as they arrive, within the limit for all of them.
#[derive(Debug, Default)]
pub(super) struct Incoming {
    pub bytes: Vec<u8>,
    pub room: Option<OwnedSemaphorePermit>,
}

impl Incoming {
    /// Adds a chunk. False if there is no room for it right now.
    pub fn add(&mut self, chunk: &[u8]) -> bool {
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

/// Accepts a photo and saves its files. A refusal says why, for whoever chose the file.
///
/// # Errors
/// When the file can't be written.
pub async fn take(app: &App, bytes: Vec<u8>) -> Result<std::result::Result<Taken, String>> {
    take_in(app, Incoming { bytes, room: None }).await
}

pub(super) async fn take_in(app: &App, incoming: Incoming) -> Result<std::result::Result<Taken, String>> {
    let (data, now) = (app.config.data.clone(), app.clock.now());
    let turn = Arc::clone(&DECODING).acquire_owned().await?;
    let work = tokio::task::spawn_blocking(move || {
        // Both are moved in, and so are held until the work ends.
        let (_turn, incoming) = (turn, incoming);
        match picture::pictures(&incoming.bytes) {
            Ok(pictures) => files::put(&data, &pictures, now).map(Ok),
            Err(why) => Ok(Err(why)),
        }
    });
    work.await?
}

/// A photo that was saved with a form that came back with a mistake, or `None` if it is gone.
pub async fn again(app: &App, digest: &str) -> Option<Taken> {
    files::find(&app.config.data, digest, app.clock.now()).await
}
