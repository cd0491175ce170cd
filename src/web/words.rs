//! Days and numbers as people read them.

use crate::calc::calendar::Basis;
use time::macros::format_description;
use time::{Date, PrimitiveDateTime, Time};

/// "Sat 2 Jan 2027".
#[must_use]
pub fn day(date: Date) -> String {
    format!("{} {}", short_day(date), date.year())
}

/// "Sat 2 Jan", with the year when it isn't the reader's.
#[must_use]
pub fn near_day(date: Date, today: Date) -> String {
    if date.year() == today.year() || (date - today).whole_days().abs() < 120 { short_day(date) } else { day(date) }
}

/// A page shows hundreds of days; the names by hand take a fraction of the time
/// of a format description.
fn short_day(date: Date) -> String {
    const WEEKDAYS: [&str; 7] = ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"];
    const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let weekday = WEEKDAYS[usize::from(date.weekday().number_days_from_monday())];
    let month = MONTHS[usize::from(u8::from(date.month())) - 1];
    format!("{weekday} {} {month}", date.day())
}

/// "2027-01-02", as forms and machines have it.
#[must_use]
pub fn iso(date: Date) -> String {
    date.format(format_description!("[year]-[month]-[day]")).expect("a date has these parts")
}

/// "09:30".
#[must_use]
pub fn clock(time: Time) -> String {
    time.format(format_description!("[hour]:[minute]")).expect("a time has these parts")
}

/// "Sat 2 Jan 2027, 09:30".
#[must_use]
pub fn moment(at: PrimitiveDateTime) -> String {
    format!("{}, {}", day(at.date()), clock(at.time()))
}

/// "1 task", "9 tasks".
#[must_use]
pub fn count(number: impl std::borrow::Borrow<usize>, one: &str, many: &str) -> String {
    let number = *number.borrow();
    if number == 1 { format!("1 {one}") } else { format!("{number} {many}") }
}

/// "1 day", "3 working days".
#[must_use]
pub fn days(number: u32, basis: Basis) -> String {
    let working = if basis == Basis::Working { "working " } else { "" };
    if number == 1 { format!("1 {working}day") } else { format!("{number} {working}days") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn days_read_as_people_say_them() {
        let on = date!(2027 - 01 - 02);
        assert_eq!(day(on), "Sat 2 Jan 2027");
        assert_eq!(near_day(on, date!(2026 - 11 - 25)), "Sat 2 Jan");
        assert_eq!(near_day(on, date!(2026 - 02 - 25)), "Sat 2 Jan 2027");
        assert_eq!(iso(on), "2027-01-02");
        assert_eq!(days(1, Basis::Working), "1 working day");
        assert_eq!(days(0, Basis::Calendar), "0 days");
        assert_eq!(count(1, "task", "tasks"), "1 task");
    }
}
