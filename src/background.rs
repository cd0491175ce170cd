//! What the program does on its own, without a request.

use crate::accounts;
use crate::asks;
use crate::error::{Error, Result};
use crate::events;
use crate::fire;
use crate::mail::{self, Outside, Zones};
use crate::people;
use crate::photos;
use crate::reminders;
use crate::state::App;
use crate::zone::Zone;
use sqlx::SqlitePool;
use std::time::Duration;
use tokio::task::JoinHandle;
use tokio::time::Instant;

/// The loop runs this often.
const ROUND: Duration = Duration::from_secs(1);
/// It does its upkeep once in this many rounds.
const LOOK_AFTER: u64 = 10;
/// It checks what is scheduled once in this many rounds.
const REMIND: u64 = 60;
/// It removes files that nobody needs once in this many rounds.
const SWEEP: u64 = 3600;
/// When the program stops, a message being sent gets this long to finish.
const GRACE: Duration = Duration::from_secs(45);

/// What email asks the slices.
pub const OUTSIDE: Outside = Outside {
    zones: |db| Box::pin(zones(db)),
    checks: &[events::against_sending, people::against_sending, asks::against_sending],
    refuse: |tx, person, refusal, now| {
        Box::pin(async move { people::refuse(tx, person, &refusal.address, &refusal.words, now).await })
    },
};

async fn zones(db: &SqlitePool) -> Result<Zones> {
    let events = events::list(db).await?.into_iter().map(|event| (event.id, event.details.zone));
    let department = accounts::department(db).await?;
    Ok(Zones { events: events.collect(), elsewhere: department.and_then(|department| Zone::named(&department.zone)) })
}

/// Does everything once, in order: what the loop does by turns.
pub async fn tick(app: &App) -> Result<()> {
    app.mailer.beat(Instant::now());
    mail::look_after(app, &OUTSIDE, Instant::now()).await?;
    reminders::tick(app).await?;
    fire::tick(app).await?;
    accounts::sweep_sign_ins(app).await?;
    photos::sweep(app).await?;
    send(app).await
}

/// Sends all email that is due.
async fn send(app: &App) -> Result<()> {
    mail::pass(app, &OUTSIDE).await.map(|_| ())
}

/// The loop, while it runs.
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

    /// Lets work in progress finish.
    pub async fn stop(mut self) {
        self.app.mailer.stop();
        if tokio::time::timeout(GRACE, &mut self.task).await.is_err() {
            tracing::warn!("a message was still being sent when the program stopped");
            self.task.abort();
        }
    }
}

async fn run(app: App) {
    // An email server can take minutes over a message. The rest must not wait for it.
    let mut sending: Option<JoinHandle<Result<()>>> = None;
    let mut simulating: Option<JoinHandle<Result<()>>> = None;
    let mut round: u64 = 0;
    while !app.mailer.is_stopping() {
        app.mailer.beat(Instant::now());
        tell(mail::watch_clock(&app, Instant::now()).await);
        if round.is_multiple_of(LOOK_AFTER) {
            tell(mail::look_after(&app, &OUTSIDE, Instant::now()).await);
            tell(app.db.keep_reserve().await);
        }
        // Someone who just pinned an estimate looks at it. It may take a while.
        if simulating.as_ref().is_none_or(JoinHandle::is_finished) {
            finish(simulating.take()).await;
            let app = app.clone();
            simulating = Some(tokio::spawn(async move { fire::tick(&app).await }));
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
    finish(simulating).await;
    finish(sending).await;
}

async fn finish(sending: Option<JoinHandle<Result<()>>>) {
    if let Some(sending) = sending {
        tell(sending.await.unwrap_or_else(|error| Err(error.into())));
    }
}

fn tell(done: Result<()>) {
    if let Err(Error::Internal(error)) = done {
        tracing::error!(error = format!("{error:#}"), "background work failed");
    }
}
