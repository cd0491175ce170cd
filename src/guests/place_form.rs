//! A place set by hand, as typed.

use super::guest::Guest;
use serde::Deserialize;

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct PlaceForm {
    pub number: String,
    pub reason: String,
}

impl PlaceForm {
    pub fn of(guest: &Guest) -> Self {
        let place = guest.place.clone();
        place.map(|(number, reason)| Self { number: number.to_string(), reason }).unwrap_or_default()
    }
}
