//! The checklist as a form, and both condition records side by side.

use super::form::{HandingForm, SIDES, Wrong, list, photo};
use super::store::Record;
use crate::loans::condition::{Difference, Means};
use crate::loans::snapshot::LoanSnapshot;
use crate::loans::{Loan, letters};
use crate::web::form::Mistakes;
use crate::web::page::Page;
use crate::web::words::Reader;
use askama::Template;
use time::PrimitiveDateTime;

#[derive(Template)]
#[template(path = "loans/handing.html")]
pub(super) struct HandingPage {
    pub page: Page,
    pub href: String,
    pub title: String,
    pub lender: String,
    pub is_return: bool,
    /// Why it can't be recorded now, if it can't.
    pub refused: Option<super::Refused>,
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
            refused: super::refused(loan, form.is_return),
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

#[derive(Template)]
#[template(path = "loans/condition.html")]
pub(super) struct ConditionPage {
    pub page: Page,
    pub href: String,
    pub title: String,
    pub lender: String,
    pub department: String,
    pub may_work: bool,
    pub is_here: bool,
    pub is_back: bool,
    pub is_empty: bool,
    pub rows: Vec<ConditionRow>,
    /// Date and time, who handed it over and who received it, at pickup and at return.
    pub signed: Vec<SignedRow>,
    pub notes: Vec<(&'static str, String)>,
    pub differences: Vec<Difference>,
    pub shots: Vec<Shot>,
}

pub(super) struct ConditionRow {
    pub what: String,
    pub then: String,
    pub now: String,
    pub differs: bool,
}

pub(super) struct SignedRow {
    pub label: &'static str,
    pub then: String,
    pub now: String,
}

/// A side, at pickup and at return.
pub(super) struct Shot {
    pub number: usize,
    pub side: &'static str,
    pub then: Option<i64>,
    pub now: Option<i64>,
}

impl ConditionPage {
    pub fn of(page: Page, _: &LoanSnapshot, loan: &Loan, may_work: bool) -> Self {
        let (then, now) = (loan.record(false), loan.record(true));
        let of = |record: Option<&Record>, says: fn(&Record) -> String| record.map(says).unwrap_or_default();
        let signed = |label, says: fn(&Record) -> String| SignedRow { label, then: of(then, says), now: of(now, says) };
        let notes = [("Notes at pickup", then), ("Notes at return", now)];
        let notes = notes.into_iter().map(|(label, record)| (label, of(record, |record| record.notes.clone())));
        Self {
            href: loan.href(),
            title: letters::called(loan),
            lender: loan.lender_in_full(),
            department: page.department.clone(),
            may_work,
            is_here: loan.is_out(),
            is_back: now.is_some(),
            is_empty: then.is_none() && now.is_none(),
            rows: rows(loan),
            signed: vec![
                signed("Date and time", |record| Reader::Public.moment(PrimitiveDateTime::new(record.on, record.at))),
                signed("Handed over by", |record| record.given_by.clone()),
                signed("Received by", |record| record.taken_by.clone()),
            ],
            notes: notes.filter(|(_, text)| !text.is_empty()).collect(),
            differences: loan.differences(),
            shots: shots(then, now),
            page,
        }
    }

    pub fn has_harm(&self) -> bool {
        self.differences.iter().any(|difference| difference.means != Means::Other)
    }
}

fn shots(then: Option<&Record>, now: Option<&Record>) -> Vec<Shot> {
    let of = |record: Option<&Record>, number: usize| {
        record.and_then(|record| record.photos.iter().find(|(side, _)| *side == number)).map(|(_, photo)| *photo)
    };
    let shot = |(number, side)| Shot { number, side, then: of(then, number), now: of(now, number) };
    let all = SIDES.into_iter().enumerate().map(shot);
    all.filter(|shot| shot.then.is_some() || shot.now.is_some()).collect()
}

/// Every part and accessory of either record, with what was found both times.
fn rows(loan: &Loan) -> Vec<ConditionRow> {
    let (checks, accessories) = list(loan, true);
    let (then, now) = (loan.record(false), loan.record(true));
    let part = |record: Option<&Record>, part: &str| {
        let looked = record.and_then(|record| record.condition.checks.iter().find(|looked| looked.part == part));
        looked.map(|looked| looked.says().to_owned()).unwrap_or_default()
    };
    let count = |record: Option<&Record>, name: &str| {
        let counted = record.and_then(|record| record.condition.accessories.iter().find(|it| it.name == name));
        counted.map(|it| it.count.to_string()).unwrap_or_default()
    };
    let row = |what: String, then: String, after: String| {
        let differs = now.is_some() && then != after;
        ConditionRow { what, then, now: after, differs }
    };
    let parts =
        checks.into_iter().map(|check| row(check.part.clone(), part(then, &check.part), part(now, &check.part)));
    let counts = accessories.into_iter().map(|it| {
        let what = format!("{} (count)", it.name);
        row(what, count(then, &it.name), count(now, &it.name))
    });
    parts.chain(counts).collect()
}
