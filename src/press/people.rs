//! What becomes of Press when two people turn out to be one, or somebody is
//! forgotten.

mod store;

pub use store::{Handed, forget, hand_back, hand_over};
