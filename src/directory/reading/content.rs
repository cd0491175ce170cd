//! What a table's cells tell: whether the first row is a person or a heading, and what each
//! column is.

use super::fields::{Field, guess};
use crate::people::Channel;
use crate::web::form;
use csv::StringRecord;

/// How many rows to look at.
pub(super) const LOOKED_AT: usize = 20;

/// Does the first of these rows name the columns? A heading has no email and no phone number.
/// If there is none, the row is a heading if it has a column name we know, or a word above
/// emails or phone numbers.
pub(super) fn has_heading(rows: &[StringRecord]) -> bool {
    let Some((first, others)) = rows.split_first() else { return false };
    if first.iter().any(|cell| is_mail(cell) || is_phone(cell)) {
        return false;
    }
    first.iter().any(|cell| guess(cell).is_some())
        || first.iter().enumerate().any(|(place, cell)| {
            let below = column(others, place);
            !cell.trim().is_empty() && (most(&below, is_mail) || most(&below, is_phone))
        })
}

/// What each column is, going by its cells. No field is used twice.
pub(super) fn guess_columns(rows: &[StringRecord], width: usize) -> Vec<Option<Field>> {
    let columns: Vec<Vec<&str>> = (0..width).map(|place| column(rows, place)).collect();
    let mut fields = vec![None; width];
    for (is, field) in
        [(is_mail as fn(&str) -> bool, Field::Mail), (is_phone, Field::Phone), (is_channel, Field::Channel)]
    {
        let found = (0..width).find(|place| fields[*place].is_none() && most(&columns[*place], is));
        if let Some(place) = found {
            fields[place] = Some(field);
        }
    }
    let is_text = |cell: &str| cell.chars().any(char::is_alphabetic) && !is_mail(cell) && !is_yes_or_no(cell);
    let mut texts = (0..width).filter(|place| fields[*place].is_none() && most(&columns[*place], is_text));
    let (first, second) = (texts.next(), texts.next());
    let is_word = |cell: &str| cell.split_whitespace().count() == 1;
    let names = match (first, second) {
        (Some(first), Some(second)) if most(&columns[first], is_word) && most(&columns[second], is_word) => {
            [Some((first, Field::FirstName)), Some((second, Field::LastName))]
        }
        _ => [first.map(|place| (place, Field::Name)), second.map(|place| (place, Field::Organization))],
    };
    for (place, field) in names.into_iter().flatten() {
        fields[place] = Some(field);
    }
    fields
}

/// The cells of a column that aren't empty.
fn column(rows: &[StringRecord], place: usize) -> Vec<&str> {
    rows.iter().filter_map(|row| row.get(place)).map(str::trim).filter(|cell| !cell.is_empty()).collect()
}

/// Four out of five: a typo in one cell doesn't change what the column is.
fn most(cells: &[&str], is: impl Fn(&str) -> bool) -> bool {
    !cells.is_empty() && cells.iter().filter(|cell| is(cell)).count() * 5 >= cells.len() * 4
}

fn is_mail(cell: &str) -> bool {
    form::mail(cell).is_ok()
}

/// Seven digits or more, and little else.
fn is_phone(cell: &str) -> bool {
    let digits = cell.chars().filter(char::is_ascii_digit).count();
    let letters = cell.chars().filter(|letter| letter.is_alphabetic()).count();
    (7..=20).contains(&digits) && letters <= 4 && !cell.contains('@')
}

fn is_channel(cell: &str) -> bool {
    let cell = cell.to_lowercase();
    Channel::ALL.into_iter().any(|channel| cell == channel.as_str() || cell == channel.label())
}

fn is_yes_or_no(cell: &str) -> bool {
    matches!(cell.to_lowercase().as_str(), "yes" | "no" | "y" | "n" | "true" | "false" | "x")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &[&str]) -> Vec<StringRecord> {
        text.iter().map(|row| row.split(',').collect()).collect()
    }

    #[test]
    fn a_first_row_is_a_heading_or_a_person() {
        for heading in [
            &["Name,Mail", "Ana Ruiz,ana@example.org"][..],
            &["name"],
            &["Full Name,Birthday", "Ana Ruiz,May 5"],
            // Words we don't know, above emails and phone numbers.
            &["Ime,Posta", "Ana Ruiz,ana@example.org", "Ivo Lund,ivo@example.org"],
            &["Kdo,Kam", "Ana Ruiz,(555) 555-0117"],
        ] {
            assert!(has_heading(&rows(heading)), "{heading:?}");
        }
        for people in [
            &["Ana Ruiz,ana@example.org", "Ivo Lund,ivo@example.org"][..],
            &["Ana Ruiz,Contact,ana@example.org"],
            &["Ana Ruiz,County,555-0117"],
            &["Ana Ruiz", "Ivo Lund"],
            // The first has no email.
            &["Ana Ruiz,", "Ivo Lund,ivo@example.org"],
        ] {
            assert!(!has_heading(&rows(people)), "{people:?}");
        }
        assert!(!has_heading(&[]));
    }

    #[test]
    fn columns_are_guessed_from_their_cells() {
        use Field::{Channel, FirstName, LastName, Mail, Name, Organization, Phone};
        for (text, fields) in [
            (
                &["Ana Ruiz,ana@example.org,555-0101", "Ivo Lund,ivo@example.org,555-0102"][..],
                vec![Some(Name), Some(Mail), Some(Phone)],
            ),
            (&["555-0101,Ana,Ruiz", "555-0102,Ivo,Lund"], vec![Some(Phone), Some(FirstName), Some(LastName)]),
            (
                &["1,Ana Ruiz,Alder Bend Hardware,phone,yes"],
                vec![None, Some(Name), Some(Organization), Some(Channel), None],
            ),
            (&["Ana Ruiz,ana@example.org,other@example.org"], vec![Some(Name), Some(Mail), None]),
        ] {
            assert_eq!(guess_columns(&rows(text), fields.len()), fields, "{text:?}");
        }
        assert_eq!(guess_columns(&[], 2), [None, None]);
    }
}
