use super::OutletDetails;
use crate::events::WEEK;
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;

/// Days on which an outlet is closed, besides weekdays, are at most these many.
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
        let days: Vec<String> = details.closed_on.iter().map(|on| words::iso(*on)).collect();
        Self {
            name: details.name.clone(),
            kind: details.kind.to_string(),
            rhythm: details.rhythm.clone(),
            lead_days: details.lead_days.to_string(),
            weekday: details.closed_weekdays.iter().map(ToString::to_string).collect(),
            closed_on: days.join(", "),
            version,
        }
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
        let days = self.closed_on.split([',', ' ', ';']).filter(|day| !day.trim().is_empty());
        let days: Result<Vec<_>, String> = days.map(form::day).collect();
        let days = days.and_then(|days| {
            if days.len() > MOST_DAYS { Err(format!("Give at most {MOST_DAYS} days.")) } else { Ok(days) }
        });
        let closed_on = mistakes.note("closed_on", days);
        let closed_weekdays: Vec<_> = WEEK.into_iter().filter(|day| self.closes(&day.to_string())).collect();
        if closed_weekdays.len() == WEEK.len() {
            mistakes.add("weekday", "An outlet that is never there can't be reached.");
        }
        match (name, kind, rhythm, lead_days, closed_on, mistakes.is_empty()) {
            (Some(name), Some(kind), Some(rhythm), Some(lead_days), Some(closed_on), true) => {
                Ok(OutletDetails { name, kind, rhythm, lead_days, closed_weekdays, closed_on })
            }
            _ => Err(mistakes),
        }
    }
}
