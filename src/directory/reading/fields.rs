//! What a column of a file can be, and what its heading says.

use crate::named::named;
use crate::people::fold;

named! {
    /// What a column of a file is.
    Field, "Choose what this column is.", FIELDS: [
        Name = "name",
        FirstName = "first name",
        LastName = "last name",
        AddressForm = "form of address",
        Said = "said aloud",
        Organization = "organization",
        Office = "office",
        Jurisdiction = "jurisdiction",
        Mail = "mail",
        Phone = "phone",
        Channel = "reached by",
        Notes = "notes",
        AccessNeeds = "access needs",
        NoAnnouncements = "no announcements",
    ]
}

impl Field {
    /// As people read it.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::FirstName => "given name",
            Self::LastName => "surname",
            Self::Said => "pronunciation",
            Self::Organization => "organization",
            Self::Mail => "email",
            Self::Channel => "preferred contact",
            Self::Name
            | Self::AddressForm
            | Self::Office
            | Self::Jurisdiction
            | Self::Phone
            | Self::Notes
            | Self::AccessNeeds
            | Self::NoAnnouncements => self.as_str(),
        }
    }

    /// The names of the form's fields that it fills, which are also the keys of their
    /// mistakes.
    pub(super) fn keys(self) -> &'static [&'static str] {
        match self {
            Self::Name => &["given_name", "surname"],
            Self::FirstName => &["given_name"],
            // Someone may have only this one.
            Self::LastName => &["surname", "given_name"],
            Self::AddressForm => &["address_form"],
            Self::Said => &["said"],
            Self::Organization => &["organization"],
            Self::Office => &["office"],
            Self::Jurisdiction => &["jurisdiction"],
            Self::Mail => &["mail"],
            Self::Phone => &["phone"],
            Self::Channel => &["channel"],
            Self::Notes => &["notes"],
            Self::AccessNeeds => &["access_needs"],
            Self::NoAnnouncements => &["no_mail"],
        }
    }
}

/// The headings that people and programs use for a field.
pub const HEADINGS: [(Field, &[&str]); 14] = [
    (
        Field::Name,
        &[
            "Name",
            "Full name",
            "Display name",
            "Person",
            "Contact",
            "Contact name",
            "FN",
            "Name and surname",
            "Who",
            "Guest",
        ],
    ),
    (
        Field::FirstName,
        &[
            "Given name",
            "First name",
            "Given names",
            "First names",
            "Forename",
            "First",
            "Given",
            "Vorname",
            "Prénom",
            "Nombre",
        ],
    ),
    (
        Field::LastName,
        &[
            "Surname",
            "Last name",
            "Family name",
            "Last names",
            "Surnames",
            "Last",
            "Family",
            "Nachname",
            "Apellido",
            "Apellidos",
        ],
    ),
    (
        Field::AddressForm,
        &["Form of address", "Name prefix", "Prefix", "Honorific prefix", "Honorific", "Salutation", "Courtesy title"],
    ),
    (Field::Said, &["Pronunciation", "Said aloud", "Phonetic", "Phonetic name", "Say it", "Name as pronounced"]),
    (
        Field::Organization,
        &[
            "Organization",
            "Organisation",
            "Organization name",
            "Organisation name",
            "Organization 1 Name",
            "Company",
            "Company name",
            "Employer",
            "Agency",
            "Outlet",
            "Firm",
            "Org",
            "Affiliation",
            "Business",
        ],
    ),
    (Field::Office, &["Office", "Title", "Job title", "Position", "Post", "Role", "Organization 1 Title", "Function"]),
    (Field::Jurisdiction, &["Jurisdiction", "District", "County", "City", "Town", "Constituency", "Area"]),
    (
        Field::Mail,
        &[
            "Email",
            "Mail",
            "Email address",
            "Mail address",
            "E-mail 1",
            "E-mail 1 Value",
            "E-address",
            "Primary email",
            "Correo",
        ],
    ),
    (
        Field::Phone,
        &[
            "Phone",
            "Telephone",
            "Tel",
            "Phone number",
            "Telephone number",
            "Mobile",
            "Mobile phone",
            "Cell",
            "Cell phone",
            "Business phone",
            "Phone 1 Value",
            "Primary phone",
            "Telefon",
            "Teléfono",
        ],
    ),
    (Field::Channel, &["Reached by", "Channel", "Preferred contact", "Contact by", "Contact method", "How to reach"]),
    (Field::Notes, &["Notes", "Note", "Comment", "Comments", "Remarks", "Remark"]),
    (Field::AccessNeeds, &["Access needs", "Accessibility", "Access", "Accommodations", "Special needs"]),
    (Field::NoAnnouncements, &["No announcements", "No mail", "No email", "Unsubscribed", "Opt out", "Do not mail"]),
];

/// A heading without spaces, accents, and capitals.
fn plain(heading: &str) -> String {
    fold(heading).chars().filter(|letter| letter.is_alphanumeric()).collect()
}

/// The field a heading stands for.
#[must_use]
pub fn guess(heading: &str) -> Option<Field> {
    let heading = plain(heading);
    let is_known = |known: &&[&str]| known.iter().any(|name| plain(name) == heading);
    HEADINGS.into_iter().find(|(_, known)| is_known(known)).map(|(field, _)| field)
}

/// The same for all columns. If two have the same field, the first gets it.
pub(super) fn guess_all(header: &[String]) -> Vec<Option<Field>> {
    let mut fields: Vec<Option<Field>> = Vec::with_capacity(header.len());
    for heading in header {
        let field = guess(heading).filter(|field| !fields.contains(&Some(*field)));
        fields.push(field);
    }
    fields
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_are_known_by_many_names() {
        for (heading, field) in [
            ("E-Mail Address", Field::Mail),
            ("e-mail", Field::Mail),
            ("Prénom", Field::FirstName),
            ("given_name", Field::FirstName),
            ("LastName", Field::LastName),
            ("SURNAME", Field::LastName),
            ("Name Prefix", Field::AddressForm),
            ("Job Title", Field::Office),
            ("COMPANY", Field::Organization),
            ("Mobile phone", Field::Phone),
            ("Reached by", Field::Channel),
        ] {
            assert_eq!(guess(heading), Some(field), "{heading}");
        }
        assert_eq!(guess("Birthday"), None);
        assert_eq!(guess(""), None);
    }

    #[test]
    fn every_listed_name_is_known() {
        for (field, names) in HEADINGS {
            for name in names {
                assert_eq!(guess(name), Some(field), "{name}");
            }
        }
        assert!(Field::ALL.iter().all(|field| HEADINGS.iter().any(|(listed, _)| listed == field)));
    }

    #[test]
    fn every_field_is_known_by_its_own_name_and_label() {
        for field in Field::ALL {
            assert_eq!(guess(field.as_str()), Some(field));
            assert_eq!(guess(field.label()), Some(field));
        }
    }

    #[test]
    fn no_field_is_guessed_twice() {
        let header = ["Mail", "E-mail", "Name"].map(str::to_owned);
        assert_eq!(guess_all(&header), [Some(Field::Mail), None, Some(Field::Name)]);
    }
}
