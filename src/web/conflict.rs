//! Two people changed the same thing: both versions, and the choice between them.

use crate::error::Result;
use crate::web::page::{Page, show_as};
use askama::Template;
use axum::http::StatusCode;
use axum::response::Response;

/// Two versions of one thing: what is saved, and what someone just typed.
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
    /// A conflict about the thing with this title. Posting to `action` with the version
    /// that is in the store now saves it.
    #[must_use]
    pub fn new(title: &str, action: String, version: i64) -> Self {
        Self { title: title.to_owned(), action, version, rows: Vec::new(), hidden: Vec::new() }
    }

    /// Adds a field of the form.
    pub fn field(&mut self, name: &str, label: &'static str, theirs: &str, mine: &str) {
        self.hidden.push((name.to_owned(), mine.to_owned()));
        self.compare(label, theirs, mine);
    }

    /// Adds a field that is sent several times.
    pub fn list(&mut self, name: &str, label: &'static str, theirs: &[String], mine: &[String]) {
        self.hidden.extend(mine.iter().map(|value| (name.to_owned(), value.clone())));
        self.compare(label, &theirs.join(", "), &mine.join(", "));
    }

    /// Adds a field that is sent along but not shown.
    pub fn silent(&mut self, name: &str, value: &str) {
        self.hidden.push((name.to_owned(), value.to_owned()));
    }

    /// Adds a line to the comparison.
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

/// Responds with both versions, status 409.
///
/// # Errors
/// When the template can't be filled.
pub fn show(page: Page, conflict: &Conflict) -> Result<Response> {
    let page = page.titled("Someone else changed this");
    show_as(StatusCode::CONFLICT, &ConflictPage { page, conflict })
}
