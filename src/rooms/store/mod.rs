//! All SQL of the rooms.

mod changes;
mod donations;
mod entry;
mod reading;
mod rulings;
mod settings;
mod things;

pub use changes::{add, set_photo};
pub(super) use changes::{remove, save};
pub use donations::{DONATION_REPLIES, DonationReply, NewDonationRequest, add_donation_request};
pub(super) use donations::{DonationRequest, answer_donation_request, donations, put_request};
pub(super) use rulings::rulings;
pub use rulings::{Ruling, rule};
pub use settings::RoomSettings;
pub(super) use settings::{save_settings, settings};
pub(super) use things::find;
pub use things::of_event;
