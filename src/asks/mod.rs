//! Questions put to people, each for one date, and what they answered.

mod store;

pub use store::{forget, hand_back, hand_over};
