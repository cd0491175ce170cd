//! What saving or removing a task would do to the plan, in words.

use crate::calc::calendar::Basis;
use crate::countdown::Outlook;
use crate::countdown::consequences::Consequences;
use crate::web::words::{self, Reader};
use time::Date;

/// What saving would do.
#[derive(Debug)]
pub(super) struct Effects {
    pub spare: String,
    /// The days of slack as they would be, and as they are.
    pub spare_after: i32,
    pub spare_before: i32,
    pub is_short: bool,
    pub moved: Vec<(String, String, String)>,
    pub newly_late: Vec<String>,
}

impl Effects {
    pub fn of(outlook: &Outlook, found: &Consequences) -> Self {
        let day =
            |date: Option<Date>| date.map_or_else(|| "–".to_owned(), |date| Reader::App.near_day(date, outlook.today));
        let days = |days: i32| match days {
            ..0 => format!("{} short", words::days(days.unsigned_abs(), Basis::Calendar)),
            _ => format!("{} of slack", words::days(days.unsigned_abs(), Basis::Calendar)),
        };
        let spare = if found.spare_before == found.spare_after {
            format!("Burn day is not affected: {}.", days(found.spare_after))
        } else {
            format!(
                "The plan goes from {} to {}. The earliest possible burn day becomes {}.",
                days(found.spare_before),
                days(found.spare_after),
                Reader::App.near_day(found.earliest_after, outlook.today)
            )
        };
        Self {
            spare,
            spare_after: found.spare_after,
            spare_before: found.spare_before,
            is_short: found.spare_after < 0,
            moved: found.moved.iter().map(|s| (s.title.clone(), day(s.before), day(s.after))).collect(),
            newly_late: found.newly_late.clone(),
        }
    }
}
