//! All writes go through one task that owns the only writing connection.
//!
//! Writes that wait are committed together, so many writers share one sync to disk. A browser
//! that hangs up can't leave a transaction half done, since its write belongs to this task
//! and not to the request.

use super::once::{self, Form};
use super::reserve::Reserve;
use super::trouble::{LastCommit, Trouble};
use super::tx::Tx;
use crate::error::{Error, Result};
use anyhow::anyhow;
use futures_util::FutureExt;
use futures_util::future::BoxFuture;
use sqlx::Connection;
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use tokio::sync::{Mutex, mpsc, oneshot};
use tokio::task::JoinHandle;

/// At most this many writes share a commit.
const BATCH: usize = 256;
/// At most this many writes wait here; more wait in their requests.
const WAITING: usize = 1024;

/// What a write does inside its transaction.
pub type Write<'c, T> = BoxFuture<'c, Result<T>>;

/// A write that waits its turn.
trait Job: Send {
    /// Does the work. True if it should be committed. May run again after a rollback.
    fn run<'c>(&'c mut self, tx: &'c mut Tx) -> BoxFuture<'c, bool>;
    /// May it read what writes before it add at the commit?
    fn reads_all(&self) -> bool;
    /// Its work could not be committed after all.
    fn fail(&mut self);
    /// What stopped it, if that is temporary.
    fn trouble(&self) -> Option<Trouble>;
    /// Tells the one who waits how it went.
    fn answer(self: Box<Self>, outcome: Outcome);
}

/// How a commit went for its jobs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Outcome {
    Kept,
    /// Nothing was saved, maybe for a temporary reason.
    Lost(Option<Trouble>),
}

struct Work<T, F> {
    write: F,
    /// The form it belongs to, and whether something was changed for it.
    form: Option<Arc<Form>>,
    is_kept: bool,
    reads_all: bool,
    result: Option<Result<T>>,
    tell: oneshot::Sender<Result<T>>,
}

impl<T, F> Job for Work<T, F>
where
    T: Send + 'static,
    F: for<'c> FnOnce(&'c mut Tx) -> Write<'c, T> + Clone + Send + 'static,
{
    fn run<'c>(&'c mut self, tx: &'c mut Tx) -> BoxFuture<'c, bool> {
        let (write, form) = (self.write.clone(), self.form.clone());
        Box::pin(async move {
            let work = async move {
                let Some(form) = form else { return Ok((write(tx).await?, false)) };
                let before = once::begin(tx, &form).await?;
                let done = write(tx).await?;
                Ok((done, once::end(tx, &form, &before).await?))
            };
            let done = AssertUnwindSafe(work).catch_unwind().await;
            let result = done.unwrap_or_else(|_| Err(Error::Internal(anyhow!("a write panicked"))));
            let keep = result.is_ok();
            self.is_kept = result.as_ref().is_ok_and(|(_, is_kept)| *is_kept);
            self.result = Some(result.map(|(done, _)| done));
            keep
        })
    }

    fn reads_all(&self) -> bool {
        self.reads_all
    }

    fn fail(&mut self) {
        self.result = None;
    }

    fn trouble(&self) -> Option<Trouble> {
        match &self.result {
            Some(Err(Error::Internal(error))) => Trouble::of(error.as_ref()),
            _ => None,
        }
    }

    fn answer(self: Box<Self>, outcome: Outcome) {
        if let (Some(form), true, Some(Ok(_)), Outcome::Kept) = (&self.form, self.is_kept, &self.result, outcome) {
            form.note_kept();
        }
        let result = match (self.result, outcome) {
            (Some(Ok(done)), Outcome::Kept) => Ok(done),
            (Some(Err(error)), _) => Err(error),
            (_, Outcome::Lost(Some(trouble))) => Err(Error::Internal(trouble.into())),
            _ => Err(Error::Internal(anyhow!("the store could not commit"))),
        };
        // Maybe nobody is left to hear it; the write still counts.
        let _ = self.tell.send(result);
    }
}

#[derive(Clone)]
pub(super) struct Writer {
    jobs: mpsc::Sender<Option<Box<dyn Job>>>,
    task: Arc<Mutex<Option<JoinHandle<()>>>>,
}

impl Writer {
    /// Runs a write in a transaction and waits until it is on disk. Only a write that reads
    /// nothing of what others add at the commit may run without those rows.
    pub(super) async fn write<T, F>(&self, write: F, reads_all: bool) -> Result<T>
    where
        T: Send + 'static,
        F: for<'c> FnOnce(&'c mut Tx) -> Write<'c, T> + Clone + Send + 'static,
    {
        let (tell, told) = oneshot::channel();
        let closed = || Error::Internal(anyhow!("the store is closed"));
        let job = Box::new(Work { write, form: Form::here(), is_kept: false, reads_all, result: None, tell });
        self.jobs.send(Some(job)).await.map_err(|_| closed())?;
        told.await.map_err(|_| closed())?
    }

    /// How many writes wait for their turn.
    pub(super) fn waiting(&self) -> usize {
        self.jobs.max_capacity() - self.jobs.capacity()
    }

    pub(super) fn start(tx: Tx, last: LastCommit, reserve: Arc<Reserve>) -> Self {
        let (jobs, waiting) = mpsc::channel(WAITING);
        let task = tokio::spawn(work(tx, waiting, (last, reserve)));
        Self { jobs, task: Arc::new(Mutex::new(Some(task))) }
    }

    /// Lets waiting writes finish, then closes the connection.
    pub(super) async fn stop(&self) {
        let _ = self.jobs.send(None).await;
        if let Some(task) = self.task.lock().await.take() {
            let _ = task.await;
        }
    }
}

