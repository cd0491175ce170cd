//! Who is responsible for a task, or for something else that is due: the person
//! named, or else whoever has the role. That way each person has one list, whether
//! by name or by role.

use super::Owner;
use crate::accounts::{Holder, User};
use crate::people;
use crate::web::words;

/// Who is responsible for something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Responsible {
    role: Owner,
    /// A person is named, no matter who has the role.
    is_named: bool,
    /// The person named, or else everyone who has the role.
    people: Vec<(i64, String)>,
    says: String,
}

/// A list: one person's, or that of a role no one has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Who {
    /// The person's ID, or the role.
    pub value: String,
    pub name: String,
    /// Says that no one has the role; otherwise empty.
    pub note: &'static str,
}

impl Responsible {
    pub(super) fn of(role: Owner, person: Option<(i64, String)>, holders: &[Holder]) -> Self {
        let is_named = person.is_some();
        let holding = holders.iter().filter(|holder| holder.role.as_str() == role.as_str());
        let people: Vec<(i64, String)> = match person {
            Some(person) => vec![person],
            None => holding.map(|holder| (holder.person_id, holder.name.clone())).collect(),
        };
        let names: Vec<&str> = people.iter().map(|(_, name)| name.as_str()).collect();
        let says = if names.is_empty() { role.to_string() } else { words::and(&names) };
        Self { role, is_named, people, says }
    }

    /// "Priya Okafor", "Priya Okafor and Sam Lee", "burn boss".
    pub(super) fn says(&self) -> &str {
        &self.says
    }

    /// The same where there is little room: "Okafor", "Okafor and Lee", "Okafor and 2
    /// more", "burn boss". A name whose surname isn't sure stays whole.
    pub(super) fn short(&self) -> String {
        let short = |(_, name): &(i64, String)| match people::split(name) {
            (_, "") => name.clone(),
            (_, surname) => surname.to_owned(),
        };
        match self.people.as_slice() {
            [] => self.says.clone(),
            [one] => short(one),
            [one, other] => format!("{} and {}", short(one), short(other)),
            [one, others @ ..] => format!("{} and {} more", short(one), others.len()),
        }
    }

    /// Whom to write to; no one if no one has the role.
    pub fn people(&self) -> impl Iterator<Item = i64> {
        self.people.iter().map(|(id, _)| *id)
    }

    pub(super) fn is_of(&self, user: &User) -> bool {
        self.people().any(|id| id == user.person_id)
    }

    /// Says that no one has the role, to show beside its name; otherwise empty.
    #[must_use]
    pub fn note(&self) -> &'static str {
        match self.role {
            _ if !self.people.is_empty() => "",
            // A whole group is responsible.
            Owner::Volunteers | Owner::WholeCrew => "",
            // No account has one of these roles. A task names a person.
            Owner::Presenter | Owner::FireChief => "no one named yet",
            Owner::EducationOfficer
            | Owner::InformationOfficer
            | Owner::SafetyOfficer
            | Owner::BurnBoss
            | Owner::Timekeeper
            | Owner::CrewLead => "no one has this role yet",
        }
    }

    /// The lists this is on: each person's, or else the role's.
    pub(super) fn lists(&self) -> Vec<Who> {
        if self.people.is_empty() {
            return vec![Who { value: self.role.to_string(), name: self.says.clone(), note: self.note() }];
        }
        let list = |(id, name): &(i64, String)| Who { value: id.to_string(), name: name.clone(), note: "" };
        self.people.iter().map(list).collect()
    }

    pub(super) fn is_on(&self, list: &str) -> bool {
        if self.people.is_empty() {
            return self.role.as_str() == list;
        }
        list.parse().is_ok_and(|wanted: i64| self.people().any(|id| id == wanted))
    }

    /// The list to show for an old link by role, now that someone has that role.
    pub(super) fn list_of_role(&self, role: &str) -> Option<String> {
        let is_it = !self.is_named && self.role.as_str() == role;
        self.people.first().filter(|_| is_it).map(|(id, _)| id.to_string())
    }

    /// The others with the same role, for the list of one of them: "with Sam Lee".
    pub(super) fn with(&self, list: &str) -> String {
        let others = self.people.iter().filter(|(id, _)| id.to_string() != list);
        let names: Vec<&str> = others.map(|(_, name)| name.as_str()).collect();
        if names.is_empty() || names.len() == self.people.len() {
            String::new()
        } else {
            format!("with {}", words::and(&names))
        }
    }
}

#[cfg(test)]
mod tests;
