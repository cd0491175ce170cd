//! Cards of people (RFC 6350, and the older RFC 2426 and version 2.1), as rows.

use super::fields::Field;
use super::limits::{MOST_CELL, MOST_ROWS, too_many};
use super::table::Each;
use crate::web::words;
use calcard::vcard::{VCard, VCardParameterName, VCardParameterValue, VCardProperty, VCardValue};
use calcard::{Entry, Parser};
use csv::StringRecord;

const BEGIN: &str = "BEGIN:VCARD";
const END: &str = "END:VCARD";

/// Our own fields, which other programs don't know.
pub(in crate::directory) const SAID: &str = "X-SAID-ALOUD";
pub(in crate::directory) const JURISDICTION: &str = "X-JURISDICTION";
pub(in crate::directory) const CHANNEL: &str = "X-REACHED-BY";
pub(in crate::directory) const ACCESS_NEEDS: &str = "X-ACCESS-NEEDS";
pub(in crate::directory) const NO_ANNOUNCEMENTS: &str = "X-NO-ANNOUNCEMENTS";

/// The largest card, in bytes. One with a photo may be large.
const MOST_CARD: usize = 1024 * 1024;

/// Is the line this mark? A line that starts with a space continues the one before it.
fn is(line: &str, mark: &str) -> bool {
    line.trim_end().eq_ignore_ascii_case(mark)
}

pub(super) fn is_vcard(text: &str) -> bool {
    text.trim_start().lines().next().is_some_and(|line| is(line, BEGIN))
}

/// Reads the cards, after a heading with our own fields.
pub(super) fn rows(text: &str, each: Each<'_>) -> Result<(), String> {
    each(1, &StringRecord::from(Field::ALL.map(Field::label).to_vec()));
    let (mut count, mut place, mut open) = (0, 0, None);
    for (number, line) in (1_u64..).zip(text.split_inclusive('\n')) {
        if is(line, BEGIN)
            && let Some((begun, _)) = open.replace((number, place))
        {
            return Err(endless(begun));
        }
        place += line.len();
        if let Some((begun, from)) = open
            && is(line, END)
        {
            open = None;
            count += 1;
            if count > MOST_ROWS {
                return Err(too_many());
            }
            each(begun, &card(&text[from..place], begun)?);
        }
    }
    match open {
        Some((begun, _)) => Err(endless(begun)),
        None => Ok(()),
    }
}

fn endless(begun: u64) -> String {
    format!("Line {begun}: the card that starts here has no line {END}.")
}

fn card(text: &str, line: u64) -> Result<StringRecord, String> {
    if text.len() > MOST_CARD {
        return Err(format!(
            "Line {line}: this card is larger than {} KB. Remove its photo.",
            words::grouped(MOST_CARD / 1024)
        ));
    }
    let Entry::VCard(card) = Parser::new(text).entry() else {
        return Err(format!("Line {line}: this card can't be read. Leave it out, or export it again."));
    };
    let row: Vec<String> = Field::ALL.into_iter().map(|field| cell(&card, field)).collect();
    match row.iter().zip(Field::ALL).find(|(cell, _)| cell.len() > MOST_CELL) {
        Some((_, field)) => {
            let (label, most) = (field.label(), MOST_CELL / 1024);
            Err(format!("Line {line}, {label}: this text is larger than {most} KB. Shorten it."))
        }
        None => Ok(StringRecord::from(row)),
    }
}