async fn work(
    mut tx: Tx,
    mut waiting: mpsc::Receiver<Option<Box<dyn Job>>>,
    (last_commit, reserve): (LastCommit, Arc<Reserve>),
) {
    let mut batch = Vec::with_capacity(BATCH);
    let mut crowded = false;
    loop {
        if waiting.recv_many(&mut batch, BATCH).await == 0 {
            break;
        }
        if crowded {
            // The ones just answered are about to come back. One commit for all of them is
            // worth more than one for the quickest.
            tokio::task::yield_now().await;
            while batch.len() < BATCH
                && let Ok(next) = waiting.try_recv()
            {
                batch.push(next);
            }
        }
        crowded = batch.len() > 1;
        let last = batch.iter().any(Option::is_none);
        let jobs: Vec<Box<dyn Job>> = batch.drain(..).flatten().collect();
        if !jobs.is_empty() {
            commit(&mut tx, jobs, (&last_commit, &reserve)).await;
        }
        if last {
            break;
        }
    }
    if let Err(error) = tx.connection.close().await {
        tracing::warn!(%error, "the store did not close cleanly");
    }
}

async fn commit(tx: &mut Tx, mut jobs: Vec<Box<dyn Job>>, (last, reserve): (&LastCommit, &Reserve)) {
    let mut outcome = attempt(tx, &mut jobs).await;
    if trouble_of(&jobs, outcome) == Some(Trouble::Full) && reserve.give_up() {
        outcome = attempt(tx, &mut jobs).await;
    }
    match (trouble_of(&jobs, outcome), outcome) {
        (Some(trouble), _) => last.note(Err(trouble)),
        (None, Outcome::Kept) => last.note(Ok(())),
        // A write that failed through its own fault says nothing about the store.
        (None, Outcome::Lost(_)) => {}
    }
    for job in jobs {
        job.answer(outcome);
    }
}

/// What stopped the commit first: the store may have undone everything because of one write.
fn trouble_of(jobs: &[Box<dyn Job>], outcome: Outcome) -> Option<Trouble> {
    let of_commit = if let Outcome::Lost(trouble) = outcome { trouble } else { None };
    jobs.iter().find_map(|job| job.trouble()).or(of_commit)
}

async fn attempt(tx: &mut Tx, jobs: &mut Vec<Box<dyn Job>>) -> Outcome {
    let committed = match together(tx, jobs).await {
        Ok(true) => Ok(true),
        // A single write has had its chance. Among several, one that failed must not take
        // the others down with it.
        Ok(false) if jobs.len() == 1 => Ok(false),
        Ok(false) => one_by_one(tx, jobs).await,
        Err(error) => Err(error),
    };
    if let Err(error) = &committed {
        tracing::error!(%error, "the store could not commit");
        // The transaction may still be open. If it isn't, this fails and does no harm.
        let _ = tx.roll_back().await;
    }
    let trouble = committed.as_ref().err().and_then(|error| Trouble::of(error));
    if committed.unwrap_or(false) { Outcome::Kept } else { Outcome::Lost(trouble) }
}

/// All in one transaction with nothing between them, which is almost always enough. False if
/// one failed; nothing was committed then.
async fn together(tx: &mut Tx, jobs: &mut [Box<dyn Job>]) -> sqlx::Result<bool> {
    tx.begin().await?;
    for job in &mut *jobs {
        let is_ready = !job.reads_all() || is_flushed(tx).await?;
        if !(is_ready && job.run(tx).await) {
            tx.roll_back().await?;
            return Ok(false);
        }
    }
    if !is_flushed(tx).await? {
        tx.roll_back().await?;
        return Ok(false);
    }
    tx.commit().await?;
    Ok(true)
}

/// Writes what waits for the commit. False if the store refused one of the rows.
async fn is_flushed(tx: &mut Tx) -> sqlx::Result<bool> {
    match tx.flush().await {
        Ok(()) => Ok(true),
        Err(error) if Trouble::of(&error).is_some() => Err(error),
        Err(error) => {
            tracing::error!(%error, "a row could not be added");
            Ok(false)
        }
    }
}

/// All in one transaction, each in its own savepoint, so that a failed one undoes only
/// itself.
async fn one_by_one(tx: &mut Tx, jobs: &mut [Box<dyn Job>]) -> sqlx::Result<bool> {
    tx.begin().await?;
    for job in jobs {
        tx.run("savepoint job").await?;
        let mut kept = job.run(tx).await;
        if kept && !is_flushed(tx).await? {
            job.fail();
            kept = false;
        }
        if !kept {
            tx.forget();
            tx.run("rollback to job").await?;
        }
        tx.run("release job").await?;
    }
    tx.commit().await?;
    Ok(true)
}
