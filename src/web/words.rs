//! Days, times, numbers and phones as people read them.
//!
//! How a day and a time are written depends on who reads them, so each of these
//! takes the reader. Formats are common US practice: the fire service's 24-hour
//! clock in the app, AP style for the press, in words for everyone else.

use crate::calc::calendar::Basis;
use time::macros::format_description;
use time::{Date, Month, PrimitiveDateTime, Time};

/// Who reads a day or a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reader {
    /// Who works in the app, and what the crew works from: "Sat, Jan 9, 2027", "09:30".
    App,
    /// A call sheet, which volunteers read too: "Sat, Jan 9, 2027", "9:30 a.m. (09:30)".
    CallSheet,
    /// Volunteers, guests, lenders, neighbors, and letters to officials: "Saturday,
    /// January 9, 2027", "9:30 a.m.".
    Public,
    /// News people, in AP style: "Saturday, Jan. 9", "9:30 a.m.".
    Press,
}

use Reader::{App, CallSheet, Press, Public};

/// A day this close to today needs no year: no other day could be meant.
const NEAR_DAYS: i64 = 120;

impl Reader {
    /// A day with its year.
    #[must_use]
    pub fn day(self, on: Date) -> String {
        format!("{}, {}", self.day_and_month(on), on.year())
    }

    /// The same, without the year if no other day could be meant.
    #[must_use]
    pub fn near_day(self, on: Date, today: Date) -> String {
        let days = (on - today).whole_days();
        let is_near = match self {
            // AP style: the next day of that name.
            Press => (0..365).contains(&days),
            App | CallSheet | Public => days.abs() < NEAR_DAYS,
        };
        if is_near || on.year() == today.year() { self.day_and_month(on) } else { self.day(on) }
    }

    fn day_and_month(self, on: Date) -> String {
        // By hand: a page shows hundreds of days, and a format description takes ten
        // times as long.
        let weekday = WEEKDAYS[usize::from(on.weekday().number_days_from_monday())];
        let (month, day) = (on.month(), on.day());
        match self {
            App | CallSheet => format!("{}, {} {day}", &weekday[..3], &name(month)[..3]),
            Public => format!("{weekday}, {} {day}", name(month)),
            Press => format!("{weekday}, {} {day}", ap(month)),
        }
    }

    /// A time of day.
    #[must_use]
    pub fn time(self, at: Time) -> String {
        match self {
            App => clock(at),
            CallSheet => format!("{} ({})", spoken(at), clock(at)),
            Public | Press => spoken(at),
        }
    }

    /// From one time to another: "09:30 to 12:00", "9:30 a.m. to noon".
    #[must_use]
    pub fn times(self, from: Time, to: Time) -> String {
        match self {
            App => format!("{} to {}", clock(from), clock(to)),
            CallSheet => format!("{} to {} ({}–{})", spoken(from), spoken(to), clock(from), clock(to)),
            Public | Press => format!("{} to {}", spoken(from), spoken(to)),
        }
    }

    /// A day and a time.
    #[must_use]
    pub fn moment(self, at: PrimitiveDateTime) -> String {
        let (day, time) = (self.day(at.date()), self.time(at.time()));
        match self {
            App | CallSheet => format!("{day}, {time}"),
            Public => format!("{day}, at {time}"),
            // AP style puts the time first.
            Press => format!("{time} {day}"),
        }
    }

    /// The same, without the year if no other day could be meant.
    #[must_use]
    pub fn near_moment(self, at: PrimitiveDateTime, today: Date) -> String {
        let (day, time) = (self.near_day(at.date(), today), self.time(at.time()));
        match self {
            App | CallSheet => format!("{day}, {time}"),
            Public => format!("{day}, at {time}"),
            Press => format!("{time} {day}"),
        }
    }
}

const WEEKDAYS: [&str; 7] = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

fn name(month: Month) -> &'static str {
    match month {
        Month::January => "January",
        Month::February => "February",
        Month::March => "March",
        Month::April => "April",
        Month::May => "May",
        Month::June => "June",
        Month::July => "July",
        Month::August => "August",
        Month::September => "September",
        Month::October => "October",
        Month::November => "November",
        Month::December => "December",
    }
}

/// As AP style shortens months beside a day: March to July never.
fn ap(month: Month) -> &'static str {
    match month {
        Month::January => "Jan.",
        Month::February => "Feb.",
        Month::August => "Aug.",
        Month::September => "Sept.",
        Month::October => "Oct.",
        Month::November => "Nov.",
        Month::December => "Dec.",
        long => name(long),
    }
}

