//! The status of each outlet, from the log, the replies and what ran.

use super::log::{self, Entry, Outcome};
use super::outlets::{self, Contact, Listing, Outlet};
use super::{coverage, day};
use crate::accounts::{Private, User};
use crate::asks::{self, Kind, Request, Said};
use crate::calc::coverage as figures;
use crate::error::Result;
use crate::events::Event;
use crate::people::Person;
use crate::state::App;
use std::collections::HashSet;
use time::OffsetDateTime;

/// How to reach someone.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Reach {
    /// Empty for users who may not see it.
    pub phone: String,
    pub mail: String,
    /// Why they can't get announcements by email; none if they can.
    pub unmailed: Option<Unmailed>,
}

/// Why someone can't get announcements by email.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Unmailed {
    Unwanted,
    Refused,
    NoAddress,
}

impl Unmailed {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Unwanted => "unwanted",
            Self::Refused => "refused",
            Self::NoAddress => "no address",
        }
    }

    pub const fn says(self) -> &'static str {
        match self {
            Self::Unwanted => "wants no email",
            Self::Refused => "email address doesn't work",
            Self::NoAddress => "no email address",
        }
    }
}

impl Reach {
    pub fn of(person: Option<&Person>, user: &User) -> Self {
        let Some(person) = person else { return Self::default() };
        Self {
            phone: user.shown(Private::Contact, &person.details.phone),
            mail: user.shown(Private::Contact, &person.details.mail),
            unmailed: if person.details.no_mail {
                Some(Unmailed::Unwanted)
            } else if !person.refused.is_empty() {
                Some(Unmailed::Refused)
            } else if person.details.mail.is_empty() {
                Some(Unmailed::NoAddress)
            } else {
                None
            },
        }
    }
}

/// The status of an outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum OutletStatus {
    Open,
    Approached,
    Replied,
    Perhaps,
    Declined,
    Comes,
    Ran,
}

impl OutletStatus {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Approached => "approached",
            Self::Replied => "replied",
            Self::Perhaps => "perhaps",
            Self::Declined => "declined",
            Self::Comes => "comes",
            Self::Ran => "ran",
        }
    }

    pub fn says(self) -> &'static str {
        match self {
            Self::Open => "not contacted",
            Self::Approached => "contacted",
            Self::Replied => "replied",
            Self::Perhaps => "may cover it",
            Self::Declined => "will not cover it",
            Self::Comes => "will cover it",
            Self::Ran => "ran a story",
        }
    }

    pub fn sign(self) -> &'static str {
        match self {
            Self::Open => "todo",
            Self::Approached | Self::Replied | Self::Perhaps => "waiting",
            Self::Declined => "dropped",
            Self::Comes | Self::Ran => "done",
        }
    }
}

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
    pub visits: Vec<day::Visit>,
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

    fn asked(&self, outlet: i64) -> Vec<&Request> {
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

    /// When someone at an outlet first replied after `from`.
    fn first_reply(&self, outlet: i64, from: OffsetDateTime) -> Option<OffsetDateTime> {
        let entries =
            self.entries.iter().filter(|entry| entry.outlet_id == outlet && entry.outcome != Outcome::NoAnswer);
        let asked = self.asked(outlet);
        let answers =
            asked.iter().flat_map(|request| &request.asks).flat_map(|ask| &ask.answers).map(|answer| answer.at);
        entries.map(|entry| entry.at).chain(answers).filter(|at| *at >= from).min()
    }

    /// How far each outlet on the list or in the log got.
    pub fn outlet_figures(&self) -> Vec<figures::Outlet> {
        let listed = self.listings.iter().map(|listing| listing.outlet_id);
        let heard = self.entries.iter().map(|entry| entry.outlet_id);
        let ran = self.stories.iter().map(|story| story.outlet_id);
        let all: HashSet<i64> = listed.chain(heard).chain(ran).collect();
        let one = |outlet: i64| figures::Outlet {
            approached: self.entries.iter().any(|entry| entry.outlet_id == outlet) || !self.asked(outlet).is_empty(),
            replied: self.first_reply(outlet, OffsetDateTime::UNIX_EPOCH).is_some(),
            came: self.came(outlet),
            ran: self.stories.iter().any(|story| story.outlet_id == outlet),
        };
        all.into_iter().map(one).collect()
    }

    fn came(&self, outlet: i64) -> bool {
        let people = self.people_of(outlet);
        let is_of = |visit: &&day::Visit| visit.outlet_id.map_or(people.contains(&visit.person_id), |id| id == outlet);
        self.visits.iter().filter(is_of).any(|visit| visit.arrived_at.is_some())
    }

    /// Hours from the first advisory to the first reply after it, for each
    /// outlet that replied.
    pub fn hours_to_reply(&self) -> Vec<f64> {
        let mut hours = Vec::new();
        for outlet in &self.outlets {
            let advisories = self.entries.iter().filter(|entry| entry.outlet_id == outlet.id && entry.is_advisory);
            let Some(sent) = advisories.map(|entry| entry.at).min() else { continue };
            if let Some(replied) = self.first_reply(outlet.id, sent) {
                hours.push((replied - sent).as_seconds_f64() / 3_600.0);
            }
        }
        hours
    }
}
