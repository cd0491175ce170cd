//! What happens to Press when two people are merged or someone's data is erased.

mod store;

pub use store::{Handed, forget, hand_back, hand_over};
