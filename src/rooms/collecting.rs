//! By when the items for the rooms must be here.

use crate::web::words;
use time::Date;

/// Items for the rooms must be here this many days before burn day. Common practice.
const COLLECTED: i64 = 25;

pub(super) fn collected_by(burn_on: Date) -> Date {
    burn_on - time::Duration::days(COLLECTED)
}

/// "38 days left", "burn day has passed".
pub(super) fn days_left(burn_on: Date, today: Date) -> String {
    match (burn_on - today).whole_days() {
        0 => "burn day is today".to_owned(),
        ..0 => "burn day has passed".to_owned(),
        days => format!("{} left", words::count(usize::try_from(days).unwrap_or(0), "day", "days")),
    }
}
