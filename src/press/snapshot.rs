//! Everything about an event's press, and the status of each outlet from the log, the
//! replies and what ran.

use super::log::{self, Entry, Outcome};
use super::outlet_status::OutletStatus;
use super::outlets::{self, Contact, Listing, Outlet};
use super::{coverage, day};
use crate::asks::{self, Kind, Request, Said};
use crate::error::Result;
use crate::events::Event;
use crate::people::Name;
use crate::state::App;
use std::collections::HashSet;

/// Everything about an event's press, loaded once.
pub(super) struct PressSnapshot {
    pub outlets: Vec<Outlet>,
    pub contacts: Vec<Contact>,
    pub listings: Vec<Listing>,
    /// The newest first, without those that were corrected.
    pub entries: Vec<Entry>,
    /// About coverage only.
    pub requests: Vec<Request>,
    pub stories: Vec<coverage::Story>,
    pub visits: Vec<day::PressVisit>,
}

impl PressSnapshot {
    pub async fn load(app: &App, event: &Event) -> Result<Self> {
        let outlets = outlets::all(app.db.read()).await?;
        let entries = log::of_event(app.db.read(), event.id).await?;
        let stories = coverage::of_event(app.db.read(), event.id).await?;
        let mut db = app.db.read().acquire().await?;
        let mut requests = asks::of_event(&mut db, event.id).await?;
        requests.retain(|request| request.kind == Kind::Coverage && !request.is_withdrawn);
        Ok(Self {
            outlets,
            contacts: outlets::contacts(&mut db).await?,
            listings: outlets::listings(&mut db, event.id).await?,
            entries: log::standing(entries),
            requests,
            stories,
            visits: day::of_event(&mut db, event.id).await?,
        })
    }

    pub fn outlet(&self, id: i64) -> Option<&Outlet> {
        self.outlets.iter().find(|outlet| outlet.id == id)
    }

    /// All outlets, for a list.
    pub fn outlet_names(&self) -> Vec<Name> {
        self.outlets.iter().map(|outlet| Name { id: outlet.id, name: outlet.details.name.clone() }).collect()
    }

    /// The outlets on the list, in order.
    pub fn listed(&self) -> impl Iterator<Item = (&Listing, &Outlet)> {
        self.listings.iter().filter_map(|listing| Some((listing, self.outlet(listing.outlet_id)?)))
    }

    /// Everyone who is or was a contact at an outlet.
    pub fn people_of(&self, outlet: i64) -> HashSet<i64> {
        let contacts = self.contacts.iter().filter(|contact| contact.outlet_id == outlet);
        let heard = self.entries.iter().filter(|entry| entry.outlet_id == outlet);
        contacts.map(|contact| contact.person_id).chain(heard.map(|entry| entry.person_id)).collect()
    }

    /// The questions to people of an outlet.
    pub fn asked(&self, outlet: i64) -> Vec<&Request> {
        let people = self.people_of(outlet);
        self.requests.iter().filter(|request| people.contains(&request.person_id)).collect()
    }

    pub fn status(&self, outlet: i64, event: &Event) -> OutletStatus {
        if self.stories.iter().any(|story| story.outlet_id == outlet) {
            return OutletStatus::Ran;
        }
        let asked = self.asked(outlet);
        let said: Vec<Said> = asked
            .iter()
            .filter_map(|request| request.stands_for(event.details.burn_on))
            .map(|answer| answer.said)
            .collect();
        let has = |wanted: &[Said]| said.iter().any(|said| wanted.contains(said));
        let mut entries = self.entries.iter().filter(|entry| entry.outlet_id == outlet).peekable();
        if has(&[Said::Yes, Said::Deputy]) {
            OutletStatus::Comes
        } else if has(&[Said::Maybe]) {
            OutletStatus::Perhaps
        } else if has(&[Said::No]) {
            OutletStatus::Declined
        } else if asked.is_empty() && entries.peek().is_none() {
            OutletStatus::Open
        } else if entries.any(|entry| entry.outcome != Outcome::NoAnswer) {
            OutletStatus::Replied
        } else {
            OutletStatus::Approached
        }
    }
}
