//! Turns rows into people, by the rules of the form.

use super::cells::fill;
use super::checked::{Checked, ColumnsWrong, cut};
use super::fields::{Field, guess_all};
use super::limits::{MOST_ROWS, too_many};
use super::{content, table, vcard};
use csv::StringRecord;

/// How many rows to show before anything is saved.
const SAMPLE: usize = 5;

/// Reads a file's text. Without columns, the headings tell what they are.
///
/// # Errors
/// What to tell the person whose file it is, if it can't be read at all.
pub fn read(text: &str, columns: Option<&[Option<Field>]>) -> Result<Checked, String> {
    read_as(text, columns, None)
}

/// The same, if someone said whether the first row names the columns. With none, the rows
/// tell.
///
/// # Errors
/// What to tell the person whose file it is, if it can't be read at all.
pub fn read_as(text: &str, columns: Option<&[Option<Field>]>, has_heading: Option<bool>) -> Result<Checked, String> {
    let mut checked = Checked { has_heading: true, ..Checked::default() };
    if vcard::is_vcard(text) {
        checked.is_cards = true;
        vcard::rows(text, &mut |line, record| {
            if checked.header.is_empty() {
                begin(&mut checked, record, columns);
            } else {
                row(&mut checked, line, record, true);
            }
        })?;
        return counted(checked);
    }
    let first = table::first_rows(text, content::LOOKED_AT)?;
    if !has_heading.unwrap_or_else(|| content::has_heading(&first)) {
        begin_without_heading(&mut checked, text, &first, columns)?;
    }
    table::rows(text, &mut |line, record| {
        if checked.header.is_empty() {
            begin(&mut checked, record, columns);
        } else {
            row(&mut checked, line, record, false);
        }
    })?;
    counted(checked)
}

fn counted(checked: Checked) -> Result<Checked, String> {
    if checked.rows == 0 {
        return Err("This file has column names but no people below them. Add some and choose it again.".to_owned());
    }
    if checked.rows > MOST_ROWS {
        return Err(too_many());
    }
    Ok(checked)
}

fn begin(checked: &mut Checked, record: &StringRecord, columns: Option<&[Option<Field>]>) {
    checked.header = record.iter().map(|cell| cell.trim().to_owned()).collect();
    let guessed = || guess_all(&checked.header);
    checked.columns = columns.filter(|columns| columns.len() == record.len()).map_or_else(guessed, <[_]>::to_vec);
    checked.columns_wrong = wrong_with(&checked.columns);
}

/// All rows are people, so only their cells tell what the columns are.
fn begin_without_heading(
    checked: &mut Checked,
    text: &str,
    first: &[StringRecord],
    columns: Option<&[Option<Field>]>,
) -> Result<(), String> {
    // A cell further down may be the only one in its column.
    let mut width = 1;
    table::rows(text, &mut |_, record| width = width.max(record.len()))?;
    checked.header = vec![String::new(); width];
    checked.has_heading = false;
    let chosen = columns.filter(|columns| columns.len() == width);
    checked.is_guess = chosen.is_none();
    checked.columns = chosen.map_or_else(|| content::guess_columns(first, width), <[_]>::to_vec);
    checked.columns_wrong = wrong_with(&checked.columns);
    Ok(())
}

fn wrong_with(columns: &[Option<Field>]) -> Option<ColumnsWrong> {
    let has = |field| columns.contains(&Some(field));
    let twice = Field::ALL.into_iter().find(|field| columns.iter().filter(|c| **c == Some(*field)).count() > 1);
    let has_name = has(Field::Name) || has(Field::FirstName) || has(Field::LastName);
    twice.map(ColumnsWrong::Twice).or_else(|| (!has_name).then_some(ColumnsWrong::NoName))
}

fn row(checked: &mut Checked, line: u64, record: &StringRecord, is_vcard: bool) {
    checked.rows += 1;
    if checked.sample.len() < SAMPLE {
        checked.sample.push(record.iter().map(cut).collect());
    }
    let width = checked.header.len();
    if record.iter().skip(width).any(|cell| !cell.trim().is_empty()) {
        let what = format!("This row has {} cells, but the first row has {width}. Remove what is extra.", record.len());
        return checked.wrong(line, None, what);
    }
    let unreadable = |cell: &str| cell.contains(|c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t'));
    if let Some(place) = record.iter().position(unreadable) {
        return checked.wrong(line, Some(place), "This has a character that can't be shown. Remove it.");
    }
    if checked.columns_wrong.is_some() {
        return;
    }
    let form = fill(&checked.columns, record, is_vcard);
    match form.read() {
        Ok(details) if checked.problem_count == 0 => checked.people.push(details),
        // A file with a mistake adds no one.
        Ok(_) => checked.people = Vec::new(),
        Err(mistakes) => {
            let mut told = Vec::new();
            for (place, field) in checked.columns.clone().into_iter().enumerate() {
                for key in field.map(Field::keys).unwrap_or_default() {
                    if !told.contains(key) && !mistakes.of(key).is_empty() {
                        told.push(*key);
                        checked.wrong(line, Some(place), mistakes.of(key));
                    }
                }
            }
        }
    }
}
