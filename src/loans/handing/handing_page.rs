//! The checklist as a form.

use super::form::{HandingForm, SIDES, Wrong, list, photo};
use super::refused::{Refused, refused};
use crate::loans::loan::Loan;
use crate::web::form::Mistakes;
use crate::web::page::Page;
use askama::Template;

#[derive(Template)]
#[template(path = "loans/handing.html")]
pub(super) struct HandingPage {
    pub page: Page,
    pub href: String,
    pub title: String,
    pub lender: String,
    pub is_return: bool,
    /// Why it can't be recorded now, if it can't.
    pub refused: Option<Refused>,
    pub parts: Vec<PartLine>,
    pub counts: Vec<CountLine>,
    pub sides: Vec<SideLine>,
    pub given_by: String,
    pub taken_by: String,
    pub on: String,
    pub at: String,
    pub notes: String,
    pub mistakes: Mistakes,
    pub wrong: usize,
}

/// A part to check.
pub(super) struct PartLine {
    pub number: usize,
    pub part: String,
    pub well: String,
    /// Its condition at pickup; empty on the pickup form itself.
    pub before: String,
    pub chosen: String,
    pub words: String,
    pub mistake: String,
}

/// An accessory to count.
pub(super) struct CountLine {
    pub number: usize,
    pub name: String,
    /// How many we picked up, on the return form,
    pub handed_over: Option<u32>,
    /// and how many there should be, or were, as people read it.
    pub before: String,
    pub count: String,
    pub mistake: String,
}

/// A side to photograph.
pub(super) struct SideLine {
    pub number: usize,
    pub side: &'static str,
    /// The digest of a photo that was uploaded earlier.
    pub kept: String,
    pub mistake: String,
}

impl HandingPage {
    pub fn of(page: Page, loan: &Loan, form: &HandingForm, wrong: Wrong) -> Self {
        let (checks, accessories) = list(loan, form.is_return);
        let handed = loan.record(false).filter(|_| form.is_return);
        let text = |name: &str| form.get(name).to_owned();
        let parts = checks.into_iter().enumerate().map(|(number, check)| {
            let old = handed.and_then(|record| record.condition.checks.iter().find(|old| old.part == check.part));
            PartLine {
                number,
                before: old.map(|old| old.says().to_owned()).unwrap_or_default(),
                chosen: text(&format!("check-{number}")),
                words: text(&format!("words-{number}")),
                mistake: wrong.of(&format!("check-{number}")),
                part: check.part,
                well: check.well,
            }
        });
        let counts = accessories.into_iter().enumerate().map(|(number, accessory)| {
            let old = handed.and_then(|record| record.condition.accessories.iter().find(|o| o.name == accessory.name));
            let before = match (handed, old) {
                (Some(_), Some(old)) => format!("{} at pickup", old.count),
                (Some(_), None) => "not counted at pickup".to_owned(),
                (None, _) => format!("{} listed", accessory.count),
            };
            CountLine {
                number,
                handed_over: old.map(|old| old.count),
                before,
                count: text(&format!("count-{number}")),
                mistake: wrong.of(&format!("count-{number}")),
                name: accessory.name,
            }
        });
        let sides = SIDES.into_iter().enumerate();
        Self {
            href: loan.href(),
            title: loan.title(),
            lender: loan.lender_in_full(),
            is_return: form.is_return,
            refused: refused(loan, form.is_return),
            parts: parts.collect(),
            counts: counts.collect(),
            sides: sides
                .map(|(number, side)| SideLine {
                    number,
                    side,
                    kept: form.pictures.kept(&photo(number)).to_owned(),
                    mistake: wrong.of(&photo(number)),
                })
                .collect(),
            given_by: text("given_by"),
            taken_by: text("taken_by"),
            on: text("on"),
            at: text("at"),
            notes: text("notes"),
            wrong: wrong.count(),
            mistakes: wrong.mistakes,
            page,
        }
    }
}
