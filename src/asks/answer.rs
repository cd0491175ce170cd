//! An answer to a question about one date, and how it reached us.

use super::hours::Hours;
use crate::named::named;
use crate::web::words;
use time::OffsetDateTime;

named! {
    /// An answer.
    Said, "Choose an answer.", SAID: [
        Yes = "yes",
        No = "no",
        Maybe = "maybe",
        Deputy = "deputy",
    ]
}

impl Said {
    /// The answer as pages say it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Maybe => "maybe",
            Self::Deputy => "sending someone else",
        }
    }
}

named! {
    /// How an answer reached us.
    Way, "Choose how they answered.", WAYS: [
        Link = "link",
        Phone = "phone",
        InPerson = "in person",
        Letter = "letter",
        Mail = "mail",
    ]
}

impl Way {
    /// The ways that someone in the department records.
    pub const BY_HAND: [Self; 4] = [Self::Phone, Self::InPerson, Self::Letter, Self::Mail];

    /// The way, to choose from.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Link => "link",
            Self::Phone => "phone",
            Self::InPerson => "in person",
            Self::Letter => "letter",
            Self::Mail => "email",
        }
    }

    /// The same after a verb: "by phone", "in person".
    #[must_use]
    pub fn how(self) -> &'static str {
        match self {
            Self::Link => "online",
            Self::Phone => "by phone",
            Self::InPerson => "in person",
            Self::Letter => "by letter",
            Self::Mail => "by email",
        }
    }
}

/// One answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    pub said: Said,
    pub deputy: String,
    /// The deputy's title. May be empty.
    pub deputy_title: String,
    /// How to reach the deputy. Either may be empty.
    pub deputy_phone: String,
    pub deputy_mail: String,
    /// None if they didn't say.
    pub wants_to_speak: Option<bool>,
    pub note: String,
    pub access_needs: String,
    pub party: Option<u32>,
    /// When they can be there that day, if they said.
    pub there: Option<Hours>,
    pub way: Way,
    pub evidence: String,
    pub at: OffsetDateTime,
    /// Who recorded it, unless it came by link.
    pub recorded_by: Option<String>,
}

/// An answer as given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    pub said: Said,
    pub deputy: String,
    /// The deputy's title. May be empty.
    pub deputy_title: String,
    /// How to reach the deputy. Either may be empty.
    pub deputy_phone: String,
    pub deputy_mail: String,
    pub wants_to_speak: Option<bool>,
    pub note: String,
    pub access_needs: String,
    pub party: Option<u32>,
    /// When they can be there that day, if they said.
    pub there: Option<Hours>,
    pub way: Way,
    pub evidence: String,
}

impl Given {
    /// A bare answer, to add to.
    #[must_use]
    pub fn of(said: Said, way: Way) -> Self {
        Self {
            said,
            deputy: String::new(),
            deputy_title: String::new(),
            deputy_phone: String::new(),
            deputy_mail: String::new(),
            wants_to_speak: None,
            note: String::new(),
            access_needs: String::new(),
            party: None,
            there: None,
            way,
            evidence: String::new(),
        }
    }
}

/// How a statement stores that someone else is coming, before the name.
pub(super) const STATED_DEPUTY: &str = "sends ";

impl Answer {
    /// What was given, as it will be read back, except for the name of whoever records it.
    pub(super) fn of(given: &Given, at: OffsetDateTime) -> Self {
        let Given { said, way, party, wants_to_speak, there, .. } = *given;
        let Given { deputy, deputy_title, deputy_phone, deputy_mail, note, access_needs, evidence, .. } = given.clone();
        Self {
            said,
            deputy,
            deputy_title,
            deputy_phone,
            deputy_mail,
            wants_to_speak,
            note,
            access_needs,
            party,
            there,
            way,
            evidence,
            at,
            recorded_by: None,
        }
    }

    /// "yes", "sending Ana Ruiz, chief of staff".
    #[must_use]
    pub fn says(&self) -> String {
        if self.said == Said::Deputy { format!("sending {}", self.deputy_says()) } else { self.said.to_string() }
    }

    /// "yes to Sat, Jan 9", "sending Ana Ruiz, chief of staff, on Sat, Jan 9".
    pub(super) fn says_to(&self, day: &str) -> String {
        if self.said == Said::Deputy {
            format!("{}, on {day}", self.says())
        } else {
            format!("{} to {day}", self.says())
        }
    }

    /// The answer as statements store it, where it is compared with later ones.
    pub(super) fn stated(&self) -> String {
        if self.said == Said::Deputy { format!("{STATED_DEPUTY}{}", self.deputy_says()) } else { self.said.to_string() }
    }

    /// "(555) 555-0133, ana@example.org". Empty if neither is known.
    #[must_use]
    pub fn deputy_reached(&self) -> String {
        let parts = [words::phone(&self.deputy_phone), self.deputy_mail.clone()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// "Ana Ruiz, chief of staff".
    #[must_use]
    pub fn deputy_says(&self) -> String {
        let parts = [self.deputy.as_str(), &self.deputy_title];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }
}
