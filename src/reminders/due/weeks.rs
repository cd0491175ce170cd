//! The education officers' weekly summaries.

use super::Inputs;
use super::keys::keyed;
use crate::calc::reminder::{By, Reminder};
use crate::reminders::line::{About, Line};
use crate::web::words;
use time::macros::time;
use time::{Duration, PrimitiveDateTime, Time, Weekday};

/// The summary comes before work starts.
const BEFORE_WORK: Time = time!(8:00);
const EVENING: Time = time!(20:00);

impl Inputs<'_> {
    /// Each education officer's weekly summaries: this Monday's if it isn't too late, and
    /// the next ones.
    pub(super) fn of_week(&self) -> Vec<Line> {
        let officers = self.officers();
        let today = self.outlook.today;
        let monday = today - Duration::days(i64::from(today.weekday().number_days_from_monday()));
        let mondays = (0..3).map(|weeks| monday + Duration::weeks(weeks));
        mondays
            .filter(|monday| *monday <= self.event.details.burn_on && monday.weekday() == Weekday::Monday)
            .flat_map(|monday| {
                let key = format!("week/{}/{}", self.event.id, words::iso(monday));
                keyed(officers.iter().copied(), key).map(move |(person_id, key)| (monday, person_id, key))
            })
            .map(|(monday, person_id, key)| Line {
                key,
                person_id,
                by: By::Mail,
                reminder: Reminder {
                    about: i64::MIN,
                    due: PrimitiveDateTime::new(monday, BEFORE_WORK),
                    not_after: PrimitiveDateTime::new(monday, EVENING),
                    still_true: true,
                },
                title: "Weekly summary".to_owned(),
                why: "every Monday".to_owned(),
                about: About::Week(monday),
            })
            .collect()
    }
}
