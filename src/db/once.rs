//! A form does its work once: its write saves the form's key, and no other write accepts
//! the same key.

use super::tx::Tx;
use crate::error::{Error, Result};
use std::future::Future;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

tokio::task_local! {
    /// The form that is being answered.
    static FORM: Arc<Form>;
}

/// A form that was sent.
#[derive(Debug, Default)]
pub struct Form {
    /// Its key and the digest of what was sent, once both are known. Some forms have no key.
    key: OnceLock<(String, Vec<u8>)>,
    /// Was a write saved for it that changed something?
    is_kept: AtomicBool,
}

impl Form {
    /// Sets the key and the digest. Only the first call counts.
    pub fn is(&self, key: String, digest: Vec<u8>) {
        let _ = self.key.set((key, digest));
    }

    /// Was a write saved for it that changed something?
    #[must_use]
    pub fn is_kept(&self) -> bool {
        self.is_kept.load(Ordering::Acquire)
    }

    pub(super) fn note_kept(&self) {
        self.is_kept.store(true, Ordering::Release);
    }

    /// Answers a form. Whatever the same task writes meanwhile is written for this form.
    pub async fn answer<F: Future>(self: Arc<Self>, answer: F) -> F::Output {
        FORM.scope(self, answer).await
    }

    /// The form being answered here, if nothing is saved for it yet.
    pub(super) fn here() -> Option<Arc<Self>> {
        FORM.try_with(Arc::clone).ok().filter(|form| !form.is_kept())
    }
}

/// How much was changed before a form's write, and what other writes left for the commit.
pub(super) struct Before {
    changes: i64,
    waiting: usize,
}

/// Looks up the form's key before its write.
///
/// # Errors
/// [`Error::SentBefore`] if it is already saved; the store's.
pub(super) async fn begin(tx: &mut Tx, form: &Form) -> Result<Before> {
    let (key, digest) = form.key.get().map(|(key, digest)| (key.as_str(), digest.as_slice())).unwrap_or_default();
    let found = sqlx::query!(
        r#"select total_changes() as "changes!: i64",
                  (select digest from form_key where key = ?) as "digest?: Vec<u8>""#,
        key
    )
    .fetch_one(&mut **tx)
    .await?;
    match found.digest {
        Some(known) => Err(Error::SentBefore { is_same: known == digest }),
        None => Ok(Before { changes: found.changes, waiting: tx.waiting() }),
    }
}

/// Saves the form's key with what its write changed. A form that changed nothing may be sent
/// again. True if something was changed.
pub(super) async fn end(tx: &mut Tx, form: &Form, before: &Before) -> Result<bool> {
    let waits = tx.waiting() > before.waiting;
    let Some((key, digest)) = form.key.get() else {
        let changes = sqlx::query_scalar!(r#"select total_changes() as "changes!: i64""#).fetch_one(&mut **tx).await?;
        return Ok(waits || changes > before.changes);
    };
    let kept = sqlx::query!(
        "insert into form_key (key, digest) select ?, ? where total_changes() > ? or ?",
        key,
        digest,
        before.changes,
        waits
    )
    .execute(&mut **tx)
    .await?;
    Ok(kept.rows_affected() > 0)
}
