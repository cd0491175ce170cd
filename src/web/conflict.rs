//! Two people changed the same thing: both texts, and the choice between them.

use crate::error::Result;
use crate::web::page::{Page, show_as};
use askama::Template;
use axum::http::StatusCode;
use axum::response::Response;

/// What two people typed about one thing.
#[derive(Debug)]
pub struct Conflict {
    title: String,
    action: String,
    version: i64,
    rows: Vec<Row>,
    hidden: Vec<(String, String)>,
}

#[derive(Debug)]
struct Row {
    label: &'static str,
    theirs: String,
    mine: String,
}

impl Conflict {
    /// About the thing of that title, saved by a post to `action` with the
    /// version that is in the store now.
    #[must_use]
    pub fn new(title: &str, action: String, version: i64) -> Self {
        Self { title: title.to_owned(), action, version, rows: Vec::new(), hidden: Vec::new() }
    }

    /// A field of the form.
    pub fn field(&mut self, name: &str, label: &'static str, theirs: &str, mine: &str) {
        self.hidden.push((name.to_owned(), mine.to_owned()));
        self.compare(label, theirs, mine);
    }

    /// A field that is sent several times.
    pub fn list(&mut self, name: &str, label: &'static str, theirs: &[String], mine: &[String]) {
        self.hidden.extend(mine.iter().map(|value| (name.to_owned(), value.clone())));
        self.compare(label, &theirs.join(", "), &mine.join(", "));
    }

    /// A field that is sent along and not shown.
    pub fn silent(&mut self, name: &str, value: &str) {
        self.hidden.push((name.to_owned(), value.to_owned()));
    }

    /// A line of the comparison.
    pub fn compare(&mut self, label: &'static str, theirs: &str, mine: &str) {
        let (theirs, mine) = (theirs.trim(), mine.trim());
        if theirs.replace("\r\n", "\n") != mine.replace("\r\n", "\n") {
            self.rows.push(Row { label, theirs: theirs.to_owned(), mine: mine.to_owned() });
        }
    }
}

#[derive(Template)]
#[template(path = "conflict.html")]
struct ConflictPage<'a> {
    page: Page,
    conflict: &'a Conflict,
}

/// Answers with both texts, status 409.
///
/// # Errors
/// When the template can't be filled.
pub fn show(page: Page, conflict: &Conflict) -> Result<Response> {
    let page = page.titled("Changed by two people");
    show_as(StatusCode::CONFLICT, &ConflictPage { page, conflict })
}
