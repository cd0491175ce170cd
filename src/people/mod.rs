//! Everyone the department knows, each of them once.

mod before_sending;
pub mod choosing;
mod fold;
mod history;
mod names;
mod store;

use crate::named::named;

pub use crate::calc::letters::fold;
pub use before_sending::against_sending;
pub use fold::{phone_digits, search_words};
pub use history::HISTORY;
pub use names::{agreed, sort_key, split, without_suffix};
pub use store::{
    Merge, MergeUndo, Row, add, add_all, by_name, change, erased, everyone, fill_search, find, forget, list, look_up,
    merge, merged_into, named, note_mail, organizations, refuse, remove_all, rename, same_as, separate, some,
    unsubscribe, words_of,
};

named! {
    /// How someone prefers to be contacted.
    Channel, "Choose email, phone, letter, or in person.", CHANNELS: [
        Mail = "mail",
        Phone = "phone",
        Letter = "letter",
        InPerson = "in person",
    ]
}

impl Channel {
    /// As people read it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Mail => "email",
            Self::Phone => "phone",
            Self::Letter => "letter",
            Self::InPerson => "in person",
        }
    }
}

/// A number and a name, for lists to choose from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Name {
    pub id: i64,
    pub name: String,
}

/// What is known about someone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    /// The full name, as it is shown: "Ray Ortiz".
    pub name: String,
    /// The end of the name, or all of it; empty if it isn't known or there is none.
    pub surname: String,
    /// What they asked to be called in letters, such as "Mr."; empty if they didn't.
    pub address_form: String,
    /// How to pronounce the name.
    pub said: String,
    /// The organization's name; may be empty.
    pub organization: String,
    /// An official's office, such as mayor.
    pub office: String,
    /// What the office covers, such as a city.
    pub jurisdiction: String,
    pub mail: String,
    pub phone: String,
    pub channel: Channel,
    pub notes: String,
    pub access_needs: String,
    /// Doesn't want announcements.
    pub no_mail: bool,
}

impl Details {
    /// Someone of whom only the name is known, with the surname if it is sure.
    #[must_use]
    pub fn of_name(name: &str) -> Self {
        let (given, surname) = split(name);
        Self::of_parts(given, surname)
    }

    fn nobody() -> Self {
        Self {
            name: String::new(),
            surname: String::new(),
            address_form: String::new(),
            said: String::new(),
            organization: String::new(),
            office: String::new(),
            jurisdiction: String::new(),
            mail: String::new(),
            phone: String::new(),
            channel: Channel::Mail,
            notes: String::new(),
            access_needs: String::new(),
            no_mail: false,
        }
    }
}

impl Details {
    /// The text that a search goes through. Lists are in its order, so it begins with the
    /// name as it is sorted.
    #[must_use]
    pub fn search(&self) -> String {
        let Self { said, organization, office, jurisdiction, mail, phone, .. } = self;
        let plain: String = phone.chars().filter(char::is_ascii_digit).collect();
        let rest = [said, organization, office, jurisdiction, mail, phone, &plain].map(String::as_str).join("\n");
        format!("{}\n{}", self.sorts_as(), fold(&rest))
    }
}

/// Someone the department knows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    pub id: i64,
    pub details: Details,
    /// What an email server said when it refused their address; empty if none did.
    pub refused: String,
    pub version: i64,
}

impl Person {
    /// Can email reach this person, as far as we know?
    #[must_use]
    pub fn has_mail(&self) -> bool {
        !self.details.mail.is_empty() && self.refused.is_empty()
    }

    /// Sorts people like a list: by surname, and two of the same name by number.
    #[must_use]
    pub fn listing(&self) -> (String, i64) {
        (self.details.sorts_as(), self.id)
    }

    /// "Commissioner, Alder County · Alder Bend Hardware"; may be empty.
    #[must_use]
    pub fn place(&self) -> String {
        let Details { organization, office, jurisdiction, .. } = &self.details;
        let post = [office.as_str(), jurisdiction.as_str()].into_iter().filter(|part| !part.is_empty());
        let post = post.collect::<Vec<_>>().join(", ");
        [post.as_str(), organization.as_str()]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(" · ")
    }
}
