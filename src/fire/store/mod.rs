//! All SQL of the estimates.

mod earlier;
mod plan;
mod settings;

pub use earlier::{Earlier, add_earlier};
pub(super) use earlier::{earlier, remove_earlier};
pub use plan::{Plan, pin, plan};
pub(super) use plan::{fires, save_bands, waiting};
pub use settings::{Setting, save};
pub(super) use settings::{remove, settings};
