//! All SQL of the site.

mod accepted;
mod kept;
mod photos;
mod versions;

pub(super) use accepted::{Accepted, Settled, accept, accepted, settle_again};
pub(super) use kept::{Kept, keep, kept};
pub(super) use photos::add_photo;
pub(super) use versions::{Current, step};
pub use versions::{change, current};