fn cell(card: &VCard, field: Field) -> String {
    let own = |name: &str| text(card, &VCardProperty::Other(name.to_owned()), " ");
    match field {
        Field::Name => text(card, &VCardProperty::Fn, " "),
        // RFC 6350, section 6.2.2: surname, given names, others, prefixes, suffixes.
        Field::FirstName => parts(card, [1, 2]),
        Field::LastName => parts(card, [0, 4]),
        Field::AddressForm => part(card, 3),
        Field::Said => own(SAID),
        Field::Organization => text(card, &VCardProperty::Org, ", "),
        Field::Office => text(card, &VCardProperty::Title, " "),
        Field::Jurisdiction => own(JURISDICTION),
        Field::Mail => text(card, &VCardProperty::Email, " "),
        Field::Phone => {
            let phone = text(card, &VCardProperty::Tel, " ");
            phone.strip_prefix("tel:").map(str::to_owned).unwrap_or(phone)
        }
        Field::Channel => own(CHANNEL),
        Field::Notes => text(card, &VCardProperty::Note, " "),
        Field::AccessNeeds => own(ACCESS_NEEDS),
        Field::NoAnnouncements => own(NO_ANNOUNCEMENTS),
    }
}

/// The value of a property; if there are several, the preferred one, or else the first.
fn text(card: &VCard, name: &VCardProperty, between: &str) -> String {
    let mut all = card.entries.iter().filter(|entry| same(&entry.name, name));
    let preferred = |entry: &&calcard::vcard::VCardEntry| {
        entry.params.iter().any(|parameter| {
            parameter.name == VCardParameterName::Pref
                || matches!(&parameter.value, VCardParameterValue::Text(kind) if kind.eq_ignore_ascii_case("pref"))
        })
    };
    let first = all.clone().find(preferred).or_else(|| all.next());
    first.map(|entry| joined(&entry.values, between)).unwrap_or_default()
}

fn same(one: &VCardProperty, other: &VCardProperty) -> bool {
    match (one, other) {
        (VCardProperty::Other(one), VCardProperty::Other(other)) => one.eq_ignore_ascii_case(other),
        _ => one == other,
    }
}

fn joined(values: &[VCardValue], between: &str) -> String {
    let parts: Vec<&str> = values.iter().flat_map(texts).filter(|part| !part.is_empty()).collect();
    parts.join(between)
}

fn texts(value: &VCardValue) -> Vec<&str> {
    match value {
        VCardValue::Text(text) => vec![text],
        VCardValue::Component(parts) => parts.iter().map(String::as_str).collect(),
        _ => Vec::new(),
    }
}

/// Two parts of the structured name.
fn parts(card: &VCard, places: [usize; 2]) -> String {
    let parts = places.map(|nth| part(card, nth).trim().to_owned());
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
}

/// A part of the structured name.
fn part(card: &VCard, nth: usize) -> String {
    let name = card.entries.iter().find(|entry| entry.name == VCardProperty::N);
    name.and_then(|entry| entry.values.get(nth)).map(|value| texts(value).join(" ")).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(text: &str) -> Result<Vec<(u64, String)>, String> {
        let mut all = Vec::new();
        rows(text, &mut |line, record| all.push((line, record[0].to_owned())))?;
        all.remove(0);
        Ok(all)
    }

    #[test]
    fn a_folded_line_does_not_end_a_card() {
        // RFC 6350, section 3.2: the space and the line break before it aren't part of the line.
        let text = "BEGIN:VCARD\r\nFN:Ana\r\n END:VCARD\r\nEND:VCARD\r\nBEGIN:VCARD\r\nFN:Ivo\r\nEND:VCARD\r\n";
        assert_eq!(names(text).unwrap(), [(1, "AnaEND:VCARD".to_owned()), (5, "Ivo".to_owned())]);
    }

    #[test]
    fn a_card_without_an_end_is_located() {
        assert!(names("BEGIN:VCARD\nFN:Ana\n").unwrap_err().starts_with("Line 1:"));
        assert!(names("BEGIN:VCARD\nFN:Ana\nBEGIN:VCARD\nEND:VCARD\n").unwrap_err().starts_with("Line 1:"));
        assert!(names(&"BEGIN:VCARD\nFN:A\nEND:VCARD\n".repeat(MOST_ROWS + 1)).unwrap_err().contains("20,000"));
    }
}
