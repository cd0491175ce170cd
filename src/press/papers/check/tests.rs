use super::super::changes::changes_say;
use super::super::first_text::Start;
use super::super::marks::PLACE;
use super::super::testing::details;
use super::*;
use crate::calc::homes::Home;
use crate::events::Details;
use crate::press::facts::Facts;
use time::macros::{date, datetime, time};
use time::{Date, OffsetDateTime};

const TODAY: Date = date!(2027 - 09 - 20);
const NOW: OffsetDateTime = datetime!(2027-09-20 15:00 UTC);

fn press_facts() -> Facts {
    let text = |text: &str| text.to_owned();
    Facts {
        contact: text("Jun Castellane"),
        phone: text("555-0118"),
        mail: text("jun@example.org"),
        why: text("Most people think they have longer."),
        area: text("North fence."),
        arrival: text("9:15 a.m. by gate B."),
        interviews: text("Chief at 11 a.m."),
        visuals: text("Smoke alarm at about minute 1."),
        decision: text("Posted Friday by 4 p.m."),
        clothing: text("Closed shoes."),
        power: text("None."),
        ..Facts::default()
    }
}

fn facts() -> PaperFacts {
    PaperFacts::of(&details(), "Alder Bend Fire District", &press_facts(), NOW)
}

fn of(text: &str) -> Draft {
    Draft { headline: "Two rooms burn".to_owned(), text: text.to_owned(), embargo: None }
}

fn first(kind: PaperKind, facts: &Facts) -> Draft {
    let home = Home { city: "Alder Bend".to_owned(), state: "Iowa".to_owned(), ..Home::default() };
    let (headline, text) = kind.first_text(facts, &Start { home: &home, today: TODAY });
    Draft { headline, text, embargo: None }
}

#[test]
fn a_draft_with_every_fact_is_complete() {
    for kind in [PaperKind::Advisory, PaperKind::Release] {
        let draft = first(kind, &press_facts());
        let draft = Draft { text: draft.text.replace('[', "(").replace(']', ")"), ..draft };
        assert_eq!(check(kind, &draft, &facts()), Check::default(), "{kind}");
    }
    let advisory = first(PaperKind::Advisory, &press_facts());
    assert_eq!(check(PaperKind::Advisory, &advisory, &facts()), Check::default(), "nothing to look up");
}

#[test]
fn what_is_not_known_is_in_brackets_and_missing() {
    let unknown = Facts { area: String::new(), phone: String::new(), mail: String::new(), ..press_facts() };
    let facts = PaperFacts::of(&details(), "Alder Bend Fire District", &unknown, NOW);
    let missing = |kind| check(kind, &first(kind, &unknown), &facts).missing;
    assert_eq!(missing(PaperKind::Advisory), ["media staging area", "contact phone", "contact email"]);
    assert!(missing(PaperKind::AfterTheDay).contains(&"minutes and seconds".to_owned()));
}

