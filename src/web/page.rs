//! Pages: what every page shows around its own content, and how it becomes a response.

use crate::error::Result;
use crate::web::flash::Said;
use askama::Template;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};

/// What a signed-in page shows around its content.
#[derive(Debug, Clone, Default)]
pub struct Page {
    pub title: String,
    pub department: String,
    pub who: String,
    pub role: &'static str,
    /// Show what only the education officer may do.
    pub officer: bool,
    pub event: Option<Banner>,
    /// The bar: what belongs to the event, and what belongs to the department.
    pub places: Vec<Place>,
    pub beside: Vec<Place>,
    /// The place this page belongs to, and the pages of that place.
    pub here: &'static str,
    pub pages: Vec<Entry>,
    /// The page above this one, if it isn't one of those.
    pub up: Option<Up>,
    /// Why nothing can be saved for now; none if all is well.
    pub trouble: Option<(&'static str, &'static str)>,
    /// What the education officer should see on every page.
    pub alarms: Vec<String>,
    /// What was just done.
    pub said: Option<Said>,
}

/// The event at the top of a page.
#[derive(Debug, Clone)]
pub struct Banner {
    /// The day number, as in "38" with the unit "days to burn day".
    pub number: String,
    pub unit: &'static str,
    /// The same for a phone: "days".
    pub short: &'static str,
    pub name: String,
    pub line: String,
    pub href: String,
}

/// A place in the bar.
#[derive(Debug, Clone)]
pub struct Place {
    pub name: &'static str,
    pub href: String,
    pub is_here: bool,
    /// How many things there need someone today.
    pub count: usize,
}

/// A page in the row of a place's pages.
#[derive(Debug, Clone)]
pub struct Entry {
    pub name: &'static str,
    pub href: String,
    /// Is the page that is shown this one, or below it?
    pub is_here: bool,
    /// Is it another page than the one that is shown?
    pub is_above: bool,
}

/// The way up from a page.
#[derive(Debug, Clone)]
pub struct Up {
    pub href: String,
    pub name: String,
}

impl Page {
    /// The same page with a title.
    #[must_use]
    pub fn titled(mut self, title: impl Into<String>) -> Self {
        self.title = title.into();
        self
    }

    /// Leads up to this page instead of to a list.
    #[must_use]
    pub fn under(mut self, href: impl Into<String>, name: impl Into<String>) -> Self {
        self.up = Some(Up { href: href.into(), name: name.into() });
        self
    }
}

/// Responds with a page.
///
/// # Errors
/// When the template can't be filled.
pub fn show(template: &impl Template) -> Result<Response> {
    show_as(StatusCode::OK, template)
}

/// Responds with a page and another status.
///
/// # Errors
/// When the template can't be filled.
pub fn show_as(status: StatusCode, template: &impl Template) -> Result<Response> {
    Ok((status, Html(template.render()?)).into_response())
}
