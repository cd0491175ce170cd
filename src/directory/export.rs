//! Everybody as a file for other programs.

use super::reading::{ACCESS_NEEDS, CHANNEL, JURISDICTION, NO_ANNOUNCEMENTS, SAID};
use crate::people::Details;
use anyhow::anyhow;
use std::fmt::Write;

/// The heading of the table; our own import knows each of them.
const HEADING: [&str; 11] = [
    "Name",
    "Said aloud",
    "Organisation",
    "Office",
    "Jurisdiction",
    "Mail",
    "Phone",
    "Reached by",
    "Notes",
    "Access needs",
    "No announcements",
];

/// At these a spreadsheet begins to compute.
const COMPUTES: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\0'];

fn could_compute(cell: &str) -> bool {
    cell.trim_start_matches('\'').starts_with(COMPUTES)
}

/// A cell that no spreadsheet takes for a formula.
fn harmless(cell: &str) -> String {
    if could_compute(cell) { format!("'{cell}") } else { cell.to_owned() }
}

/// The same back.
pub fn harmless_undone(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|_| could_compute(cell)).unwrap_or(cell)
}

/// A table (RFC 4180) with the mark by which spreadsheets know UTF-8.
///
/// # Errors
/// Never for memory, which the writer can't know.
pub fn csv(people: &[Details]) -> anyhow::Result<String> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    writer.write_record(HEADING)?;
    for person in people {
        let no_mail = if person.no_mail { "yes" } else { "no" };
        let row = [
            person.name.as_str(),
            &person.said,
            &person.organisation,
            &person.office,
            &person.jurisdiction,
            &person.mail,
            &person.phone,
            person.channel.as_str(),
            &person.notes,
            &person.access_needs,
            no_mail,
        ];
        writer.write_record(row.map(harmless))?;
    }
    let bytes = writer.into_inner().map_err(|error| anyhow!("{error}"))?;
    Ok(format!("\u{feff}{}", String::from_utf8(bytes)?))
}

/// Cards (RFC 2426), which most programs read.
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
    let (given, family) = person.name.rsplit_once(' ').unwrap_or(("", &person.name));
    let mut lines = vec!["BEGIN:VCARD".to_owned(), "VERSION:3.0".to_owned(), format!("FN:{}", escape(&person.name))];
    lines.push(format!("N:{};{};;;", escape(family), escape(given)));
    let fields = [
        (SAID, &person.said),
        ("ORG", &person.organisation),
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

/// RFC 2426, section 4: what would end a value is written with a stroke.
fn escape(text: &str) -> String {
    text.replace('\\', "\\\\").replace('\n', "\\n").replace(',', "\\,").replace(';', "\\;")
}

/// A line in pieces of at most 75 octets, never inside a letter.
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
