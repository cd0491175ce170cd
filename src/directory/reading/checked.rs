//! What was found in a file.

use super::fields::Field;
use super::limits::MOST_TOLD;
use crate::people::Details;

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

    pub(super) fn wrong(&mut self, line: u64, column: Option<usize>, what: impl Into<String>) {
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

pub(super) fn cut(cell: &str) -> String {
    let cell = cell.trim();
    if cell.chars().count() <= SHOWN {
        return cell.to_owned();
    }
    cell.chars().take(SHOWN).chain(['…']).collect()
}
