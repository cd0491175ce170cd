use super::*;
use time::macros::{date, time};

#[test]
fn text_is_trimmed_bounded_and_clean() {
    assert_eq!(line("  Two Rooms ", 20).unwrap(), "Two Rooms");
    assert!(line("   ", 20).is_err());
    assert!(line("a\nb", 20).is_err());
    assert!(line("abc", 2).is_err());
    assert!(line("a\u{0}b", 20).is_err());
    assert_eq!(line("\u{200b}a\u{202e}b\u{feff} ", 20).unwrap(), "ab", "what isn't seen is taken out");
    assert!(line("\u{200e} \u{2066}", 20).is_err(), "nothing is left");
    assert_eq!(line("Toma\u{301}s", 20).unwrap(), "Tom\u{e1}s");
    assert_eq!(paragraph("a\r\nb", 20).unwrap(), "a\nb");
}

#[test]
fn days_times_and_numbers() {
    assert_eq!(day("2027-10-09").unwrap(), date!(2027 - 10 - 09));
    for wrong in ["", "2027-02-30", "9 Oct 2027", "0001-01-01", "2027-10-9x"] {
        assert!(day(wrong).is_err(), "{wrong}");
    }
    assert_eq!(time_of_day("10:00").unwrap(), time!(10:00));
    assert_eq!(time_of_day("10:00:00").unwrap(), time!(10:00));
    assert!(time_of_day("25:00").is_err());
    assert_eq!(number(" 12 ", 1, 400).unwrap(), 12);
    assert!(number("0", 1, 400).is_err());
    assert!(number("1e3", 1, 400).is_err());
}

#[test]
fn dates_as_people_type_them() {
    for typed in [
        "2027-01-09",
        "2027-1-9",
        "1/9/2027",
        "01/09/2027",
        " 1/9/27 ",
        "1-9-2027",
        "Jan 9, 2027",
        "jan 9 2027",
        "Jan. 9, 2027",
        "January 9th, 2027",
        "January 9, 2027",
        "Sat, Jan 9, 2027",
        "Saturday, January 9, 2027",
        "Sat 1/9/2027",
    ] {
        assert_eq!(day(typed), Ok(date!(2027 - 01 - 09)), "{typed}");
    }
    assert_eq!(day("Sept. 5, 2027"), Ok(date!(2027 - 09 - 05)));
    assert_eq!(day("6/7/98"), Ok(date!(1998 - 06 - 07)));
    for wrong in [
        "Ja 9, 2027",
        "January 2027",
        "9 2027",
        "1/9/2027/",
        "1/9/027",
        "1/9/+27",
        "Feb 29, 2027",
        "Jan 9, 2127",
        "Saturday",
        "9/Jan/2027",
        "٩/١/٢٠٢٧",
        "1//2027",
        "--",
    ] {
        assert!(day(wrong).is_err(), "{wrong}");
    }
    // Each of these says what to change.
    for (typed, says) in [
        ("Jan 9", "year"),
        ("1/9", "year"),
        ("13/1/2027", "1/13/2027"),
        ("Sat, Jan 10, 2027", "Sunday"),
        ("1/9/1890", "1995"),
    ] {
        let why = day(typed).unwrap_err();
        assert!(why.contains(says), "{typed}: {why}");
    }
}

#[test]
fn times_as_people_type_them() {
    for typed in ["9:30", "09:30", "0930", "9:30 am", "9:30 a.m.", "9:30AM", " 9:30 A. M. ", "09:30:00"] {
        assert_eq!(time_of_day(typed), Ok(time!(9:30)), "{typed}");
    }
    for (typed, at) in [
        ("9 am", time!(9:00)),
        ("9 p.m.", time!(21:00)),
        ("12 am", time!(0:00)),
        ("12:05 a.m.", time!(0:05)),
        ("12 pm", time!(12:00)),
        ("12:30", time!(12:30)),
        ("Noon", time!(12:00)),
        ("12 noon", time!(12:00)),
        ("midnight", time!(0:00)),
        ("00:00", time!(0:00)),
        ("23:59", time!(23:59)),
    ] {
        assert_eq!(time_of_day(typed), Ok(at), "{typed}");
    }
    for wrong in ["", "am", "13 pm", "0 am", "24:00", "9:5", "9:60", "930", "9:30:15", "14", "ten", "९:३०", "é30"]
    {
        assert!(time_of_day(wrong).is_err(), "{wrong}");
    }
    let why = time_of_day("9").unwrap_err();
    assert!(why.contains("a.m.") && why.contains("p.m."), "{why}");
}

#[test]
fn a_name_is_no_address() {
    for good in [
        "Ana Ruiz",
        "J.R. Holt",
        "St. John",
        "<b>Jo</b>",
        "@x",
        "O’Neil-Marsh",
        "נועה שמש",
        "Dr. A. B. Cole Jr.",
        "Jo R.",
    ] {
        assert_eq!(name(good, 40).unwrap(), good);
    }
    for wrong in
        ["evil.example/login", "www.x.org", "a@x.org", "Click http://x", "evil.example", "Ana evil.example Ruiz"]
    {
        assert!(name(wrong, 40).is_err(), "{wrong}");
    }
    assert_eq!(name("A\u{200d}na", 40).unwrap(), "Ana");
    assert_eq!(optional_name(" ", 40).unwrap(), "");
}

#[test]
fn mail_addresses_by_their_look() {
    assert!(mail("priya@example.org").is_ok());
    for wrong in ["priya", "@example.org", "a@b", "a b@example.org", "a@x.org, b@x.org", "a@.org"].into_iter().chain([
        "a@x..org",
        ".a@x.org",
        "a.@x.org",
        "a..b@x.org",
        "a@-x.org",
        "a@x-.org",
        "a@x.org.",
        "a@[192.0.2.1]",
    ]) {
        assert!(mail(wrong).is_err(), "{wrong}");
    }
}
