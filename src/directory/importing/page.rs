//! The page of imports: a file that is checked, and the files that were imported.

use crate::accounts::Visit;
use crate::directory::reading::{Checked, ColumnsWrong, Field, HEADINGS, MOST_BYTES, Problem};
use crate::directory::store::{self, Import};
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;

pub(super) const PATH: &str = "/people/import";

/// The address of the page that shows a file.
pub(super) fn address(file: i64) -> String {
    format!("{PATH}?file={file}")
}

#[derive(Template)]
#[template(path = "directory/import.html")]
pub(super) struct ImportPage {
    page: Page,
    /// What is wrong with the whole file; empty if nothing is.
    wrong: String,
    most: usize,
    waiting: Option<Waiting>,
    done: Vec<DoneLine>,
}

/// A file being checked.
pub(super) struct Waiting {
    id: i64,
    file_name: String,
    people: usize,
    columns: Vec<Column>,
    sample: Vec<Vec<String>>,
    columns_wrong: Option<ColumnsWrong>,
    problems: Vec<Problem>,
    more_problems: String,
    is_fine: bool,
    has_heading: bool,
    /// Cards have no columns of their own, only our fields.
    is_cards: bool,
    /// The columns have no headings, and nobody has said yet what they are.
    is_guess: bool,
    /// How many of the people are already here.
    known: usize,
}

struct Column {
    number: usize,
    heading: String,
    field: &'static str,
    example: String,
}

impl Waiting {
    /// The cells of a row, each with what its column is called.
    fn cells<'a>(&'a self, row: &'a [String]) -> impl Iterator<Item = (String, &'a String)> {
        self.columns.iter().map(Column::name).chain(std::iter::repeat_with(String::new)).zip(row)
    }
}

impl Column {
    fn name(&self) -> String {
        if self.heading.is_empty() { self.number.to_string() } else { self.heading.clone() }
    }
}

struct DoneLine {
    id: i64,
    file_name: String,
    people: String,
    who: String,
    when: String,
    undone: bool,
}

pub(super) async fn view(app: &App, visit: &Visit, wrong: String, waiting: Option<Waiting>) -> Result<ImportPage> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Import people");
    let zone = Zone::named(&visit.user.department.zone).ok_or(Error::NotFound)?;
    let today = zone.today(app.clock.now());
    let line = |done: store::Done| DoneLine {
        id: done.id,
        people: words::count(usize::try_from(done.people).unwrap_or(0), "person", "people"),
        file_name: done.file_name,
        who: done.who,
        when: Reader::App.near_moment(zone.wall(done.at), today),
        undone: done.undone,
    };
    let done = store::done(app.db.read()).await?.into_iter().map(line).collect();
    Ok(ImportPage { page, wrong, most: MOST_BYTES / 1024 / 1024, waiting, done })
}

pub(super) fn waiting(import: &Import, checked: Checked, known: usize) -> Waiting {
    let example = |place: usize| checked.sample.iter().filter_map(|row| row.get(place)).find(|cell| !cell.is_empty());
    let column = |(place, heading): (usize, &String)| Column {
        number: place + 1,
        heading: heading.clone(),
        field: checked.columns[place].map_or("", Field::as_str),
        example: example(place).cloned().unwrap_or_default(),
    };
    let more = checked.problem_count - checked.problems.len();
    Waiting {
        id: import.id,
        file_name: import.file_name.clone(),
        people: checked.rows,
        columns: checked.header.iter().enumerate().map(column).collect(),
        is_fine: checked.is_fine(),
        has_heading: checked.has_heading,
        is_cards: checked.is_cards,
        is_guess: checked.is_guess,
        more_problems: if more > 0 { format!("and {} more like these", words::grouped(more)) } else { String::new() },
        known,
        sample: checked.sample,
        columns_wrong: checked.columns_wrong,
        problems: checked.problems,
    }
}

/// Each field with the column names we know for it. British spellings work too, but aren't
/// listed.
fn known_columns() -> impl Iterator<Item = (&'static str, Vec<&'static str>)> {
    let is_listed = |name: &&str| !name.starts_with("Organis");
    HEADINGS.into_iter().map(move |(field, names)| (field.label(), names.iter().copied().filter(is_listed).collect()))
}

/// What a column can be, as a value and a label.
fn choices() -> impl Iterator<Item = (&'static str, &'static str)> {
    std::iter::once(("", "leave out")).chain(Field::ALL.map(|field| (field.as_str(), field.label())))
}
