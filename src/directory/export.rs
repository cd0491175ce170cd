//! Everyone as a file for other programs.

use super::reading::{ACCESS_NEEDS, CHANNEL, JURISDICTION, NO_ANNOUNCEMENTS, SAID};
use crate::people::{Details, without_suffix};
use anyhow::anyhow;
use std::fmt::Write;

/// The column headings. Our own import knows each of them.
const HEADING: [&str; 14] = [
    "Name",
    "Given name",
    "Surname",
    "Form of address",
    "Pronunciation",
    "Organization",
    "Office",
    "Jurisdiction",
    "Email",
    "Phone",
    "Preferred contact",
    "Notes",
    "Access needs",
    "No announcements",
];

/// A spreadsheet treats a cell that starts with one of these as a formula.
const COMPUTES: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\0'];

fn could_compute(cell: &str) -> bool {
    cell.trim_start_matches('\'').starts_with(COMPUTES)
}

/// The cell, written so that no spreadsheet treats it as a formula.
fn harmless(cell: &str) -> String {
    if could_compute(cell) { format!("'{cell}") } else { cell.to_owned() }
}

/// The reverse.
pub fn harmless_undone(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|_| could_compute(cell)).unwrap_or(cell)
}

/// A table (RFC 4180), with the byte order mark that tells spreadsheets it is UTF-8.
///
/// # Errors
/// Never, since it writes to memory; the writer doesn't know that.
pub fn csv(people: &[Details]) -> anyhow::Result<String> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(HEADING)?;
    for person in people {
        let no_mail = if person.no_mail { "yes" } else { "no" };
        let row = [
            person.name.as_str(),
            person.given_name(),
            &person.surname,
            &person.address_form,
            &person.said,
            &person.organization,
            &person.office,
            &person.jurisdiction,
            &person.mail,
            &person.phone,
            person.channel.label(),
            &person.notes,
            &person.access_needs,
            no_mail,
        ];
        writer.write_record(row.map(harmless))?;
    }
    let bytes = writer.into_inner().map_err(|error| anyhow!("{error}"))?;
    Ok(format!("\u{feff}{}", String::from_utf8(bytes)?))
}

/// Cards (RFC 2426), which most programs can read.
#[must_use]
pub fn vcards(people: &[Details]) -> String {
    let mut cards = String::new();
    for person in people {
        for line in card(person) {
            fold(&mut cards, &line);
        }
    }
    cards
}

fn card(person: &Details) -> Vec<String> {
    let mut lines = vec!["BEGIN:VCARD".to_owned(), "VERSION:3.0".to_owned(), format!("FN:{}", escape(&person.name))];
    let (given, prefix) = (person.given_name(), person.address_form.as_str());
    // Only a suffix that comes back the same when the two are put together.
    let (surname, suffix) = without_suffix(&person.surname);
    let is_whole = suffix.is_empty() || person.surname != format!("{surname} {suffix}");
    let (surname, suffix) = if is_whole { (person.surname.as_str(), "") } else { (surname, suffix) };
    lines.push(format!("N:{};{};;{};{}", escape(surname), escape(given), escape(prefix), escape(suffix)));
    let fields = [
        (SAID, &person.said),
        ("ORG", &person.organization),
        ("TITLE", &person.office),
        (JURISDICTION, &person.jurisdiction),
        ("EMAIL", &person.mail),
        ("TEL", &person.phone),
        (CHANNEL, &person.channel.as_str().to_owned()),
        ("NOTE", &person.notes),
        (ACCESS_NEEDS, &person.access_needs),
        (NO_ANNOUNCEMENTS, &if person.no_mail { "yes".to_owned() } else { String::new() }),
    ];
    let told = fields.into_iter().filter(|(_, value)| !value.is_empty());
    lines.extend(told.map(|(name, value)| format!("{name}:{}", escape(value))));
    lines.push("END:VCARD".to_owned());
    lines
}

/// RFC 2426, section 4: characters that would end a value are escaped with a backslash.
fn escape(text: &str) -> String {
    text.replace('\\', "\\\\").replace('\n', "\\n").replace(',', "\\,").replace(';', "\\;")
}

/// Breaks a line into pieces of at most 75 bytes, never inside a character.
fn fold(cards: &mut String, line: &str) {
    let mut length = 0;
    for letter in line.chars() {
        if length + letter.len_utf8() > 75 {
            cards.push_str("\r\n ");
            length = 1;
        }
        cards.push(letter);
        length += letter.len_utf8();
    }
    let _ = write!(cards, "\r\n");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_card_is_escaped_and_folded() {
        let person = Details { notes: format!("one\ntwo; {}", "é".repeat(50)), ..Details::of_name("Okafor, Priya") };
        let cards = vcards(&[person]);
        assert!(
            cards.starts_with("BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Okafor\\, Priya\r\nN:;Okafor\\, Priya;;;\r\n"),
            "{cards}"
        );
        let note: String = cards.split("NOTE:").nth(1).unwrap().split("\r\nEND").next().unwrap().to_owned();
        assert_eq!(note.replace("\r\n ", ""), format!("one\\ntwo\\; {}", "é".repeat(50)));
        assert!(cards.split("\r\n").all(|line| line.len() <= 75) && cards.contains("\r\n é"));
    }

    #[test]
    fn a_card_has_the_parts_of_the_name() {
        // RFC 2426, section 3.1.2: family name, given name, additional names, prefixes, suffixes.
        for (given, surname, form, line) in [
            ("Ray", "Ortiz", "", "N:Ortiz;Ray;;;\r\n"),
            ("Ray J.", "Ortiz Jr.", "Mr.", "N:Ortiz;Ray J.;;Mr.;Jr.\r\n"),
            ("Ray", "Ortiz, Jr.", "", "N:Ortiz\\, Jr.;Ray;;;\r\n"),
            ("Maria", "de la Cruz", "", "N:de la Cruz;Maria;;;\r\n"),
            ("Cher", "", "", "N:;Cher;;;\r\n"),
        ] {
            let person = Details { address_form: form.to_owned(), ..Details::of_parts(given, surname) };
            let cards = vcards(&[person]);
            assert!(cards.contains(line), "{cards}");
        }
    }

    #[test]
    fn only_what_could_compute_gets_an_apostrophe_and_loses_it() {
        for (cell, written) in
            [("=1", "'=1"), ("+1 312", "'+1 312"), ("'=1", "''=1"), ("'a", "'a"), ("a=1", "a=1"), ("'", "'"), ("", "")]
        {
            assert_eq!(harmless(cell), written);
            assert_eq!(harmless_undone(written), cell);
        }
    }
}
