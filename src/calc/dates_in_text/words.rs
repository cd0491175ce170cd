//! The names of months and weekdays.

use time::{Month, Weekday};

pub(super) fn month(word: &str) -> Option<Month> {
    let folded = word.to_lowercase();
    // "may" and "march" are verbs too.
    if ["may", "march", "mar"].contains(&folded.as_str()) && !word.starts_with(char::is_uppercase) {
        return None;
    }
    if folded == "sept" {
        return Some(Month::September);
    }
    (1..=12).filter_map(|number| Month::try_from(number).ok()).find(|month| {
        let name = month.to_string().to_lowercase();
        folded == name || folded == name[..3]
    })
}

pub(super) fn weekday(word: &str) -> Option<Weekday> {
    const SHORT: [&[&str]; 7] =
        [&["mon"], &["tue", "tues"], &["wed", "weds"], &["thu", "thur", "thurs"], &["fri"], &["sat"], &["sun"]];
    let folded = word.to_lowercase();
    let mut day = Weekday::Monday;
    for short in SHORT {
        if folded == day.to_string().to_lowercase() || short.contains(&folded.as_str()) {
            return Some(day);
        }
        day = day.next();
    }
    None
}
