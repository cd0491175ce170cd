//! Which dates and times a press fact names.

use crate::calc::dates_in_text::{self, Named};
use crate::events::Event;
use time::{Date, Duration};

/// Dates in a press fact that are not burn day, the rain date or the day before one of
/// them, when decisions are posted.
pub(in crate::press) fn strange_days(event: &Event, text: &str) -> Vec<String> {
    let own = [Some(event.details.burn_on), event.details.rain_on];
    let fits = |named: Named| own.into_iter().flatten().any(|on| named.is_day(on) || named.is_day(on - Duration::DAY));
    let found = dates_in_text::find(text).into_iter();
    let days = found.filter(|found| matches!(found.named, Named::Day { .. }) && !fits(found.named));
    days.map(|found| text[found.start..found.end].to_owned()).collect()
}

/// Does a press fact have burn day or a time in it?
pub(in crate::press) fn names_own_times(burn_on: Date, text: &str) -> bool {
    dates_in_text::find(text).into_iter().any(|found| match found.named {
        Named::Day { .. } => found.named.is_day(burn_on),
        Named::Clock { .. } => true,
    })
}
