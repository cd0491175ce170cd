//! Who reads a letter.

use super::{Owed, Whom};
use crate::asks::greeted;
use crate::people::{Channel, Details, Person};

/// The parts of a letter that depend on the reader.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reader {
    pub whom: Whom,
    /// The name in lists and on an envelope.
    pub name: String,
    /// What lists are sorted by.
    pub sorts_as: String,
    pub hello: String,
    /// How a letter on paper begins.
    pub dear: String,
    /// Holds an office, so that an email to them is a formal letter too.
    pub is_official: bool,
    /// Lines of an address on paper.
    pub address: Vec<String>,
    /// The person's email; empty if there is none, and for a deputy, whose address is
    /// unknown.
    pub mail: String,
    /// Prefers letters on paper.
    pub likes_paper: bool,
}

impl Reader {
    pub fn of(owed: &Owed, person: &Person) -> Self {
        let details = &person.details;
        let filled = |lines: Vec<String>| lines.into_iter().filter(|line| !line.is_empty()).collect();
        if owed.whom.is_deputy {
            let office = [details.name.as_str(), details.office.as_str()].into_iter().filter(|part| !part.is_empty());
            let office = format!("Office of {}", office.collect::<Vec<_>>().join(", "));
            return Self {
                whom: owed.whom,
                name: owed.deputy.says(),
                sorts_as: Details::of_name(&owed.deputy.name).sorts_as(),
                hello: owed.deputy.name.clone(),
                dear: format!("Dear {}:", owed.deputy.name),
                is_official: false,
                address: filled(vec![owed.deputy.says(), office, details.organization.clone()]),
                mail: String::new(),
                likes_paper: false,
            };
        }
        let post = [details.office.as_str(), details.jurisdiction.as_str()].into_iter().filter(|part| !part.is_empty());
        let post = post.collect::<Vec<_>>().join(", ");
        Self {
            whom: owed.whom,
            name: details.name.clone(),
            sorts_as: details.sorts_as(),
            hello: greeted(person).to_owned(),
            dear: details.salutation(),
            is_official: !details.office.is_empty(),
            address: filled(vec![details.in_full(), post, details.organization.clone()]),
            mail: if person.has_mail() { details.mail.clone() } else { String::new() },
            likes_paper: details.channel == Channel::Letter,
        }
    }

    /// Is their letter printed?
    pub fn on_paper(&self) -> bool {
        self.mail.is_empty() || self.likes_paper
    }
}
