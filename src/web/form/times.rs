//! Times of day as people type them.

use super::days::digits;
use time::Time;

/// A time of day, as a time picker sends it ("09:30") or as people type it ("9:30 a.m.",
/// "9 am", "noon"). Without a.m. or p.m. it is on the 24-hour clock.
///
/// # Errors
/// What to tell the person who typed it.
pub fn time_of_day(text: &str) -> Result<Time, String> {
    let unread = || "Enter a time like 9:30 a.m. or 14:00.".to_owned();
    let text: String = text.to_lowercase().chars().filter(|c| *c != '.' && !c.is_whitespace()).collect();
    let text = match text.as_str() {
        "noon" | "12noon" => "12:00",
        "midnight" | "12midnight" => "00:00",
        other => other,
    };
    let (clock, later) = match (text.strip_suffix("am"), text.strip_suffix("pm")) {
        (Some(clock), _) => (clock, Some(0)),
        (_, Some(clock)) => (clock, Some(12)),
        (None, None) => (text, None),
    };
    let (hour, minute) = match clock.split(':').collect::<Vec<&str>>().as_slice() {
        [hour, minute] | [hour, minute, "00"] if minute.len() == 2 => (digits(hour), digits(minute)),
        // "0930", as the fire service writes it.
        [both] if both.len() == 4 && both.is_ascii() => (digits(&both[..2]), digits(&both[2..])),
        [hour] if later.is_some() => (digits(hour), Some(0)),
        [hour] if digits(hour).is_some_and(|hour| (1..=12).contains(&hour)) => {
            return Err(format!("Add a.m. or p.m., like {hour} a.m."));
        }
        _ => return Err(unread()),
    };
    let (Some(hour), Some(minute)) = (hour, minute) else { return Err(unread()) };
    let hour = match later {
        None => hour,
        Some(later) if (1..=12).contains(&hour) => hour % 12 + later,
        Some(_) => return Err(unread()),
    };
    Time::from_hms(hour, minute, 0).map_err(|_| unread())
}
