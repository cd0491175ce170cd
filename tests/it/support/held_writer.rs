//! Keeps writes waiting, so that what a page has read is old by the time it writes.

use burnday::state::App;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Notify;

/// The writer, held by a write that changes nothing.
pub struct HeldWriter(Arc<Notify>);

impl HeldWriter {
    pub async fn of(app: &App) -> Self {
        let (held, free) = (Arc::new(Notify::new()), Arc::new(Notify::new()));
        let (is_held, until) = (Arc::clone(&held), Arc::clone(&free));
        let db = app.db.clone();
        tokio::spawn(async move {
            let hold = db.write(move |_| {
                Box::pin(async move {
                    is_held.notify_one();
                    until.notified().await;
                    Ok(())
                })
            });
            hold.await.unwrap();
        });
        held.notified().await;
        Self(free)
    }

    /// Gives a request time to read what it needs and to wait for its write.
    pub async fn let_others_wait(&self) {
        tokio::time::sleep(Duration::from_millis(500)).await;
    }

    /// Lets the waiting writes run, in the order they came.
    pub fn release(self) {
        self.0.notify_one();
    }
}
