//! All SQL about guests.

mod guests;
mod journaled;
mod one_fact;
mod program;
mod row;
mod settings;
mod unknown;

pub use guests::{NewGuest, add, of_event};
pub(super) use guests::{remove, save};
pub(super) use one_fact::{move_arrivals, set_signer};
pub use one_fact::{rang, set_place, tick};
pub(super) use program::program;
pub use program::put_program;
pub use settings::{save_settings, settings};