/// Each line is in an advisory whose other lines are right: a wrong date must not
/// pass because another line has the right one.
#[test]
fn a_line_with_a_wrong_date_or_time_is_found_though_another_line_is_right() {
    let rest = "Come at {time} {burn day}.\n\nRAIN DATE: {rain date}. {decision}\n\nCONTACT: {contact phone}";
    let right = [
        "WHEN: {time} {burn day}",
        "WHEN: 10 a.m. Saturday, Oct. 9",
        "WHEN: 10 a.m. Saturday, Oct. 9, 2027",
        "WHEN: Saturday, October 9, 2027, at 10 a.m.",
        "WHEN: Saturday, October 9th, 2027 at 10 a.m.",
        "WHEN: 10/9/2027, 10:00",
        "WHEN: 10 a.m. to noon Saturday, Oct. 9",
        "WHEN: {time} to noon {burn day}",
        "WHEN: 10–11:30 a.m. {burn day}",
        "WHEN: 10 to noon, {burn day}",
        "WHEN: Oct. 9, rain date Oct. 16",
        "WHEN: 10 a.m. Saturday, Oct. 9. If it rains: Saturday, Oct. 16",
        // As texts had it before.
        "WHEN: Sat 9 Oct 2027, 10:00",
        "WHEN: Saturday 9 October 2027, 10:00",
        "If it rains, the burn is on Oct. 16.",
        "MEDIA ARRIVAL AND PARKING: 9:15 a.m.",
        "In {other: March 3, 2019} a house burned.",
        "The decision is posted at 4 p.m.",
        "The decision is posted at 16:00.",
        "ALDER BEND, Iowa (Sept. 20, 2027) – Two rooms will burn.",
    ];
    for line in right {
        let found = check(PaperKind::Advisory, &of(&format!("{line}\n\n{rest}")), &facts());
        assert_eq!(found, Check::default(), "{line}");
    }
    let burn_day = "burn day is Saturday, Oct. 9";
    let wrong = [
        ("WHEN: Oct. 16, 10 a.m.", "WHEN: “Oct. 16” ", burn_day),
        ("WHEN: 10/16/2027", "WHEN: “10/16/2027” ", burn_day),
        ("WHEN: Oct. 2", "WHEN: “Oct. 2” ", "not a date"),
        ("WHEN: Saturday, Oct. 2", "WHEN: “Saturday, Oct. 2” ", "not a date"),
        ("WHEN: 2 Oct", "WHEN: “2 Oct” ", "not a date"),
        ("WHEN: 2027-10-02", "WHEN: “2027-10-02” ", "not a date"),
        ("WHEN: 10/2", "WHEN: “10/2” ", "not a date"),
        ("WHEN: Oct. 9, 2026", "WHEN: “Oct. 9, 2026” ", "not a date"),
        ("WHEN: Friday, Oct. 9", "WHEN: “Friday, Oct. 9” ", "Saturday"),
        ("WHEN: Saturday", "WHEN: ", "Saturday, Oct. 9"),
        ("WHEN: {rain date}", "WHEN: ", "Saturday, Oct. 9"),
        ("WHEN: {burn day}, 13:00", "WHEN: “13:00” ", "10 a.m."),
        ("WHEN: 9:15 a.m. {burn day}", "WHEN: “9:15 a.m.” ", "10 a.m."),
        ("WHEN: 1 p.m. {burn day}", "WHEN: “1 p.m.” ", "10 a.m."),
        ("WHEN: 9–10 a.m. {burn day}", "WHEN: ", "10 a.m."),
        ("WHEN: 9 a.m. to noon {burn day}", "WHEN: “noon” ", "10 a.m."),
        ("WHEN: {time} {burn day} or noon", "WHEN: “noon” ", "10 a.m."),
        ("Date: October 2", "Date: “October 2” ", "not a date"),
        ("RAIN DATE: Oct. 23", "RAIN DATE: “Oct. 23” ", "not a date"),
        ("RAIN DATE: Oct. 9", "RAIN DATE: ", "Saturday, Oct. 16"),
        ("See two rooms burn on Oct. 16.", "“See two rooms burn on Oct. …”: “Oct. 16” ", burn_day),
        ("See it at noon.", "“See it at noon. …”: “noon” ", "10 a.m."),
        ("The burn (Sept. 20, 2027) – see it.", "“The burn (Sept. 20, 2027) – …”: “Sept. 20, 2027” ", "not a date"),
        ("WHEN (Oct. 2, 2027) – see it.", "“WHEN (Oct. 2, 2027) – see …”: “Oct. 2, 2027” ", "not a date"),
        (
            "Two rooms burn.\n\nALDER BEND, Iowa (Oct. 2, 2027) – See it.",
            "“ALDER BEND, Iowa (Oct. 2, 2027) …”: “Oct. 2, 2027” ",
            "not a date",
        ),
    ];
    for (line, starts, says) in wrong {
        let found = check(PaperKind::Advisory, &of(&format!("{line}\n\n{rest}")), &facts());
        let is_named = found.wrong.iter().any(|wrong| wrong.starts_with(starts) && wrong.contains(says));
        assert!(is_named, "{line}: {found:?}");
    }
    for (headline, day) in
        [("Rooms burn on Oct. 2", "Oct. 2"), ("ALDER BEND, Iowa (Oct. 2, 2027) – Rooms burn", "Oct. 2, 2027")]
    {
        let draft = Draft { headline: headline.to_owned(), ..of(rest) };
        let found = check(PaperKind::Advisory, &draft, &facts()).wrong;
        let starts = format!("Headline: “{day}” ");
        assert!(matches!(found.as_slice(), [one] if one.starts_with(&starts)), "{found:?}");
    }
}

#[test]
fn a_text_without_the_dates_or_with_another_number_lacks_them() {
    let found = check(PaperKind::Release, &of("Two rooms burn. Call 555-0199."), &facts());
    assert_eq!(
        found.missing,
        ["contact phone (555-0118)", "burn day (Saturday, Oct. 9)", "time (10 a.m.)", "rain date (Saturday, Oct. 16)",]
    );
    let after = check(PaperKind::AfterTheDay, &of("It took 3:40. {contact phone}"), &facts());
    assert_eq!(after, Check::default());
}

#[test]
fn a_contact_phone_counts_with_and_without_its_country_code() {
    let phone = Facts { phone: "+1 555-555-0118".to_owned(), ..press_facts() };
    let facts = PaperFacts::of(&details(), "Alder Bend Fire District", &phone, NOW);
    for text in ["Call {contact phone}.", "Call 1-555-555-0118.", "Call 555.555.0118."] {
        assert_eq!(check(PaperKind::AfterTheDay, &of(text), &facts), Check::default(), "{text}");
        assert!(super::used(&of(text), &facts).contains_key("contact phone"), "{text}");
    }
}

#[test]
fn words_of_an_old_place_are_found_in_what_is_typed() {
    let facts = facts();
    let place = facts.get(PLACE).unwrap().raw.clone();
    let draft =
        Draft { headline: "At the Orchard".into(), text: "See you at {place}, by the pond.".into(), embargo: None };
    assert_eq!(of_old_places(&draft, &facts, &["County orchard, pond gate"]), ["orchard"]);
    assert!(of_old_places(&draft, &facts, &[&place]).is_empty(), "today's place");
}

#[test]
fn a_text_is_made_from_the_facts_it_marks_or_says() {
    let used = |text: &str| used(&of(text), &facts()).into_keys().collect::<Vec<_>>();
    assert_eq!(used("On {burn day}, if it rains on Oct. 16, at 10 a.m."), ["burn day", "rain date", "time"]);
    assert_eq!(used("At the Fairground. Call 555 0118."), ["contact phone", "place"]);
    assert_eq!(used("Nothing."), [""; 0]);
    let changed = PaperFacts::of(
        &Details { burn_time: time!(13:00), rain_on: None, ..details() },
        "Alder Bend Fire District",
        &press_facts(),
        NOW,
    );
    let was = super::used(&of("At {time} {burn day}. Rain: {rain date}"), &facts());
    assert_eq!(
        changes_say(&changed.changes(&was)),
        "time is now 1 p.m. (was 10 a.m.); rain date is now none (was Saturday, Oct. 16)"
    );
}
