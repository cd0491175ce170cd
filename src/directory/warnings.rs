//! What to know before contacting someone.

use crate::people::{Channel, Person};

/// Something to know before contacting someone.
#[derive(Debug, Clone, Copy)]
enum Warning {
    Refused,
    NoMail,
    NoPhone,
    NoAnnouncements,
}

impl Warning {
    fn as_str(self) -> &'static str {
        match self {
            Self::Refused => "refused",
            Self::NoMail => "no-mail",
            Self::NoPhone => "no-phone",
            Self::NoAnnouncements => "no-announcements",
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::Refused => "email address doesn't work",
            Self::NoMail => "no email address",
            Self::NoPhone => "no phone number",
            Self::NoAnnouncements => "doesn't want announcements",
        }
    }
}

/// All warnings about someone; usually none.
#[derive(Debug)]
pub(super) struct Warnings(Vec<Warning>);

impl Warnings {
    pub fn of(person: &Person) -> Self {
        let details = &person.details;
        let mut all = Vec::new();
        if !person.refused.is_empty() {
            all.push(Warning::Refused);
        } else if details.channel == Channel::Mail && details.mail.is_empty() {
            all.push(Warning::NoMail);
        } else if details.channel == Channel::Phone && details.phone.is_empty() {
            all.push(Warning::NoPhone);
        }
        if details.no_mail {
            all.push(Warning::NoAnnouncements);
        }
        Self(all)
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// For a `data-` mark.
    pub fn marks(&self) -> String {
        self.0.iter().map(|one| one.as_str()).collect::<Vec<_>>().join(" ")
    }

    pub fn says(&self) -> String {
        self.0.iter().map(|one| one.says()).collect::<Vec<_>>().join(", ")
    }
}
