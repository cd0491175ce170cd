//! The form filled in at pickup and at return.

use crate::loans::checklist::{Accessory, Check};
use crate::loans::condition::{Condition, Found, Looked};
use crate::loans::loan::Loan;
use crate::loans::record::Record;
use crate::loans::snapshot::LoanSnapshot;
use crate::photos::{Pictures, Taken};
use crate::web::form::{self, Mistakes};
use crate::web::words;
use std::collections::BTreeMap;
use time::{Date, OffsetDateTime};

/// The sides to photograph, the same at pickup and at return.
pub(in crate::loans) const SIDES: [&str; 4] = ["front", "back", "left side", "right side"];
/// The answers for a part, as the form sends them.
pub(super) const WELL: &str = "well";
pub(super) const OTHERWISE: &str = "otherwise";
const NOT_LOOKED: &str = "not looked at";

/// What the form sends: its fields, and the photos or why they were refused.
#[derive(Debug, Default)]
pub(super) struct HandingForm {
    pub is_return: bool,
    fields: BTreeMap<String, String>,
    pub pictures: Pictures,
}

/// The field of a side's photo.
pub(super) fn photo(side: usize) -> String {
    format!("photo-{side}")
}

/// The mistakes in it: in the fields that every record has, and in the lines of this one by
/// name.
#[derive(Debug, Default)]
pub(super) struct Wrong {
    pub mistakes: Mistakes,
    lines: BTreeMap<String, String>,
}

impl Wrong {
    pub fn is_empty(&self) -> bool {
        self.count() == 0
    }

    pub fn count(&self) -> usize {
        self.mistakes.count() + self.lines.len()
    }

    pub fn of(&self, name: &str) -> String {
        let line = self.lines.get(name).map(String::as_str);
        line.unwrap_or(self.mistakes.of(name)).to_owned()
    }

    pub fn add(&mut self, name: String, what: impl Into<String>) {
        self.lines.entry(name).or_insert_with(|| what.into());
    }
}

/// The parts and accessories on a record. At return, those of the pickup, so that both use
/// the same list, plus what was added since.
pub(super) fn list(loan: &Loan, is_return: bool) -> (Vec<Check>, Vec<Accessory>) {
    let (mut checks, mut accessories) =
        (loan.details.checklist.checks.clone(), loan.details.checklist.accessories.clone());
    if let Some(handed) = loan.record(false).filter(|_| is_return) {
        let (added_checks, added) = (checks, accessories.clone());
        let of = |looked: &Looked| Check { part: looked.part.clone(), well: looked.well.clone() };
        checks = handed.condition.checks.iter().map(of).collect();
        checks.extend(
            added_checks.into_iter().filter(|new| handed.condition.checks.iter().all(|old| old.part != new.part)),
        );
        accessories.clone_from(&handed.condition.accessories);
        accessories.extend(
            added.into_iter().filter(|new| handed.condition.accessories.iter().all(|old| old.name != new.name)),
        );
    }
    (checks, accessories)
}

impl HandingForm {
    /// The current time and the two names. Nothing about the item: someone must look at it.
    pub fn fresh(snapshot: &LoanSnapshot, loan: &Loan, is_return: bool, who: &str, now: OffsetDateTime) -> Self {
        let wall = snapshot.event.details.zone.wall(now);
        let lender_contact =
            if loan.details.lender_contact.is_empty() { &loan.person } else { &loan.details.lender_contact };
        let (given_by, taken_by) =
            if is_return { (who, lender_contact.as_str()) } else { (lender_contact.as_str(), who) };
        let fields = [
            ("on", words::iso(wall.date())),
            ("at", words::iso_time(wall.time())),
            ("given_by", given_by.to_owned()),
            ("taken_by", taken_by.to_owned()),
        ];
        let fields = fields.into_iter().map(|(name, text)| (name.to_owned(), text)).collect();
        Self { is_return, fields, pictures: Pictures::default() }
    }

    pub fn sent(is_return: bool, fields: BTreeMap<String, String>, pictures: Pictures) -> Self {
        Self { is_return, fields, pictures }
    }

    /// The photos that were accepted, by side.
    pub fn photos(&self) -> Vec<(usize, Taken)> {
        let taken = |side| Some((side, self.pictures.of(&photo(side))?.as_ref().ok()?.clone()));
        (0..SIDES.len()).filter_map(taken).collect()
    }

    pub fn get(&self, name: &str) -> &str {
        self.fields.get(name).map_or("", String::as_str)
    }

    /// The record that was typed, and the mistakes in it.
    pub fn read(&self, loan: &Loan, today: Date) -> (Option<Record>, Wrong) {
        let mut wrong = Wrong::default();
        let (checks, accessories) = list(loan, self.is_return);
        let checks =
            checks.into_iter().enumerate().map(|(place, check)| self.looked(place, check, &mut wrong)).collect();
        let counted = accessories.into_iter().enumerate().map(|(place, it)| self.counted(place, it, &mut wrong));
        let accessories = counted.collect();
        for side in 0..SIDES.len() {
            let mistake = self.pictures.mistake(&photo(side));
            if !mistake.is_empty() {
                wrong.add(photo(side), mistake);
            }
        }
        let mistakes = &mut wrong.mistakes;
        let on = mistakes.note("on", form::day(self.get("on")));
        if on.is_some_and(|on| on > today) {
            mistakes.add("on", "This date is in the future. Enter today or earlier.");
        }
        if self.is_return && on.zip(loan.record(false)).is_some_and(|(on, handed)| on < handed.on) {
            mistakes.add("on", "This is before the pickup. Check the date.");
        }
        let at = mistakes.note("at", form::time_of_day(self.get("at")));
        let given_by = mistakes.note("given_by", form::line(self.get("given_by"), 100));
        let taken_by = mistakes.note("taken_by", form::line(self.get("taken_by"), 100));
        let notes = mistakes.note("notes", form::paragraph(self.get("notes"), 2_000));
        let (Some(on), Some(at), Some(given_by), Some(taken_by), Some(notes)) = (on, at, given_by, taken_by, notes)
        else {
            return (None, wrong);
        };
        let condition = Condition { checks, accessories };
        let (id, step_id, is_return) = (0, 0, self.is_return);
        let photos = Vec::new();
        (Some(Record { id, step_id, is_return, on, at, given_by, taken_by, condition, notes, photos }), wrong)
    }

    fn looked(&self, place: usize, check: Check, wrong: &mut Wrong) -> Looked {
        let words = self.get(&format!("words-{place}"));
        let name = format!("check-{place}");
        let found = match self.get(&name) {
            WELL => Found::Well,
            OTHERWISE => {
                let words = form::line(words, 100).map(|words| words.trim_end_matches('.').to_owned());
                words.map_or_else(
                    |_| {
                        wrong.add(
                            name,
                            format!("Describe the problem if it isn't “{}”. Use at most 100 characters.", check.well),
                        );
                        Found::NotLooked
                    },
                    Found::Otherwise,
                )
            }
            NOT_LOOKED => Found::NotLooked,
            _ => {
                wrong.add(name, "Choose one of the three answers.");
                Found::NotLooked
            }
        };
        Looked { part: check.part, well: check.well, found }
    }

    fn counted(&self, place: usize, accessory: Accessory, wrong: &mut Wrong) -> Accessory {
        let name = format!("count-{place}");
        let count = form::number(self.get(&name), 0, 1_000).unwrap_or_else(|what| {
            wrong.add(name, format!("{what} Type 0 if there are none."));
            0
        });
        Accessory { name: accessory.name, count }
    }
}
