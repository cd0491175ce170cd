//! Reminders follow the event: one waiting to go out with outdated details is made again.

use super::store;
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::Result;
use futures_util::future::BoxFuture;

/// What reminders do when the event changes.
#[must_use]
pub fn follow<'a>(tx: &'a mut Tx, change: Following<'a>) -> BoxFuture<'a, Result<()>> {
    Box::pin(store::unsay_unsent(tx, change.new.id))
}
