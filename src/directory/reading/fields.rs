//! What a column can hold, and what its heading tells of it.

use crate::named::named;
use crate::people::fold;

named! {
    /// What a column of a file is for.
    Field, "Choose what the column is.", FIELDS: [
        Name = "name",
        FirstName = "first name",
        LastName = "last name",
        Said = "said aloud",
        Organisation = "organisation",
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
    /// What the form calls it, and so its mistakes.
    pub(super) fn key(self) -> &'static str {
        match self {
            Self::Name | Self::FirstName | Self::LastName => "name",
            Self::Said => "said",
            Self::Organisation => "organisation",
            Self::Office => "office",
            Self::Jurisdiction => "jurisdiction",
            Self::Mail => "mail",
            Self::Phone => "phone",
            Self::Channel => "channel",
            Self::Notes => "notes",
            Self::AccessNeeds => "access_needs",
            Self::NoAnnouncements => "no_mail",
        }
    }
}

/// The headings that people and their programs write over a field.
const HEADINGS: [(Field, &[&str]); 13] = [
    (
        Field::Name,
        &[
            "name",
            "fullname",
            "displayname",
            "person",
            "contact",
            "contactname",
            "fn",
            "nameandsurname",
            "who",
            "guest",
        ],
    ),
    (Field::FirstName, &["firstname", "givenname", "forename", "first", "given", "vorname", "prenom", "nombre"]),
    (Field::LastName, &["lastname", "surname", "familyname", "last", "family", "nachname", "apellido", "apellidos"]),
    (Field::Said, &["saidaloud", "pronunciation", "phonetic", "phoneticname", "sayit", "nameaspronounced"]),
    (
        Field::Organisation,
        &[
            "organisation",
            "organization",
            "organisationname",
            "organizationname",
            "organization1name",
            "company",
            "companyname",
            "employer",
            "agency",
            "outlet",
            "firm",
            "org",
            "affiliation",
            "business",
        ],
    ),
    (Field::Office, &["office", "title", "jobtitle", "position", "post", "role", "organization1title", "function"]),
    (Field::Jurisdiction, &["jurisdiction", "district", "county", "city", "town", "constituency", "area"]),
    (
        Field::Mail,
        &[
            "mail",
            "email",
            "emailaddress",
            "mailaddress",
            "email1",
            "email1value",
            "eaddress",
            "primaryemail",
            "correo",
        ],
    ),
    (
        Field::Phone,
        &[
            "phone",
            "telephone",
            "tel",
            "phonenumber",
            "telephonenumber",
            "mobile",
            "mobilephone",
            "cell",
            "cellphone",
            "businessphone",
            "phone1value",
            "primaryphone",
            "telefon",
            "telefono",
        ],
    ),
    (Field::Channel, &["reachedby", "channel", "preferredcontact", "contactby", "contactmethod", "howtoreach"]),
    (Field::Notes, &["notes", "note", "comment", "comments", "remarks", "remark"]),
    (Field::AccessNeeds, &["accessneeds", "accessibility", "access", "accommodations", "specialneeds"]),
    (Field::NoAnnouncements, &["noannouncements", "nomail", "noemail", "unsubscribed", "optout", "donotmail"]),
];

/// What a heading says of its column.
#[must_use]
pub fn guess(heading: &str) -> Option<Field> {
    let plain: String = fold(heading).chars().filter(|letter| letter.is_alphanumeric()).collect();
    HEADINGS.into_iter().find(|(_, known)| known.contains(&plain.as_str())).map(|(field, _)| field)
}

/// The same for all columns; the first of two that say the same has it.
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
            ("Job Title", Field::Office),
            ("COMPANY", Field::Organisation),
            ("Mobile phone", Field::Phone),
            ("Reached by", Field::Channel),
        ] {
            assert_eq!(guess(heading), Some(field), "{heading}");
        }
        assert_eq!(guess("Birthday"), None);
        assert_eq!(guess(""), None);
    }

    #[test]
    fn each_field_is_known_by_its_own_name() {
        for field in Field::ALL {
            assert_eq!(guess(field.as_str()), Some(field));
        }
    }

    #[test]
    fn no_field_is_guessed_twice() {
        let header = ["Mail", "E-mail", "Name"].map(str::to_owned);
        assert_eq!(guess_all(&header), [Some(Field::Mail), None, Some(Field::Name)]);
    }
}
