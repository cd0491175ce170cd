//! Keeps writes waiting, so that what a page has read is old by the time it writes.

use burnday::db::Db;
use burnday::state::App;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Notify;

/// The writer, held by a write that changes nothing.
pub struct HeldWriter {
    free: Arc<Notify>,
    db: Db,
}

impl HeldWriter {
    pub async fn of(app: &App) -> Self {
        let (begun, free) = (Arc::new(Notify::new()), Arc::new(Notify::new()));
        let (has_begun, until) = (Arc::clone(&begun), Arc::clone(&free));
        let db = app.db.clone();
        tokio::spawn(async move {
            let hold = db.write(move |_| {
                Box::pin(async move {
                    has_begun.notify_one();
                    until.notified().await;
                    Ok(())
                })
            });
            hold.await.unwrap();
        });
        begun.notified().await;
        Self { free, db: app.db.clone() }
    }

    /// Waits until so many writes have read what they need and wait for their turn.
    pub async fn until_wait(&self, count: usize) {
        let waiting = async {
            while self.db.waiting() < count {
                tokio::time::sleep(Duration::from_millis(5)).await;
            }
        };
        tokio::time::timeout(Duration::from_mins(1), waiting).await.expect("nobody came to write");
    }

    /// Lets the waiting writes run, in the order they came.
    pub fn release(self) {
        self.free.notify_one();
    }
}