/// "9:30 a.m.", "10 a.m.", "noon", "midnight".
fn spoken(at: Time) -> String {
    let half = if at.hour() < 12 { "a.m." } else { "p.m." };
    let hour = if at.hour().is_multiple_of(12) { 12 } else { at.hour() % 12 };
    match (at.hour(), at.minute()) {
        (0, 0) => "midnight".to_owned(),
        (12, 0) => "noon".to_owned(),
        (_, 0) => format!("{hour} {half}"),
        (_, minute) => format!("{hour}:{minute:02} {half}"),
    }
}

/// "09:30".
fn clock(at: Time) -> String {
    format!("{:02}:{:02}", at.hour(), at.minute())
}

/// "2027-01-09", as forms and machines have it.
#[must_use]
pub fn iso(date: Date) -> String {
    date.format(format_description!("[year]-[month]-[day]")).expect("a date has these parts")
}

/// "Sat 9 Jan 2027", as stored texts have it that are from before wording 2.
#[must_use]
pub fn old_day(on: Date) -> String {
    on.format(format_description!("[weekday repr:short] [day padding:none] [month repr:short] [year]"))
        .expect("a date has these parts")
}

/// Reads it.
#[must_use]
pub fn read_old_day(text: &str) -> Option<Date> {
    Date::parse(text, format_description!("[weekday repr:short] [day padding:none] [month repr:short] [year]")).ok()
}

/// "09:30", as forms and machines have it.
#[must_use]
pub fn iso_time(at: Time) -> String {
    clock(at)
}

/// "1 task", "9 tasks", "1,200 tasks".
#[must_use]
pub fn count(number: impl std::borrow::Borrow<usize>, one: &str, many: &str) -> String {
    let number = *number.borrow();
    if number == 1 { format!("1 {one}") } else { format!("{} {many}", grouped(number)) }
}

/// "Priya Okafor", "Priya Okafor and Sam Lee", "Ana, Ben and Cy".
#[must_use]
pub fn and<T: AsRef<str>>(parts: &[T]) -> String {
    let parts: Vec<&str> = parts.iter().map(AsRef::as_ref).collect();
    match parts.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// "1 to fix, 3 to check": what the checks of a drawing found. Empty if nothing.
#[must_use]
pub fn to_fix(wrong: usize, look: usize) -> String {
    let parts = [(wrong, "to fix"), (look, "to check")];
    let parts = parts.into_iter().filter(|(number, _)| *number > 0).map(|(number, what)| format!("{number} {what}"));
    parts.collect::<Vec<_>>().join(", ")
}

/// A place on a drawing, to a tenth, which is finer than anyone can see.
#[must_use]
pub fn tidy(place: f64) -> f64 {
    (place * 10.0).round() / 10.0
}

/// The text with a capital first letter.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// "12", "1,200".
#[must_use]
pub fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let mut said = String::with_capacity(digits.len() + digits.len() / 3);
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            said.push(',');
        }
        said.push(digit);
    }
    said
}

/// "1 day", "3 working days".
#[must_use]
pub fn days(number: u32, basis: Basis) -> String {
    let working = if basis == Basis::Working { "working " } else { "" };
    if number == 1 { format!("1 {working}day") } else { format!("{number} {working}days") }
}

