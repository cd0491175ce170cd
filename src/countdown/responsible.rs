//! Who answers for a task, or for something else that is due: the person who is
//! named, else whoever holds the role. So somebody has one list, whether by name
//! or by role.

use super::Owner;
use crate::accounts::{Holder, User};

/// Whoever answers for something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Responsible {
    role: Owner,
    /// A person is named, whoever holds the role.
    is_named: bool,
    /// The person who is named, else those who hold the role.
    people: Vec<(i64, String)>,
    says: String,
}

/// Somebody's list: a person's, or that of a role which nobody holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Who {
    /// The person's number, or the role.
    pub value: String,
    pub name: String,
    /// That nobody holds the role; else empty.
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
        let says = if names.is_empty() { role.to_string() } else { and(&names) };
        Self { role, is_named, people, says }
    }

    /// "Priya Okafor", "Priya Okafor and Sam Lee", "burn boss".
    pub(super) fn says(&self) -> &str {
        &self.says
    }

    /// Whom to write to; nobody if nobody holds the role.
    pub fn people(&self) -> impl Iterator<Item = i64> {
        self.people.iter().map(|(id, _)| *id)
    }

    pub(super) fn is_of(&self, user: &User) -> bool {
        self.people().any(|id| id == user.person_id)
    }

    /// That nobody holds the role, to say beside its name; else empty.
    #[must_use]
    pub fn note(&self) -> &'static str {
        match self.role {
            _ if !self.people.is_empty() => "",
            // Everybody of a group answers for it.
            Owner::Volunteers | Owner::WholeCrew => "",
            // No account has one of these roles: a task names a person.
            Owner::BurnBoss | Owner::Presenter | Owner::FireChief => "nobody is named for this role yet",
            Owner::EducationOfficer
            | Owner::InformationOfficer
            | Owner::SafetyOfficer
            | Owner::Timekeeper
            | Owner::CrewLead => "nobody holds this role yet",
        }
    }

    /// The lists it is on: of each person, else of the role.
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

    /// The list on which somebody finds what they looked for by a role that is
    /// held by now.
    pub(super) fn list_of_role(&self, role: &str) -> Option<String> {
        let is_it = !self.is_named && self.role.as_str() == role;
        self.people.first().filter(|_| is_it).map(|(id, _)| id.to_string())
    }

    /// The others who hold the same role, on the list of one: "with Sam Lee".
    pub(super) fn with(&self, list: &str) -> String {
        let others = self.people.iter().filter(|(id, _)| id.to_string() != list);
        let names: Vec<&str> = others.map(|(_, name)| name.as_str()).collect();
        if names.is_empty() || names.len() == self.people.len() {
            String::new()
        } else {
            format!("with {}", and(&names))
        }
    }
}

/// "Priya Okafor", "Priya Okafor and Sam Lee", "Ana, Ben and Cy".
fn and(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::accounts::Role;

    fn holder(role: Role, person_id: i64, name: &str) -> Holder {
        Holder { role, person_id, name: name.to_owned() }
    }

    #[test]
    fn a_role_is_its_holders_list_and_a_name_goes_before_it() {
        let holders = [
            holder(Role::EducationOfficer, 1, "Priya Okafor"),
            holder(Role::EducationOfficer, 2, "Sam Lee"),
            holder(Role::SafetyOfficer, 3, "Rosa Tran"),
        ];
        let both = Responsible::of(Owner::EducationOfficer, None, &holders);
        assert_eq!(both.says(), "Priya Okafor and Sam Lee");
        assert!(both.is_on("1") && both.is_on("2") && !both.is_on("3") && !both.is_on("education officer"));
        assert_eq!(both.with("1"), "with Sam Lee");
        assert_eq!(both.list_of_role("education officer").as_deref(), Some("1"));
        let named = Responsible::of(Owner::EducationOfficer, Some((9, "Marcus Vale".to_owned())), &holders);
        assert!(named.is_on("9") && !named.is_on("1"));
        assert_eq!((named.says(), named.with("9").as_str()), ("Marcus Vale", ""));
        assert_eq!(named.list_of_role("education officer"), None);
    }

    #[test]
    fn a_role_that_nobody_holds_says_so_and_a_group_does_not() {
        let nobody = Responsible::of(Owner::SafetyOfficer, None, &[]);
        assert!(nobody.is_on("safety officer") && !nobody.is_on(""));
        assert_eq!((nobody.says(), nobody.note()), ("safety officer", "nobody holds this role yet"));
        assert_eq!(Responsible::of(Owner::BurnBoss, None, &[]).note(), "nobody is named for this role yet");
        assert_eq!(Responsible::of(Owner::WholeCrew, None, &[]).note(), "");
    }
}
