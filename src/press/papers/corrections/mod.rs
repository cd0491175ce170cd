//! Who has a version in which a fact has changed, and sending them a correction.

mod list;
mod outdated;
mod routes;

pub(super) use self::list::Corrections;
pub(super) use self::outdated::{Outdated, outdated};
pub(super) use self::routes::router;
