//! What to keep of two rows: the fields that differ, and the choice between them.

use crate::directory::form::PersonForm;
use crate::directory::form_fields::{FORM, FormField};
use crate::people::{Details, Person};
use serde::Deserialize;

/// A field that differs.
pub(super) struct FieldLine {
    pub name: &'static str,
    pub label: &'static str,
    pub one: String,
    pub other: String,
    /// The one chosen at first: "one" or "other".
    pub chosen: &'static str,
}

/// The fields that differ, and those that are the same in both.
pub(super) fn compared(one: &Person, other: &Person) -> (Vec<FieldLine>, Vec<(&'static str, String)>) {
    let (mut fields, mut same) = (Vec::new(), Vec::new());
    match name_line(&one.details, &other.details) {
        Some(line) => fields.push(line),
        None => same.push(("Name", one.details.name.clone())),
    }
    let (a, b) = (PersonForm::of(&one.details, 0), PersonForm::of(&other.details, 0));
    for field in FORM.into_iter().filter(|field| !is_in_name(field)) {
        let (a, b) = ((field.of)(&a), (field.of)(&b));
        if a != b {
            let chosen = if a.is_empty() { "other" } else { "one" };
            let (one, other) = (field.shown(a), field.shown(b));
            fields.push(FieldLine { name: field.name, label: field.label, one, other, chosen });
        } else if !a.is_empty() {
            same.push((field.label, field.shown(a)));
        }
    }
    (fields, same)
}

/// The parts of a name stay together.
fn is_in_name(field: &FormField) -> bool {
    matches!(field.name, "given_name" | "surname")
}

/// The two names, with the surname of each if it is known. None if they are the same.
fn name_line(one: &Details, other: &Details) -> Option<FieldLine> {
    if (&one.name, &one.surname) == (&other.name, &other.surname) {
        return None;
    }
    let shown = |details: &Details| match details.surname.as_str() {
        "" => details.name.clone(),
        surname => format!("{} (surname: {surname})", details.name),
    };
    let chosen = if one.lacks_surname() && !other.surname.is_empty() { "other" } else { "one" };
    Some(FieldLine { name: "name", label: "Name", one: shown(one), other: shown(other), chosen })
}

/// "one" or "other" for each field that differs.
#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct MergeForm {
    pub with: i64,
    pub version: i64,
    pub with_version: i64,
    name: String,
    address_form: String,
    said: String,
    organization: String,
    office: String,
    jurisdiction: String,
    mail: String,
    phone: String,
    channel: String,
    notes: String,
    access_needs: String,
    no_mail: String,
}

impl MergeForm {
    /// What the row that stays becomes.
    pub fn details(&self, one: &Person, other: &Person) -> Details {
        let (a, b) = (one.details.clone(), other.details.clone());
        let text = |choice: &str, a: String, b: String| if choice == "other" { b } else { a };
        Details {
            name: text(&self.name, a.name, b.name),
            surname: text(&self.name, a.surname, b.surname),
            address_form: text(&self.address_form, a.address_form, b.address_form),
            said: text(&self.said, a.said, b.said),
            organization: text(&self.organization, a.organization, b.organization),
            office: text(&self.office, a.office, b.office),
            jurisdiction: text(&self.jurisdiction, a.jurisdiction, b.jurisdiction),
            mail: text(&self.mail, a.mail, b.mail),
            phone: text(&self.phone, a.phone, b.phone),
            channel: if self.channel == "other" { b.channel } else { a.channel },
            notes: text(&self.notes, a.notes, b.notes),
            access_needs: text(&self.access_needs, a.access_needs, b.access_needs),
            no_mail: if self.no_mail == "other" { b.no_mail } else { a.no_mail },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn person(id: i64, given: &str, surname: &str) -> Person {
        Person { id, details: Details::of_parts(given, surname), refused: String::new(), version: 1 }
    }

    #[test]
    fn the_parts_of_a_name_are_chosen_together() {
        let (whole, parts) = (person(1, "Maria de la Cruz", ""), person(2, "Maria", "de la Cruz"));
        let (fields, same) = compared(&whole, &parts);
        assert!(same.iter().all(|(label, _)| *label != "Name"), "the surname differs");
        assert_eq!((fields.len(), fields[0].name, fields[0].chosen), (1, "name", "other"), "the one that says more");
        let chosen = MergeForm { name: "other".to_owned(), ..MergeForm::default() }.details(&whole, &parts);
        assert_eq!((chosen.name.as_str(), chosen.surname.as_str()), ("Maria de la Cruz", "de la Cruz"));
        let kept = MergeForm::default().details(&whole, &parts);
        assert_eq!((kept.name.as_str(), kept.surname.as_str()), ("Maria de la Cruz", ""));
        assert_eq!(compared(&parts, &parts).1[0], ("Name", "Maria de la Cruz".to_owned()));
    }
}
