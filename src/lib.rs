//! Burnday: plan, run and review a public side-by-side live burn.

pub mod calc;
