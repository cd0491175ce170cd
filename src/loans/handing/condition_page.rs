//! Both condition records side by side.

use super::form::{SIDES, list};
use crate::loans::condition::{Difference, Means};
use crate::loans::loan::Loan;
use crate::loans::phrases;
use crate::loans::record::Record;
use crate::web::page::Page;
use crate::web::words::Reader;
use askama::Template;
use time::PrimitiveDateTime;

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
    pub fn of(page: Page, loan: &Loan, may_work: bool) -> Self {
        let (then, now) = (loan.record(false), loan.record(true));
        let of = |record: Option<&Record>, says: fn(&Record) -> String| record.map(says).unwrap_or_default();
        let signed = |label, says: fn(&Record) -> String| SignedRow { label, then: of(then, says), now: of(now, says) };
        let notes = [("Notes at pickup", then), ("Notes at return", now)];
        let notes = notes.into_iter().map(|(label, record)| (label, of(record, |record| record.notes.clone())));
        Self {
            href: loan.href(),
            title: phrases::called(loan),
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