/// A phone number as a page shows it: "(555) 555-0117". One that isn't of ten digits, or
/// of eleven with a 1 in front, stays as it was typed.
#[must_use]
pub fn phone(typed: &str) -> String {
    let plain = typed.chars().all(|c| c.is_ascii_digit() || " ()-.+".contains(c));
    let digits: String = typed.chars().filter(char::is_ascii_digit).collect();
    let ten = if digits.len() == 11 { digits.strip_prefix('1') } else { Some(digits.as_str()) };
    match ten {
        Some(ten) if plain && ten.len() == 10 => format!("({}) {}-{}", &ten[..3], &ten[3..6], &ten[6..]),
        _ => typed.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;
    use time::macros::{date, datetime, time};

    /// A day and a time as `tests/reference/words.py` had them written by `babel` in US
    /// English (Unicode CLDR): the app's, the public's, the same of the time.
    #[derive(Deserialize)]
    struct Case {
        on: String,
        at: String,
        app: String,
        public: String,
        time: String,
    }

    #[test]
    fn days_and_times_are_written_as_another_library_writes_them() {
        #[derive(Deserialize)]
        struct File {
            cases: Vec<Case>,
        }
        let file: File = serde_json::from_str(include_str!("../../tests/reference/words.json")).unwrap();
        assert!(file.cases.len() > 1_000);
        for case in file.cases {
            let on = Date::parse(&case.on, format_description!("[year]-[month]-[day]")).unwrap();
            let at = Time::parse(&case.at, format_description!("[hour]:[minute]")).unwrap();
            assert_eq!(App.day(on), case.app);
            assert_eq!(Public.day(on), case.public);
            assert_eq!(App.time(at), case.at);
            let said = match case.at.as_str() {
                // CLDR's US English has no word for these two in this format.
                "00:00" => "midnight",
                "12:00" => "noon",
                _ => &case.time,
            };
            assert_eq!(Public.time(at), said);
        }
    }

    /// AP style: months of more than five letters are shortened beside a day, the year is
    /// left out near today, no ":00", noon and midnight in words. Written by hand, from
    /// memory.
    #[test]
    fn the_press_reads_days_and_times_in_ap_style() {
        let today = date!(2026 - 11 - 30);
        for (on, says) in [
            (date!(2027 - 01 - 09), "Saturday, Jan. 9"),
            (date!(2027 - 02 - 13), "Saturday, Feb. 13"),
            (date!(2027 - 03 - 27), "Saturday, March 27"),
            (date!(2027 - 04 - 10), "Saturday, April 10"),
            (date!(2027 - 05 - 01), "Saturday, May 1"),
            (date!(2027 - 06 - 05), "Saturday, June 5"),
            (date!(2027 - 07 - 03), "Saturday, July 3"),
            (date!(2027 - 08 - 07), "Saturday, Aug. 7"),
            (date!(2027 - 12 - 04), "Saturday, Dec. 4, 2027"),
            (date!(2026 - 09 - 05), "Saturday, Sept. 5"),
            (date!(2026 - 10 - 10), "Saturday, Oct. 10"),
            (date!(2026 - 11 - 19), "Thursday, Nov. 19"),
            (date!(2026 - 12 - 01), "Tuesday, Dec. 1"),
            (date!(2025 - 12 - 01), "Monday, Dec. 1, 2025"),
        ] {
            assert_eq!(Press.near_day(on, today), says);
        }
        for (at, says) in [
            (time!(0:00), "midnight"),
            (time!(0:05), "12:05 a.m."),
            (time!(9:30), "9:30 a.m."),
            (time!(10:00), "10 a.m."),
            (time!(12:00), "noon"),
            (time!(12:01), "12:01 p.m."),
            (time!(13:00), "1 p.m."),
            (time!(23:59), "11:59 p.m."),
        ] {
            assert_eq!(Press.time(at), says);
        }
        assert_eq!(Press.moment(datetime!(2027-01-09 10:00)), "10 a.m. Saturday, Jan. 9, 2027");
        assert_eq!(Press.times(time!(10:00), time!(12:00)), "10 a.m. to noon");
    }

    #[test]
    fn each_reader_has_one_way() {
        let (at, today) = (datetime!(2027-01-09 9:30), date!(2026 - 11 - 30));
        assert_eq!(App.moment(at), "Sat, Jan 9, 2027, 09:30");
        assert_eq!(App.near_moment(at, today), "Sat, Jan 9, 09:30");
        assert_eq!(CallSheet.near_moment(at, today), "Sat, Jan 9, 9:30 a.m. (09:30)");
        assert_eq!(CallSheet.times(time!(8:30), time!(12:00)), "8:30 a.m. to noon (08:30–12:00)");
        assert_eq!(Public.moment(at), "Saturday, January 9, 2027, at 9:30 a.m.");
        assert_eq!(App.near_day(date!(2026 - 01 - 09), today), "Fri, Jan 9", "of this year");
        assert_eq!(App.near_day(date!(2027 - 06 - 05), today), "Sat, Jun 5, 2027", "far off");
        assert_eq!(iso(at.date()), "2027-01-09");
        for (on, says) in [(at.date(), "Sat 9 Jan 2027"), (date!(2027 - 05 - 31), "Mon 31 May 2027")] {
            assert_eq!((old_day(on).as_str(), read_old_day(says)), (says, Some(on)));
        }
        assert_eq!(iso_time(at.time()), "09:30");
    }

    #[test]
    fn numbers_and_phones() {
        assert_eq!(days(1, Basis::Working), "1 working day");
        assert_eq!(days(0, Basis::Calendar), "0 days");
        assert_eq!(count(1, "task", "tasks"), "1 task");
        assert_eq!(count(13_940, "task", "tasks"), "13,940 tasks");
        assert_eq!([0, 999, 1_000, 1_234_567].map(grouped), ["0", "999", "1,000", "1,234,567"]);
        assert_eq!(phone("555.555.0117"), "(555) 555-0117");
        assert_eq!(phone("+1 555-555-0117"), "(555) 555-0117");
        for typed in ["555-0117", "", "555-555-0117 ext. 3", "+44 20 7946 0000", "call 5555550117"] {
            assert_eq!(phone(typed), typed);
        }
    }
}
