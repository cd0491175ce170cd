//! Whose letters or briefings are printed.

use crate::error::{Error, Result};
use crate::guests::record::GuestRecord;
use crate::guests::snapshot::GuestSnapshot;
use serde::Deserialize;

/// One guest, or everyone who fits.
#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct Whom {
    guest: Option<i64>,
}

/// The one guest requested, or those who fit.
pub(super) fn chosen<'a>(
    snapshot: &'a GuestSnapshot,
    whom: &Whom,
    fits: impl Fn(&GuestRecord) -> bool,
) -> Result<Vec<&'a GuestRecord>> {
    if let Some(id) = whom.guest {
        return Ok(vec![snapshot.find(id).ok_or(Error::NotFound)?]);
    }
    let order = snapshot.order(snapshot.event.details.burn_on, fits);
    Ok(order.iter().map(|placed| &snapshot.guests[placed.of]).collect())
}
