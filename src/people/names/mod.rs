//! Names in their parts: which part is the surname, how lists show and sort people, and how
//! letters begin.

mod parts;
mod shown;
mod words;

pub use parts::{agreed, split, without_suffix};
pub use shown::sort_key;

#[cfg(test)]
mod tests;
