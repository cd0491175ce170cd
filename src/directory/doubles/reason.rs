//! What speaks for two rows being the same person.

/// A sign that two rows are the same person, or that they aren't.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    SameMail,
    SamePhone,
    SameName,
    NamesAlike,
    SameOrganization,
    SameOffice,
    DifferentNames,
}

impl Reason {
    /// The word in a page's `data-` mark.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::SameMail => "same-mail",
            Self::SamePhone => "same-phone",
            Self::SameName => "same-name",
            Self::NamesAlike => "names-alike",
            Self::SameOrganization => "same-organization",
            Self::SameOffice => "same-office",
            Self::DifferentNames => "different-names",
        }
    }

    /// The reason as people read it.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::SameMail => "same email",
            Self::SamePhone => "same phone",
            Self::SameName => "same name",
            Self::NamesAlike => "similar names",
            Self::SameOrganization => "same organization",
            Self::SameOffice => "same office",
            Self::DifferentNames => "different names",
        }
    }
}
