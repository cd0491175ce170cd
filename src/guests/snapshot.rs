//! Everything about the guests of one event, loaded once, and what follows from it.

use super::list::GuestSettings;
use super::{Guest, Office, Program, Side, store};
use crate::asks::{self, Answer, Kind, Request, Said};
use crate::calc::offices::Found;
use crate::calc::precedence::{self, Claim, Placed, Rank};
use crate::error::Result;
use crate::events::Event;
use crate::people::{self, Person, fold};
use crate::web::words;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::Date;

/// Whether a guest is coming on one date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum GuestStatus {
    Comes,
    SendsDeputy,
    Maybe,
    /// Asked, with no answer yet.
    Waiting,
    NotAsked,
    StaysAway,
}

impl GuestStatus {
    /// By how much there is to do about them.
    pub const ALL: [Self; 6] =
        [Self::NotAsked, Self::Waiting, Self::Maybe, Self::Comes, Self::SendsDeputy, Self::StaysAway];

    #[must_use]
    pub fn says(self) -> &'static str {
        match self {
            Self::Comes => "Coming",
            Self::SendsDeputy => "Sending a deputy",
            Self::Maybe => "Maybe",
            Self::Waiting => "Waiting for a reply",
            Self::NotAsked => "Not asked yet",
            Self::StaysAway => "Not coming",
        }
    }

    /// Its name in `data-` marks, which stays the same when the wording of pages changes.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Comes => "comes",
            Self::SendsDeputy => "sends a deputy",
            Self::Maybe => "maybe",
            Self::Waiting => "waiting",
            Self::NotAsked => "not asked",
            Self::StaysAway => "stays away",
        }
    }

    /// The icon in front of it: see the macro.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Self::Comes | Self::SendsDeputy => "done",
            Self::Maybe => "risk",
            Self::Waiting => "waiting",
            Self::NotAsked => "todo",
            Self::StaysAway => "dropped",
        }
    }

    #[must_use]
    pub fn is_expected(self) -> bool {
        matches!(self, Self::Comes | Self::SendsDeputy)
    }
}

/// A guest with everything known about them.
#[derive(Debug, Clone)]
pub(super) struct GuestRecord {
    pub guest: Guest,
    pub person: Person,
    /// The newest invitation that wasn't withdrawn.
    pub request: Option<Request>,
    /// Who is responsible for getting an answer from this office.
    pub responsible: Option<(i64, String)>,
}

/// An official whose office isn't on the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unplaced {
    /// As written in the contact record; may be empty.
    pub office: String,
    pub nearest: Vec<Office>,
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

/// What is known about a guest on burn day, for the thank-you letters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attending {
    pub guest_id: i64,
    pub person_id: i64,
    pub side: Side,
    /// With what goes before it: "The Honorable Marguerite Vance".
    pub name: String,
    /// Pronunciation; may be empty.
    pub said: String,
    /// "Mayor, City of Alder Bend", or the organization.
    pub office: String,
    /// The deputy's name and title.
    pub deputy: Option<(String, String)>,
    /// Here on burn day or not; none before anyone checked.
    pub is_here: Option<bool>,
    /// The answer for burn day.
    pub status: GuestStatus,
}

impl Attending {
    /// Here, or expected and not marked absent.
    #[must_use]
    pub fn is_counted_on(&self) -> bool {
        self.is_here.unwrap_or(self.status.is_expected())
    }
}

/// All guests of an event, in the order they would be introduced.
///
/// # Errors
/// The store's.
pub async fn attending(db: &mut SqliteConnection, event: &Event) -> Result<Vec<Attending>> {
    let snapshot = GuestSnapshot::load(db, event).await?;
    let on = event.details.burn_on;
    let one = |placed: Placed| {
        let known = &snapshot.guests[placed.of];
        Attending {
            guest_id: known.guest.id,
            person_id: known.person.id,
            side: known.guest.details.side,
            name: known.addressed(),
            said: known.person.details.said.clone(),
            office: known.place(),
            deputy: known.deputy(on),
            is_here: known.guest.day(on).and_then(|day| day.is_here),
            status: known.status(on),
        }
    };
    Ok(snapshot.order(on, |_| true).into_iter().map(one).collect())
}

impl GuestRecord {
    /// The answer that counts for a date.
    pub fn answer(&self, on: Date) -> Option<&Answer> {
        self.request.as_ref()?.stands_for(on)
    }

    pub fn status(&self, on: Date) -> GuestStatus {
        let asked = self.request.as_ref().is_some_and(|request| request.live().any(|ask| ask.for_on == on));
        if self.guest.day(on).is_some_and(|day| !day.deputy.is_empty()) {
            return GuestStatus::SendsDeputy;
        }
        match self.answer(on).map(|answer| answer.said) {
            Some(Said::Yes) => GuestStatus::Comes,
            Some(Said::Deputy) => GuestStatus::SendsDeputy,
            Some(Said::Maybe) => GuestStatus::Maybe,
            Some(Said::No) => GuestStatus::StaysAway,
            None if asked => GuestStatus::Waiting,
            None => GuestStatus::NotAsked,
        }
    }

    /// The deputy's name and title: as given at the door, otherwise as answered.
    pub fn deputy(&self, on: Date) -> Option<(String, String)> {
        let day = self.guest.day(on).filter(|day| !day.deputy.is_empty());
        if let Some(day) = day {
            return Some((day.deputy.clone(), day.deputy_title.clone()));
        }
        let answer = self.answer(on).filter(|answer| answer.said == Said::Deputy)?;
        Some((answer.deputy.clone(), answer.deputy_title.clone()))
    }

    /// How to reach the deputy: "555-0133, nell@example.org".
    pub fn deputy_reached(&self, on: Date) -> String {
        let day = self.guest.day(on).filter(|day| !day.deputy.is_empty());
        if let Some(day) = day {
            let phone = words::phone(&day.deputy_phone);
            let parts = [phone.as_str(), &day.deputy_mail];
            return parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
        }
        let answer = self.answer(on).filter(|answer| answer.said == Said::Deputy);
        answer.map(Answer::deputy_reached).unwrap_or_default()
    }

    /// Expected: coming or sending a deputy and not marked absent, or here without
    /// having replied.
    pub fn is_counted_on(&self, on: Date) -> bool {
        match self.guest.day(on).and_then(|day| day.is_here) {
            Some(here) => here,
            None => self.status(on).is_expected(),
        }
    }

    /// "The Honorable Marguerite Vance".
    pub fn addressed(&self) -> String {
        let parts = [self.guest.details.address.as_str(), self.person.details.name.as_str()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }

    /// The name used in public: a sponsor's is its organization.
    pub fn called(&self) -> &str {
        let details = &self.person.details;
        let is_body = self.guest.details.side != Side::Official && !details.organization.is_empty();
        if is_body { &details.organization } else { &details.name }
    }

    /// What it is sorted by in alphabetical order: a person's surname, or the organization.
    fn sorts_as(&self) -> String {
        let details = &self.person.details;
        if self.called() == details.name { details.sorts_as() } else { fold(self.called()) }
    }

    /// "Mayor, City of Alder Bend".
    pub fn place(&self) -> String {
        let place = self.person.place();
        if self.guest.details.is_former && !place.is_empty() {
            format!("Former {}", lower_first(&place))
        } else {
            place
        }
    }
}

fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

impl GuestSnapshot {
    /// # Errors
    /// The store's.
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
