//! Turns rows into people, by the rules of the form.

use super::fields::guess_all;
use super::{Field, MOST_ROWS, MOST_TOLD, content, table, vcard};
use crate::directory::export::harmless_undone;
use crate::directory::form::PersonForm;
use crate::people::{Details, agreed};
use crate::web::words;
use csv::StringRecord;

/// How many rows to show before anything is saved.
const SAMPLE: usize = 5;
/// How many characters of a cell to show.
const SHOWN: usize = 60;

/// What is wrong with one cell or row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    pub line: u64,
    /// The number of the column; none if it is about the whole row.
    pub number: Option<usize>,
    /// The same with its heading; empty if there is no column.
    pub column: String,
    pub what: String,
}

/// What is wrong with the columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColumnsWrong {
    /// Two columns are set to this field.
    Twice(Field),
    /// No column is set to the name.
    NoName,
}

impl ColumnsWrong {
    /// For a `data-` mark.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Twice(_) => "twice",
            Self::NoName => "no-name",
        }
    }

    #[must_use]
    pub fn says(self) -> String {
        match self {
            Self::Twice(field) => format!("Two columns are set to “{}”. Choose one of them.", field.label()),
            Self::NoName => "No column is set to “name”. Choose the column with the names.".to_owned(),
        }
    }
}

/// A file that was read, with a field for each column.
#[derive(Debug, Default)]
pub struct Checked {
    pub header: Vec<String>,
    pub columns: Vec<Option<Field>>,
    pub sample: Vec<Vec<String>>,
    pub people: Vec<Details>,
    /// How many people are in the file.
    pub rows: usize,
    /// The first problems.
    pub problems: Vec<Problem>,
    /// How many problems there are.
    pub problem_count: usize,
    pub columns_wrong: Option<ColumnsWrong>,
    /// Does the first row name the columns? Otherwise it is a person.
    pub has_heading: bool,
    /// It has cards and not a table.
    pub is_cards: bool,
    /// The columns were guessed from their cells, and nobody has checked yet.
    pub is_guess: bool,
}

impl Checked {
    /// Can these people be imported?
    #[must_use]
    pub fn is_fine(&self) -> bool {
        self.problem_count == 0 && self.columns_wrong.is_none() && !self.is_guess && !self.people.is_empty()
    }

    fn wrong(&mut self, line: u64, column: Option<usize>, what: impl Into<String>) {
        self.problem_count += 1;
        if self.problems.len() < MOST_TOLD {
            let heading = |place: usize| self.header.get(place).map_or("", String::as_str);
            let number = column.map(|place| place + 1);
            let column = column.map(|place| match heading(place) {
                "" => (place + 1).to_string(),
                heading => format!("{} ({})", place + 1, cut(heading)),
            });
            self.problems.push(Problem { line, number, column: column.unwrap_or_default(), what: what.into() });
        }
    }
}

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

pub(super) fn too_many() -> String {
    format!("This file has more than {} people. Split it into smaller files.", words::grouped(MOST_ROWS))
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

/// The row, as the form would send it.
fn fill(columns: &[Option<Field>], record: &StringRecord, is_vcard: bool) -> PersonForm {
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

fn cut(cell: &str) -> String {
    let cell = cell.trim();
    if cell.chars().count() <= SHOWN {
        return cell.to_owned();
    }
    cell.chars().take(SHOWN).chain(['…']).collect()
}
