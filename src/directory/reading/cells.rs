//! A row as the form would send it.

use super::fields::Field;
use crate::directory::export::harmless_undone;
use crate::directory::form::PersonForm;
use crate::people::agreed;
use csv::StringRecord;

/// The row, as the form would send it.
pub(super) fn fill(columns: &[Option<Field>], record: &StringRecord, is_vcard: bool) -> PersonForm {
    let mut form = PersonForm::default();
    let (mut name, mut first, mut last) = (String::new(), String::new(), String::new());
    for (field, cell) in columns.iter().zip(record) {
        let cell = if is_vcard { cell } else { harmless_undone(cell) }.to_owned();
        match field {
            None => {}
            Some(Field::Name) => name = cell,
            Some(Field::FirstName) => first = cell,
            Some(Field::LastName) => last = cell,
            Some(Field::AddressForm) => form.address_form = cell,
            Some(Field::Said) => form.said = cell,
            Some(Field::Organization) => form.organization = cell,
            Some(Field::Office) => form.office = cell,
            Some(Field::Jurisdiction) => form.jurisdiction = cell,
            Some(Field::Mail) => form.mail = cell,
            Some(Field::Phone) => form.phone = cell,
            Some(Field::Channel) => form.channel = channel(&cell),
            Some(Field::Notes) => form.notes = cell,
            Some(Field::AccessNeeds) => form.access_needs = cell,
            Some(Field::NoAnnouncements) => form.no_mail = yes(cell),
        }
    }
    let (given, surname) = agreed(name.trim(), first.trim(), last.trim(), form.address_form.trim());
    (form.given_name, form.surname) = (given.to_owned(), surname.to_owned());
    form
}

fn channel(cell: &str) -> String {
    match cell.trim().to_lowercase().as_str() {
        "" | "email" | "e-mail" => "mail".to_owned(),
        "telephone" | "call" => "phone".to_owned(),
        "post" => "letter".to_owned(),
        other => other.to_owned(),
    }
}

fn yes(cell: String) -> String {
    match cell.trim().to_lowercase().as_str() {
        "" | "no" | "n" | "0" | "false" => String::new(),
        "yes" | "y" | "1" | "true" | "x" => "yes".to_owned(),
        _ => cell,
    }
}
