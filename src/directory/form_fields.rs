//! The fields of a person's form, for showing two versions side by side.

use super::form::PersonForm;
use crate::people::Channel;

/// A field of the form.
pub(super) struct FormField {
    pub name: &'static str,
    pub label: &'static str,
    pub of: fn(&PersonForm) -> &String,
}

impl FormField {
    /// The field's value as people read it.
    pub fn shown(&self, value: &str) -> String {
        match value.parse::<Channel>() {
            Ok(channel) if self.name == "channel" => channel.label().to_owned(),
            _ => value.to_owned(),
        }
    }
}

/// All fields, in the form's order.
pub(super) const FORM: [FormField; 13] = [
    FormField { name: "given_name", label: "Given name", of: |form| &form.given_name },
    FormField { name: "surname", label: "Surname", of: |form| &form.surname },
    FormField { name: "address_form", label: "Form of address", of: |form| &form.address_form },
    FormField { name: "said", label: "Pronunciation", of: |form| &form.said },
    FormField { name: "organization", label: "Organization", of: |form| &form.organization },
    FormField { name: "office", label: "Office", of: |form| &form.office },
    FormField { name: "jurisdiction", label: "Jurisdiction", of: |form| &form.jurisdiction },
    FormField { name: "mail", label: "Email", of: |form| &form.mail },
    FormField { name: "phone", label: "Phone", of: |form| &form.phone },
    FormField { name: "channel", label: "Preferred contact", of: |form| &form.channel },
    FormField { name: "notes", label: "Notes", of: |form| &form.notes },
    FormField { name: "access_needs", label: "Access needs", of: |form| &form.access_needs },
    FormField { name: "no_mail", label: "No announcements", of: |form| &form.no_mail },
];
