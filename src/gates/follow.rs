//! What a change to the event does to decisions.

use super::store;
use crate::countdown::Following;
use crate::db::Tx;
use crate::error::Result;
use futures_util::future::BoxFuture;

/// Signatures were given for a day, an hour, a site, and an order of the fires. Once one of
/// these changes, they no longer count, and changing back doesn't bring them back.
#[must_use]
pub fn follow<'a>(tx: &'a mut Tx, following: Following<'a>) -> BoxFuture<'a, Result<()>> {
    Box::pin(async move {
        let (old, new) = (&following.old.details, &following.new.details);
        let same =
            (old.burn_on, old.burn_time, &old.site, old.format) == (new.burn_on, new.burn_time, &new.site, new.format);
        if same { Ok(()) } else { store::overtake(tx, following.new.id, following.now).await }
    })
}
