//! Photos: accepted, made smaller, stripped of everything a camera adds (above all the
//! location), and saved as files next to the store.
//!
//! A photo is a row here and a file named after the digest of its content. The file is
//! written before the row and deleted an hour after the last row is gone, so neither a crash
//! nor a copy of the store made in between ever finds a row without its file.

mod files;
mod form;
mod missing;
mod picture;
mod routes;
mod store;
mod taken;
mod taking;

pub use files::{FOLDER, copy, sweep};
pub use form::{MOST_SENT, Pictures, Posted};
pub use missing::missing;
pub use picture::{ACCEPTED, MOST_BYTES, MOST_PIXELS};
pub use routes::router;
pub use store::{drop, keep};
pub use taken::Taken;
pub use taking::{again, take};
