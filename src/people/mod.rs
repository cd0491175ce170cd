//! Everyone the department knows, once.

mod store;

pub use store::{Person, list, named, rename};
