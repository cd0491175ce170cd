//! What the program does by itself, without a request.

use crate::accounts;
use crate::error::Result;
use crate::people;
use crate::photos;
use crate::reminders;
use crate::state::App;
use crate::{error::Error, mail};
use std::time::Duration;
use tokio::task::JoinHandle;
use tokio::time::Instant;

/// The loop comes round this often,
const ROUND: Duration = Duration::from_secs(1);
/// and looks after the rest in every so many rounds.
const LOOK_AFTER: u64 = 10;
/// and after the reminders in every so many.
const REMIND: u64 = 60;
/// Files nobody needs any more go in every so many.
const SWEEP: u64 = 3600;
/// At a stop, a message under way gets this long to end.
const GRACE: Duration = Duration::from_secs(45);

/// Everything once, in order: what the loop does by turns.
///
/// # Errors
/// The store's.
pub async fn tick(app: &App) -> Result<()> {
    app.mailer.beat(Instant::now());
    mail::look_after(app, Instant::now()).await?;
    reminders::tick(app).await?;
    accounts::sweep_sign_ins(app).await?;
    photos::sweep(app).await?;
    send(app).await
}

/// Sends all mail that may go now.
async fn send(app: &App) -> Result<()> {
    mail::pass(app, |tx, person, refusal, now| {
        Box::pin(async move { people::refuse(tx, person, &refusal.address, &refusal.words, now).await })
    })
    .await
    .map(|_| ())
}

/// The loop, until it is stopped.
pub struct Background {
    app: App,
    task: JoinHandle<()>,
}

impl Background {
    #[must_use]
    pub fn start(app: App) -> Self {
        let task = tokio::spawn(run(app.clone()));
        Self { app, task }
    }

    /// Lets what is under way end.
    pub async fn stop(mut self) {
        self.app.mailer.stop();
        if tokio::time::timeout(GRACE, &mut self.task).await.is_err() {
            tracing::warn!("a message was still under way at the stop");
            self.task.abort();
        }
    }
}

async fn run(app: App) {
    // A relay can take minutes over a message; the rest must not wait for it.
    let mut sending: Option<JoinHandle<Result<()>>> = None;
    let mut round: u64 = 0;
    while !app.mailer.is_stopping() {
        app.mailer.beat(Instant::now());
        tell(mail::watch_clock(&app, Instant::now()).await);
        if round.is_multiple_of(LOOK_AFTER) {
            tell(mail::look_after(&app, Instant::now()).await);
            tell(app.db.keep_reserve().await);
        }
        if round.is_multiple_of(REMIND) {
            tell(reminders::tick(&app).await);
            tell(accounts::sweep_sign_ins(&app).await);
        }
        if round.is_multiple_of(SWEEP) {
            tell(photos::sweep(&app).await);
        }
        round += 1;
        if sending.as_ref().is_none_or(JoinHandle::is_finished) {
            finish(sending.take()).await;
            let app = app.clone();
            sending = Some(tokio::spawn(async move { send(&app).await }));
        }
        tokio::select! {
            () = tokio::time::sleep(ROUND) => {}
            () = app.mailer.stopped() => {}
        }
    }
    finish(sending).await;
}

async fn finish(sending: Option<JoinHandle<Result<()>>>) {
    if let Some(sending) = sending {
        tell(sending.await.unwrap_or_else(|error| Err(error.into())));
    }
}

fn tell(done: Result<()>) {
    if let Err(Error::Internal(error)) = done {
        tracing::error!(error = format!("{error:#}"), "the work in the background failed");
    }
}
