use super::*;
use time::macros::date;

#[test]
fn each_holiday_starts_in_its_year() {
    let names = |year| federal_holidays(year).iter().map(|h| h.name).collect::<Vec<_>>();
    let juneteenth = "Juneteenth National Independence Day";
    assert!(!names(2020).contains(&juneteenth));
    assert!(names(2021).contains(&juneteenth));
    assert!(!names(1985).contains(&"Birthday of Martin Luther King, Jr."));
    assert_eq!(names(1990).len(), 10);
    assert_eq!(names(2027).len(), 11);
}

/// The dates of 2026 and 2027 in the list of federal holidays of the United States Office of
/// Personnel Management, from memory.
#[test]
fn observed_days_of_two_years() {
    let observed = |year| federal_holidays(year).iter().map(|h| h.observed_on).collect::<Vec<_>>();
    assert_eq!(
        observed(2026),
        [
            date!(2026 - 01 - 01),
            date!(2026 - 01 - 19),
            date!(2026 - 02 - 16),
            date!(2026 - 05 - 25),
            date!(2026 - 06 - 19),
            date!(2026 - 07 - 03),
            date!(2026 - 09 - 07),
            date!(2026 - 10 - 12),
            date!(2026 - 11 - 11),
            date!(2026 - 11 - 26),
            date!(2026 - 12 - 25),
        ]
    );
    assert_eq!(
        observed(2027),
        [
            date!(2027 - 01 - 01),
            date!(2027 - 01 - 18),
            date!(2027 - 02 - 15),
            date!(2027 - 05 - 31),
            date!(2027 - 06 - 18),
            date!(2027 - 07 - 05),
            date!(2027 - 09 - 06),
            date!(2027 - 10 - 11),
            date!(2027 - 11 - 11),
            date!(2027 - 11 - 25),
            date!(2027 - 12 - 24),
        ]
    );
}

#[test]
fn ten_working_days_before_two_saturdays() {
    let calendar = Calendar::federal();
    assert_eq!(calendar.before(date!(2027 - 10 - 09), 10), date!(2027 - 09 - 27));
    assert_eq!(calendar.before(date!(2027 - 10 - 16), 10), date!(2027 - 10 - 01));
    assert_eq!(calendar.before(date!(2027 - 10 - 09), 30), date!(2027 - 08 - 27));
    assert_eq!(calendar.before(date!(2027 - 10 - 16), 30), date!(2027 - 09 - 02));
    assert_eq!(calendar.before(date!(2027 - 10 - 09), 14), date!(2027 - 09 - 21));
    assert_eq!(calendar.before(date!(2027 - 10 - 16), 14), date!(2027 - 09 - 27));
}

#[test]
fn closed_days_count_once_and_only_on_weekdays() {
    let saturday = date!(2027 - 10 - 02);
    let friday = date!(2027 - 10 - 01);
    let holiday = date!(2027 - 10 - 11);
    assert_eq!(Calendar::new([saturday, holiday, date!(2500 - 01 - 01)]), Calendar::federal());
    let closed = Calendar::new([friday, friday]);
    assert!(!closed.is_working(friday));
    assert_eq!(closed.before(date!(2027 - 10 - 16), 10), date!(2027 - 09 - 30));
}

#[test]
fn zero_days_moves_to_the_nearest_working_day() {
    let calendar = Calendar::federal();
    assert_eq!(calendar.before(date!(2027 - 10 - 11), 0), date!(2027 - 10 - 08));
    assert_eq!(calendar.after(date!(2027 - 10 - 09), 0), date!(2027 - 10 - 12));
    assert_eq!(calendar.before(date!(2027 - 10 - 12), 0), date!(2027 - 10 - 12));
}

#[test]
fn outside_the_table_weekends_are_still_closed() {
    let calendar = Calendar::federal();
    assert!(calendar.is_working(date!(2150 - 07 - 03)));
    assert!(!calendar.is_working(date!(2150 - 07 - 04)));
    assert_eq!(calendar.after(date!(2100 - 12 - 31), 1), date!(2101 - 01 - 03));
    assert_eq!(calendar.before(date!(1990 - 01 - 01), 1), date!(1989 - 12 - 29));
    let far = calendar.after(date!(2099 - 01 - 01), 2_000);
    assert_eq!(calendar.before(far, 2_000), date!(2098 - 12 - 31));
    assert_eq!(calendar.count(date!(2098 - 12 - 31), far), 2_000);
}
