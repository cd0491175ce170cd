//! The thank-you pages and their lines.

use super::context::Paper;
use super::form::{DayForm, SentenceForm};
use super::list::Lists;
use crate::people::Name;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use askama::Template;

#[derive(Template)]
#[template(path = "thanks/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    pub has_begun: bool,
    pub burn_day: String,
    pub due: String,
    /// Both, for machines.
    pub burn_on: String,
    pub due_on: String,
    pub is_late: bool,
    pub lists: Lists,
    pub thanked: usize,
    pub figures: Vec<(String, String)>,
    pub signature: String,
    pub mistakes: Mistakes,
}

#[derive(Template)]
#[template(path = "thanks/day.html")]
pub(super) struct DayPage {
    pub page: Page,
    pub event_id: i64,
    pub form: DayForm,
    pub mistakes: Mistakes,
    pub names: Vec<Name>,
    pub sender: String,
}

#[derive(Debug)]
pub(super) struct ThankedLine {
    pub id: i64,
    pub says: String,
    pub detail: String,
    pub mail: Option<i64>,
    pub can_go_back: bool,
    pub is_taken_back: bool,
}

#[derive(Template)]
#[template(path = "thanks/person.html")]
pub(super) struct PersonPage {
    pub page: Page,
    pub event_id: i64,
    pub key: String,
    pub name: String,
    pub place: String,
    pub has_begun: bool,
    pub burn_day: String,
    pub open: Vec<String>,
    /// What they were thanked for, or will be later.
    pub rest: Vec<String>,
    pub form: SentenceForm,
    pub mistakes: Mistakes,
    pub paper: Option<Paper>,
    pub mail: String,
    pub thanked: Vec<ThankedLine>,
}

/// An email as it would go out.
#[derive(Debug)]
pub(super) struct Preview {
    pub to: String,
    pub subject: String,
    pub text: String,
    /// The keys of what it is for, for `data-` marks.
    pub keys: String,
}

#[derive(Template)]
#[template(path = "thanks/send.html")]
pub(super) struct SendPage {
    pub page: Page,
    pub event_id: i64,
    pub has_begun: bool,
    pub burn_day: String,
    pub who: Vec<String>,
    pub previews: Vec<Preview>,
}

#[derive(Template)]
#[template(path = "thanks/letters.html")]
pub(super) struct LettersPage {
    pub page: Page,
    pub letters: Vec<Paper>,
}
