use super::*;
use time::macros::{date, time};
use time::{Time, Weekday};

fn days(text: &str) -> Vec<(Option<i32>, u8, u8)> {
    let day = |found: Found| match found.named {
        Named::Day { year, month, day, .. } => Some((year, u8::from(month), day)),
        Named::Clock { .. } => None,
    };
    find(text).into_iter().filter_map(day).collect()
}

#[test]
fn a_day_is_found_in_each_usual_spelling() {
    for text in [
        "9 Oct",
        "9 October",
        "9th October",
        "the 9th of October",
        "Oct 9",
        "Oct. 9",
        "October 9th",
        "October the 9th",
        "Sat 9 Oct",
        "Saturday, Oct. 9",
        "Saturday, October 9",
        "Sat, Oct 9",
        "Saturday (Oct. 9)",
        "10 a.m. Saturday, Oct. 9",
        "noon Saturday, Oct. 9.",
        "SATURDAY OCTOBER 9",
        "on 10/9",
        "Sat 10/9",
    ] {
        assert_eq!(days(text), [(None, 10, 9)], "{text}");
    }
    for text in [
        "9 Oct 2027",
        "October 9, 2027",
        "Oct. 9, 2027",
        "Oct. 9th, 2027",
        "Saturday, Oct. 9, 2027",
        "Saturday, October 9, 2027, at 10 a.m.",
        "Sat, Oct 9, 2027, 10:00",
        "10 a.m. Saturday, Oct. 9, 2027",
        "Sat 9 Oct 2027, 13:00",
        "Saturday 9 October 2027",
        "10/9/2027",
        "10/09/27",
        "10-9-2027",
        "9.10.2027",
        "2027-10-09",
    ] {
        assert_eq!(days(text), [(Some(2027), 10, 9)], "{text}");
    }
    for text in ["9–16 Oct", "Oct 9-16", "9 or 16 October", "October 9 and 16", "Oct. 9 and Oct. 16", "9 Oct, 16 Oct"]
    {
        assert_eq!(days(text), [(None, 10, 9), (None, 10, 16)], "{text}");
    }
}

/// The United States writes the month first, and AP style shortens only long months.
#[test]
fn american_dates_are_read_as_americans_write_them() {
    for (text, month, day) in [
        ("1/9/2027", 1, 9),
        ("01/09/2027", 1, 9),
        ("1/9/27", 1, 9),
        ("Saturday, Jan. 9, 2027", 1, 9),
        ("10 a.m. Saturday, Jan. 9, 2027", 1, 9),
        ("Saturday, Feb. 6, 2027", 2, 6),
        ("Saturday, March 6, 2027", 3, 6),
        ("Saturday, April 3, 2027", 4, 3),
        ("Saturday, May 1, 2027", 5, 1),
        ("Saturday, June 5, 2027", 6, 5),
        ("Saturday, July 3, 2027", 7, 3),
        ("Saturday, Aug. 7, 2027", 8, 7),
        ("Saturday, Sept. 4, 2027", 9, 4),
        ("Saturday, Nov. 6, 2027", 11, 6),
        ("Saturday, Dec. 4, 2027", 12, 4),
        // As texts had it before.
        ("Sat 2 Jan 2027", 1, 2),
        ("Saturday 2 January 2027", 1, 2),
    ] {
        assert_eq!(days(text), [(Some(2027), month, day)], "{text}");
    }
    assert_eq!(days("Saturday, Jan. 9"), [(None, 1, 9)]);
    assert_eq!(days("ALDER BEND, Iowa (Nov. 19, 2026) – It burns."), [(Some(2026), 11, 19)]);
}

#[test]
fn what_is_no_day_is_left_alone() {
    for text in [
        "call 555-0118",
        "call (555) 555-0117",
        "24 1/2 in",
        "1/2 of it",
        "open 24/7",
        "of 10 may come",
        "march 5 abreast",
        "October 2027",
        "Jun Castellane, 555-0118",
        "31 Feb",
        "about 4 minutes",
        "A4",
    ] {
        assert_eq!(days(text), [], "{text}");
    }
}

fn times(text: &str) -> Vec<(Time, Option<Time>)> {
    let time = |found: Found| match found.named {
        Named::Clock { at, or } => Some((at, or)),
        Named::Day { .. } => None,
    };
    find(text).into_iter().filter_map(time).collect()
}

#[test]
fn a_time_is_found_in_each_usual_spelling() {
    for text in ["1 p.m.", "1 pm", "1PM", "1:00 p.m.", "1.00 pm", "1300 hours"] {
        assert_eq!(times(text), [(time!(13:00), None)], "{text}");
    }
    assert_eq!(times("13:00"), [(time!(13:00), None)]);
    assert_eq!(times("at 10:00"), [(time!(10:00), Some(time!(22:00)))]);
    assert_eq!(times("9 o'clock"), [(time!(9:00), Some(time!(21:00)))]);
    assert_eq!(times("noon"), [(time!(12:00), None)]);
    assert_eq!(times("12 a.m. or midnight"), [(time!(0:00), None), (time!(0:00), None)]);
    for text in ["10 a.m. to noon", "10 to noon", "10–noon", "10 a.m.–noon", "10 a.m. to 12 p.m."] {
        assert_eq!(times(text), [(time!(10:00), None), (time!(12:00), None)], "{text}");
    }
    for text in ["10 a.m. Saturday, Jan. 9, 2027", "Jan. 9 – 10 a.m.", "Jan. 9, 10 a.m.", "10 AM on 1/9/2027"] {
        assert_eq!(times(text), [(time!(10:00), None)], "{text}");
    }
    assert_eq!(times("noon Saturday, Jan. 9"), [(time!(12:00), None)]);
    assert_eq!(times("from 8:30 a.m. to 1 p.m."), [(time!(8:30), None), (time!(13:00), None)]);
    assert_eq!(times("October 9, 10 a.m."), [(time!(10:00), None)]);
    assert_eq!(times("9–11 a.m.").len(), 2);
    for text in ["555-0118", "(555) 555-0117", "room 10", "10 minutes", "25:00", "v1.00", "in 2027"] {
        assert_eq!(times(text), [], "{text}");
    }
}

#[test]
fn each_has_its_place_and_its_weekday() {
    let text = "WHEN: Friday 9 Oct, 10:00";
    let found = find(text);
    assert_eq!(&text[found[0].start..found[0].end], "Friday 9 Oct");
    assert_eq!(&text[found[1].start..found[1].end], "10:00");
    // 9 October 2027 is a Saturday.
    assert_eq!(found[0].named.wrong_weekday(date!(2027 - 10 - 09)), Some(Weekday::Friday));
    assert!(found[0].named.is_day(date!(2027 - 10 - 09)) && !found[0].named.is_day(date!(2027 - 10 - 16)));
    assert!(found[1].named.is_time(time!(10:00)) && found[1].named.is_time(time!(22:00)));
}
