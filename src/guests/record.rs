//! A guest with everything known about them.

use super::guest::{Guest, Side};
use super::status::GuestStatus;
use crate::asks::{Answer, Request, Said};
use crate::people::{Person, fold};
use crate::web::words;
use time::Date;

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
    pub fn sorts_as(&self) -> String {
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

/// "mayor", from "Mayor".
pub(super) fn lower_first(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}
