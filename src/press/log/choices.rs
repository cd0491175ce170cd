//! The choices where someone logs a contact.

use super::{CHANNELS, Channel, OUTCOMES};
use crate::accounts;
use crate::error::Result;
use crate::people::Name;
use crate::press::outlets::{self, Contact};
use crate::press::papers;
use crate::state::App;

pub(in crate::press) struct Choices {
    pub contacts: Vec<Contact>,
    pub followers: Vec<Name>,
    pub versions: Vec<(i64, String)>,
    /// Each with its label.
    pub channels: Vec<(&'static str, &'static str)>,
    pub outcomes: &'static [&'static str],
}

impl Choices {
    pub async fn load(app: &App, event_id: i64) -> Result<Self> {
        let versions = papers::versions_of_event(app.db.read(), event_id).await?;
        let mut db = app.db.read().acquire().await?;
        let listings = outlets::listings(&mut db, event_id).await?;
        let mut contacts = outlets::contacts(&mut db).await?;
        // Those on the list first.
        contacts.sort_by_key(|contact| !listings.iter().any(|listing| listing.outlet_id == contact.outlet_id));
        Ok(Self {
            contacts,
            followers: outlets::owners(&accounts::list_in(&mut db).await?),
            versions: versions.into_iter().map(|version| (version.id, version.called())).collect(),
            channels: CHANNELS.into_iter().zip(Channel::ALL.map(Channel::label)).collect(),
            outcomes: &OUTCOMES,
        })
    }
}
