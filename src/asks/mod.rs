//! Questions put to people, each for one date, and what they answered.

mod store;

pub use store::{hand_back, hand_over};
