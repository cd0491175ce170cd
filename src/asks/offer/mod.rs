//! What someone can donate: the lines they check in a question about furniture or
//! material, what it is in their own words, when we can pick it up, and a photo.
//!
//! What follows from an offer isn't known here. Whoever asked passes in a function, which
//! runs in the same write as the answer.

mod form;
mod routes;
mod store;
mod taking;

pub use routes::{MOST_SENT, router};
pub use store::{Made, offers};
pub use taking::{Follows, Offered};

pub(super) use form::OfferPart;
pub(super) use taking::Taking;
