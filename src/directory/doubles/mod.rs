//! Who may be in the directory twice, and why. Nothing here merges anyone.

mod card;
mod comparing;
mod grouping;
mod likeness;
mod reason;
mod searching;

pub use reason::Reason;
pub use searching::{MOST_PAIRS, Pair, pairs};

#[cfg(test)]
mod tests;
