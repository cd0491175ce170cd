use super::*;
use time::macros::date;

fn home(city: &str, state: &str) -> Home {
    Home { city: city.to_owned(), state: state.to_owned(), ..Home::default() }
}

#[test]
fn a_dateline_has_the_city_in_capitals_and_the_state_as_ap_style_has_it() {
    let on = date!(2026 - 11 - 19);
    for (city, state, line) in [
        ("Alder Bend", "Iowa", "ALDER BEND, Iowa (Nov. 19, 2026) –"),
        ("Alder Bend", "IA", "ALDER BEND, Iowa (Nov. 19, 2026) –"),
        ("Alder Bend", "n.y.", "ALDER BEND, N.Y. (Nov. 19, 2026) –"),
        ("Alder Bend", "west virginia", "ALDER BEND, W.Va. (Nov. 19, 2026) –"),
        ("Alder Bend", "Calif.", "ALDER BEND, Calif. (Nov. 19, 2026) –"),
        ("Alder Bend", "Guam", "ALDER BEND, Guam (Nov. 19, 2026) –"),
        ("", "Minnesota", "[CITY], Minn. (Nov. 19, 2026) –"),
        ("Alder Bend", "", "ALDER BEND, [State] (Nov. 19, 2026) –"),
    ] {
        assert_eq!(dateline(&home(city, state), on), line);
        assert_eq!(day_of(&format!("CONTACT: Jun\n\n{line} Two rooms will burn.")), Some(on), "{line}");
    }
    assert_eq!(short_day(date!(2027 - 05 - 01)), "May 1, 2027");
}

#[test]
fn a_day_in_brackets_elsewhere_is_no_dateline() {
    for text in [
        "The burn (Nov. 19, 2026) – it rained.",
        "WHEN: Saturday (Nov. 19, 2026)",
        "WHEN (Nov. 19, 2026) – come and see",
        "FREE, Saturday (Nov. 19, 2026) – come and see",
        "COME AND SEE TWO ROOMS BURN (Nov. 19, 2026) – it is free",
        "ALDER BEND, the fairground (Nov. 19, 2026) – Two rooms",
        "NFPA 1403 (Nov. 19, 2026) – Two rooms",
        "ALDER BEND, Iowa – Nov. 19, 2026",
        "ALDER BEND, Iowa (Two rooms) – on Nov. 19, 2026",
        "ALDER BEND, Iowa (10 a.m.) – Two rooms",
        // Only the start of the text is one.
        "Two rooms will burn.\n\nALDER BEND, Iowa (Nov. 19, 2026) – Come.",
        "Two rooms will burn.\nALDER BEND, Iowa (Nov. 19, 2026) – Come.",
    ] {
        assert_eq!(day_of(text), None, "{text}");
    }
}

#[test]
fn cities_are_known_in_capitals_with_and_without_their_state() {
    let places =
        ["McCALL, Idaho", "CHICAGO", "COEUR d'ALENE, Idaho", "ST. PAUL, Minn.", "O'FALLON, MO", "DeKALB, Ill."];
    for place in places {
        assert!(find(&format!("{place} (Nov. 19, 2026) — Two rooms will burn.")).is_some(), "{place}");
    }
}

#[test]
fn a_day_without_its_year_is_the_closest() {
    let text = |day: &str| format!("ALDER BEND, Iowa ({day}) – Two rooms will burn.");
    let today = date!(2027 - 01 - 04);
    for (day, on) in [
        ("Dec. 30", Some(date!(2026 - 12 - 30))),
        ("Jan. 4", Some(today)),
        ("Jan. 9", Some(date!(2027 - 01 - 09))),
        ("Jan. 9, 2026", Some(date!(2026 - 01 - 09))),
        ("soon", None),
    ] {
        assert_eq!(day_near(&text(day), today), on, "{day}");
    }
    assert_eq!(day_of(&text("Jan. 9")), None, "without a year it may be any");
}
