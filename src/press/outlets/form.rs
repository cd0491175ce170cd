//! The form of an outlet.

use super::{Outlet, OutletDetails};
use crate::calc::dates_in_text::{self, Named};
use crate::events::WEEK;
use crate::web::conflict::Conflict;
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes};
use crate::web::words::{self, Reader};
use serde::Deserialize;
use time::Date;

/// The most days, besides weekdays, on which an outlet can be closed.
const MOST_DAYS: usize = 40;

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct OutletForm {
    pub name: String,
    pub kind: String,
    pub rhythm: String,
    pub lead_days: String,
    pub weekday: Vec<String>,
    pub closed_on: String,
    pub version: i64,
}

impl OutletForm {
    pub fn of(details: &OutletDetails, version: i64) -> Self {
        let days: Vec<String> = details.closed_on.iter().map(|on| Reader::App.day(*on)).collect();
        Self {
            name: details.name.clone(),
            kind: details.kind.to_string(),
            rhythm: details.rhythm.clone(),
            lead_days: details.lead_days.to_string(),
            weekday: details.closed_weekdays.iter().map(ToString::to_string).collect(),
            closed_on: days.join("; "),
            version,
        }
    }

    /// The part about days when it is closed.
    pub fn closed(&self, mistakes: &Mistakes) -> Fold {
        let is_typed = !self.closed_on.trim().is_empty();
        Fold::of([("weekday", !self.weekday.is_empty()), ("closed_on", is_typed)], mistakes, false)
    }

    pub fn closes(&self, day: &str) -> bool {
        self.weekday.iter().any(|closed| closed == day)
    }

    pub fn read(&self) -> Result<OutletDetails, Mistakes> {
        let mut mistakes = Mistakes::default();
        let name = mistakes.note("name", form::line(&self.name, 100));
        let kind = mistakes.note("kind", self.kind.parse());
        let rhythm = mistakes.note("rhythm", form::optional_line(&self.rhythm, 200));
        let lead_days = mistakes.note("lead_days", form::number(&self.lead_days, 0_u8, 120));
        let closed_on = mistakes.note("closed_on", days(&self.closed_on));
        let closed_weekdays: Vec<_> = WEEK.into_iter().filter(|day| self.closes(&day.to_string())).collect();
        if closed_weekdays.len() == WEEK.len() {
            mistakes.add("weekday", "An outlet can't be closed every day. Leave one day open.");
        }
        match (name, kind, rhythm, lead_days, closed_on, mistakes.is_empty()) {
            (Some(name), Some(kind), Some(rhythm), Some(lead_days), Some(closed_on), true) => {
                Ok(OutletDetails { name, kind, rhythm, lead_days, closed_weekdays, closed_on })
            }
            _ => Err(mistakes),
        }
    }

    /// What someone else saved meanwhile, beside what was typed here.
    pub fn conflict(&self, theirs: &Outlet, event_id: i64) -> Conflict {
        let saved = Self::of(&theirs.details, theirs.version);
        let mut conflict = Conflict::new(&saved.name, theirs.href(event_id), theirs.version);
        conflict.field("name", "Name", &saved.name, &self.name);
        conflict.field("kind", "Type", &saved.kind, &self.kind);
        conflict.field("rhythm", "Deadline", &saved.rhythm, &self.rhythm);
        conflict.field("lead_days", "Days needed", &saved.lead_days, &self.lead_days);
        conflict.list("weekday", "Closed on", &saved.weekday, &self.weekday);
        conflict.field("closed_on", "Also closed on", &saved.closed_on, &self.closed_on);
        conflict
    }
}

/// Dates as people type them, "1/2/2027, Jan. 3, 2027", and as the form shows them.
fn days(text: &str) -> Result<Vec<Date>, String> {
    let wrong = || "Give each date with its year, like 1/2/2027, with commas between.".to_owned();
    let has_more = |rest: &str| rest.contains(char::is_alphanumeric);
    let (mut days, mut end) = (Vec::new(), 0);
    for found in dates_in_text::find(text) {
        // "Dec. 24-26, 2027" names the days between, too.
        if found.start < end {
            return Err(wrong());
        }
        let Named::Day { year: Some(year), month, day, .. } = found.named else { return Err(wrong()) };
        if found.start > end && has_more(&text[end..found.start]) {
            return Err(wrong());
        }
        let day = Date::from_calendar_date(year, month, day).map_err(|_| wrong())?;
        if let Some(typed) = found.named.wrong_weekday(day) {
            let day = Reader::App.day(day);
            return Err(format!("One of these is not a {typed}: {day}. Fix the date or the weekday."));
        }
        days.push(form::day(&words::iso(day))?);
        end = found.end;
    }
    if has_more(&text[end..]) {
        return Err(wrong());
    }
    if days.len() > MOST_DAYS { Err(format!("Give at most {MOST_DAYS} dates.")) } else { Ok(days) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn closed_days_are_read_as_people_type_them() {
        let both = [date!(2027 - 01 - 02), date!(2027 - 06 - 01)];
        for text in [
            "1/2/2027, 6/1/2027",
            "Jan. 2, 2027, June 1, 2027",
            "January 2, 2027; Tuesday, June 1, 2027",
            "2027-01-02 2027-06-01",
            // As the form shows them.
            &both.map(|on| Reader::App.day(on)).join("; "),
        ] {
            assert_eq!(days(text).as_deref(), Ok(both.as_slice()), "{text}");
        }
        assert_eq!(days(" "), Ok(Vec::new()));
        for text in [
            "soon",
            "1/2/2027 and soon",
            "1/2",
            "2/30/2027",
            "at noon",
            "closed 1/2/2027",
            "1/2/1850",
            "Dec. 24-26, 2027",
        ] {
            assert!(days(text).is_err(), "{text}");
        }
        assert!(days(&"1/2/2027 ".repeat(41)).is_err());
        // June 1, 2027 is a Tuesday.
        let wrong = days("1/2/2027, Monday, June 1, 2027").unwrap_err();
        assert!(wrong.contains("Monday") && wrong.contains("Tue, Jun 1, 2027"), "{wrong}");
    }
}
