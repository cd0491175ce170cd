//! Someone who said yes to a position can't work another one at the same hours, so the
//! other open questions to them can be closed. The education officer decides that: an
//! answer by itself closes nothing.

mod closing;
mod known;
mod overlap;
mod reopening;

use crate::state::App;
use axum::Router;

pub(super) use overlap::{Settled, all, others, replaced_by};

pub(super) fn router() -> Router<App> {
    closing::router().merge(reopening::router())
}
