//! Everything about the guests of one event, loaded once, and what follows from it.

use super::guest::Side;
use super::program::parts::Program;
use super::record::{GuestRecord, lower_first};
use super::settings::{GuestSettings, Office};
use super::store;
use crate::asks::{self, Kind, Request};
use crate::calc::offices::Found;
use crate::calc::precedence::{self, Claim, Placed, Rank};
use crate::error::Result;
use crate::events::Event;
use crate::people::{self, Person};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::Date;

/// An official whose office isn't on the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unplaced {
    /// As written in the contact record; may be empty.
    pub office: String,
    pub nearest: Vec<Office>,
}

impl Unplaced {
    /// "“Fire Commissioner” isn't on your list of offices. The closest is Commissioner."
    pub fn says(&self) -> String {
        let what = match self.office.as_str() {
            "" => "The contact record has no office.".to_owned(),
            office => format!("“{office}” isn't on your list of offices."),
        };
        let names: Vec<&str> = self.nearest.iter().map(|office| office.name.as_str()).collect();
        match names.as_slice() {
            [] => what,
            [one] => format!("{what} The closest is {one}."),
            many => format!("{what} It could be {}.", many.join(" or ")),
        }
    }
}

/// All guests of an event.
#[derive(Debug, Clone)]
pub(super) struct GuestSnapshot {
    pub event: Event,
    pub settings: GuestSettings,
    /// The only place that says who speaks for how long.
    pub program: Program,
    pub guests: Vec<GuestRecord>,
}

impl GuestSnapshot {
    pub async fn load(db: &mut SqliteConnection, event: &Event) -> Result<Self> {
        let settings = store::settings(&mut *db).await?;
        let program = store::program(&mut *db, event.id).await?;
        let rows = store::of_event(&mut *db, event.id).await?;
        // An event has many questions besides those to guests.
        let requests = if rows.is_empty() { Vec::new() } else { asks::of_event(&mut *db, event.id).await? };
        let ids: Vec<i64> =
            rows.iter().flat_map(|guest| [Some(guest.person_id), guest.details.responsible]).flatten().collect();
        let people: HashMap<i64, Person> =
            people::some(&mut *db, &ids).await?.into_iter().map(|person| (person.id, person)).collect();
        let mut guests = Vec::new();
        for guest in rows {
            let Some(person) = people.get(&guest.person_id).cloned() else { continue };
            let responsible = guest.details.responsible.and_then(|id| people.get(&id));
            let responsible = responsible.map(|person| (person.id, person.details.name.clone()));
            let invited = |request: &&Request| {
                request.kind == Kind::Guest && request.person_id == person.id && !request.is_withdrawn
            };
            let request = requests.iter().rfind(invited).cloned();
            guests.push(GuestRecord { guest, person, request, responsible });
        }
        Ok(Self { event: event.clone(), settings, program, guests })
    }

    pub fn find(&self, id: i64) -> Option<&GuestRecord> {
        self.guests.iter().find(|known| known.guest.id == id)
    }

    pub fn office(&self, known: &GuestRecord) -> Option<&Office> {
        let id = known.guest.details.office?;
        self.settings.offices.iter().find(|office| office.id == id)
    }

    pub fn sponsor_level(&self, known: &GuestRecord) -> Option<&str> {
        let id = known.guest.details.sponsor_level?;
        self.settings.levels.iter().find(|level| level.id == id).map(|level| level.name.as_str())
    }

    /// Is the burn in the official's own jurisdiction? Set by hand, otherwise decided
    /// from the jurisdiction.
    pub fn is_own(&self, known: &GuestRecord) -> bool {
        known.guest.details.in_own.unwrap_or_else(|| self.is_own_by_rule(known))
    }

    /// The same, decided from the jurisdiction alone.
    pub fn is_own_by_rule(&self, known: &GuestRecord) -> bool {
        let person = &known.person.details;
        let office = self.office(known).map_or(person.office.as_str(), |office| &office.name);
        self.settings.is_ours(office, &person.jurisdiction)
    }

    /// The office if it isn't on the list, with the closest ones that are; none if it is
    /// there, or the guest is not an official.
    pub fn unplaced(&self, known: &GuestRecord) -> Option<Unplaced> {
        let (details, person) = (&known.guest.details, &known.person.details);
        if details.side != Side::Official || self.office(known).is_some() {
            return None;
        }
        let places = match self.settings.find_office(&person.office, &person.jurisdiction) {
            Found::At(place) => vec![place],
            Found::Perhaps(near) => near,
        };
        let nearest = places.into_iter().map(|place| self.settings.offices[place].clone()).collect();
        Some(Unplaced { office: person.office.clone(), nearest })
    }

    fn rank(&self, known: &GuestRecord, on: Date) -> Rank {
        let details = &known.guest.details;
        match details.side {
            Side::Official => {
                let office = self.office(known);
                let place = office.and_then(|office| self.settings.offices.iter().position(|o| o.id == office.id));
                let title = office.map_or(&known.person.details.office, |office| &office.name);
                Rank::Official(precedence::Office {
                    title: lower_first(title).replace("united States", "United States"),
                    place: place.and_then(|place| u16::try_from(place + 1).ok()),
                    is_host: office.is_some_and(|office| office.is_host),
                    before_host: office.is_some_and(|office| office.before_host),
                    in_own: self.is_own(known),
                    since: details.since_day(),
                    is_former: details.is_former,
                    is_deputy: known.deputy(on).is_some(),
                })
            }
            Side::Sponsor => {
                let id = details.sponsor_level;
                let place = self.settings.levels.iter().position(|level| Some(level.id) == id);
                Rank::Sponsor {
                    level: self.sponsor_level(known).unwrap_or_default().to_owned(),
                    place: place.and_then(|place| u16::try_from(place + 1).ok()),
                }
            }
            Side::Partner => Rank::Partner,
        }
    }

    /// Some of the guests in the order they are introduced on a date; `of` is their
    /// index in the snapshot.
    pub fn order(&self, on: Date, who: impl Fn(&GuestRecord) -> bool) -> Vec<Placed> {
        let chosen: Vec<usize> = (0..self.guests.len()).filter(|of| who(&self.guests[*of])).collect();
        let claim = |of: &usize| {
            let known = &self.guests[*of];
            Claim {
                id: known.guest.id,
                name: known.called().to_owned(),
                sorts_as: known.sorts_as(),
                rank: self.rank(known, on),
                by_hand: known.guest.place.clone(),
            }
        };
        let claims: Vec<Claim> = chosen.iter().map(claim).collect();
        let placed = precedence::order(&claims).into_iter();
        placed.map(|placed| Placed { of: chosen[placed.of], ..placed }).collect()
    }
}
