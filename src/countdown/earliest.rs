//! The earliest possible burn day in words, with what sets it.

use super::Outlook;
use crate::calc::calendar::Basis;
use crate::calc::notice;
use crate::calc::plan::Earliest;
use crate::permit_records;
use crate::web::words::{self, Reader};
use time::Date;

/// The notice that sets a date. Both texts are empty if none does.
#[derive(Debug, Default)]
pub(super) struct Holding {
    pub title: String,
    /// "The notice period for “Burn permit” sets the date: 10 working days before, counted
    /// when sent."
    pub says: String,
}

impl Holding {
    pub fn new(title: &str, rule: notice::Rule) -> Self {
        let rule = permit_records::notice_says(rule);
        let says = format!("The notice period for “{title}” sets the date: {rule}.");
        Self { title: title.to_owned(), says }
    }

    /// The notice of a plan's task that sets a date, if one does: the indexes of both.
    pub fn of(outlook: &Outlook, held_by: Option<(usize, usize)>) -> Self {
        held_by.map_or_else(Self::default, |(task, notice)| {
            let known = &outlook.tasks[task].notices[notice];
            Self::new(&known.title, known.notice.rule)
        })
    }
}

/// What a page says about the earliest day.
pub(super) struct EarliestSays {
    pub sentence: String,
    pub why: String,
    pub on: Date,
    /// The title of the notice that sets it, or nothing.
    pub held_by: String,
}

impl EarliestSays {
    /// The day in ISO form.
    pub fn iso(&self) -> String {
        words::iso(self.on)
    }
}

/// What a page says about the earliest day, on this condition. `title` is a task's.
pub(super) fn earliest_says<'a>(
    condition: &str,
    found: &Earliest,
    title: impl Fn(usize) -> &'a str,
    holding: Holding,
    today: Date,
) -> EarliestSays {
    let why = found.binding.map_or_else(String::new, |binding| {
        let takes = words::days(binding.days.unsigned_abs(), Basis::Calendar);
        let gain = match (binding.buys, binding.instead) {
            (0, Some(rival)) => {
                format!("Saving a day there alone gains nothing, because “{}” then sets the date", title(rival))
            }
            (0, None) => "Saving a day there gains nothing, because it only runs into a closed day".to_owned(),
            (days, _) => format!("Saving a day there gains {}", words::days(days.unsigned_abs(), Basis::Calendar)),
        };
        format!("The longest step is “{}” with the wait after it: {takes}. {gain}.", title(binding.task))
    });
    EarliestSays {
        sentence: format!(
            "{condition}, the earliest burn day is {}, {} from now.",
            Reader::App.day(found.on),
            words::days(u32::try_from((found.on - today).whole_days()).unwrap_or(0), Basis::Calendar)
        ),
        why: format!("{why} {}", holding.says).trim().to_owned(),
        on: found.on,
        held_by: holding.title,
    }
}
