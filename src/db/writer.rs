//! All writes go through one task that owns the one writing connection.
//!
//! What waits is committed together: many writers share one sync to disk, and
//! a browser that hangs up can't leave a transaction half done, since its
//! write belongs to this task and not to the request.

use super::{Db, Tx};
use crate::error::{Error, Result};
use anyhow::anyhow;
use futures_util::FutureExt;
use futures_util::future::BoxFuture;
use sqlx::{Connection, SqliteConnection};
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use tokio::sync::{Mutex, mpsc, oneshot};
use tokio::task::JoinHandle;

/// At most this many writes share a commit.
const BATCH: usize = 256;
/// At most this many writes wait; more are held back in their requests.
const WAITING: usize = 1024;

/// What a write does inside its transaction.
pub type Write<'c, T> = BoxFuture<'c, Result<T>>;

type Answer = Box<dyn FnOnce(bool) + Send>;
/// Does its work, then says whether it is to be kept and whom to tell.
type Job = Box<dyn for<'c> FnOnce(&'c mut Tx) -> BoxFuture<'c, (bool, Answer)> + Send>;

#[derive(Clone)]
pub(super) struct Writer {
    jobs: mpsc::Sender<Option<Job>>,
    task: Arc<Mutex<Option<JoinHandle<()>>>>,
}

impl Db {
    /// Runs a write in a transaction and waits until it is on disk. An error
    /// undoes this write alone.
    ///
    /// # Errors
    /// The write's own, or the store's when it can't be committed.
    pub async fn write<T, F>(&self, write: F) -> Result<T>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut Tx) -> Write<'c, T> + Send + 'static,
    {
        let (tell, told) = oneshot::channel();
        let job: Job = Box::new(move |tx| {
            Box::pin(async move {
                let result = AssertUnwindSafe(write(tx)).catch_unwind().await;
                let result = result.unwrap_or_else(|_| Err(Error::Internal(anyhow!("a write panicked"))));
                let keep = result.is_ok();
                let answer: Answer = Box::new(move |committed| {
                    let lost = || Err(Error::Internal(anyhow!("the store could not commit")));
                    // Nobody may be left to hear it; the write stands all the same.
                    let _ = tell.send(if keep && !committed { lost() } else { result });
                });
                (keep, answer)
            })
        });
        let closed = || Error::Internal(anyhow!("the store is closed"));
        self.writer.jobs.send(Some(job)).await.map_err(|_| closed())?;
        told.await.map_err(|_| closed())?
    }
}

impl Writer {
    pub(super) fn start(connection: SqliteConnection) -> Self {
        let (jobs, waiting) = mpsc::channel(WAITING);
        let task = tokio::spawn(work(connection, waiting));
        Self { jobs, task: Arc::new(Mutex::new(Some(task))) }
    }

    /// Lets what waits finish, then closes the connection.
    pub(super) async fn stop(&self) {
        let _ = self.jobs.send(None).await;
        if let Some(task) = self.task.lock().await.take() {
            let _ = task.await;
        }
    }
}

async fn work(mut connection: SqliteConnection, mut waiting: mpsc::Receiver<Option<Job>>) {
    let mut batch = Vec::with_capacity(BATCH);
    loop {
        if waiting.recv_many(&mut batch, BATCH).await == 0 {
            break;
        }
        let last = batch.iter().any(Option::is_none);
        let jobs: Vec<Job> = batch.drain(..).flatten().collect();
        if !jobs.is_empty() {
            commit(&mut connection, jobs).await;
        }
        if last {
            break;
        }
    }
    if let Err(error) = connection.close().await {
        tracing::warn!(%error, "the store did not close cleanly");
    }
}

async fn commit(connection: &mut SqliteConnection, jobs: Vec<Job>) {
    let alone = jobs.len() == 1;
    if let Err(error) = run(connection, "begin immediate").await {
        tracing::error!(%error, "the store can't be written");
        // Dropping the jobs tells their requests that nothing was kept.
        return;
    }
    let mut answers = Vec::with_capacity(jobs.len());
    let mut sound = true;
    let mut keep_any = false;
    for job in jobs {
        // A write alone in its batch needs no savepoint: the transaction is one.
        if !alone {
            sound &= run(connection, "savepoint job").await.is_ok();
        }
        let (keep, answer) = job(connection).await;
        answers.push(answer);
        keep_any |= keep;
        if !alone {
            if !keep {
                sound &= run(connection, "rollback to job").await.is_ok();
            }
            sound &= run(connection, "release job").await.is_ok();
        }
    }
    let end = if sound && keep_any { "commit" } else { "rollback" };
    let ended = run(connection, end).await;
    if let Err(error) = &ended {
        tracing::error!(%error, end, "the store could not end a transaction");
        // After a failed commit the transaction may still be open.
        let _ = run(connection, "rollback").await;
    }
    let committed = sound && keep_any && ended.is_ok();
    for answer in answers {
        answer(committed);
    }
}

#[expect(clippy::disallowed_methods, reason = "transaction control has no columns to check")]
async fn run(connection: &mut SqliteConnection, sql: &'static str) -> sqlx::Result<()> {
    sqlx::query(sql).execute(connection).await.map(|_| ())
}
