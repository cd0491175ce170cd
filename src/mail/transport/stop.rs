//! What happens when the program is to stop.

use std::future::Future;
use tokio::sync::watch;

/// Returns once the program is to stop.
pub(super) async fn stopped(stop: &watch::Receiver<bool>) {
    if stop.clone().wait_for(|stop| *stop).await.is_err() {
        // No one can ask for it any longer.
        std::future::pending::<()>().await;
    }
}

/// The result of the work; none if the program is to stop first.
pub(super) async fn unless_stopped<T>(stop: &watch::Receiver<bool>, work: impl Future<Output = T>) -> Option<T> {
    tokio::select! {
        biased;
        done = work => Some(done),
        () = stopped(stop) => None,
    }
}
