use super::rewording::{pairs, reword};
use super::*;
use time::macros::{date, time};

fn stated(dates: &[(i64, Date, bool, &str)], facts: &[(&str, &str)]) -> Statement {
    let date = |(ask, on, is_rain, said): &(i64, Date, bool, &str)| StatedDate {
        ask: *ask,
        on: *on,
        is_rain: *is_rain,
        said: (*said).to_owned(),
    };
    let fact = |(label, text): &(&str, &str)| ((*label).to_owned(), (*text).to_owned());
    Statement {
        dates: dates.iter().map(date).collect(),
        facts: facts.iter().map(fact).collect(),
        ..Statement::default()
    }
}

const NINTH: Date = date!(2027 - 10 - 09);
const SIXTEENTH: Date = date!(2027 - 10 - 16);

#[test]
fn new_words_hide_no_other_day_time_or_number() {
    let line = |label: &str, text: &str| (label.to_owned(), text.to_owned());
    let reworded = |known: (&str, &str), was: (&str, &str), now: (&str, &str)| {
        let mut statement = Statement { facts: vec![line(known.0, known.1)], ..Statement::default() };
        statement.reword(&vec![(line(was.0, was.1), line(now.0, now.1))]);
        statement.facts.remove(0)
    };
    for (was, now) in [
        (
            ("We collect it", "Thu 3 Jun 2027, 15:30 · Gym door"),
            ("Pickup", "Thursday, June 3, 2027, at 3:30 p.m. · Gym door"),
        ),
        (
            ("We have it", "Thu 3 Jun 2027 to Mon 7 Jun 2027"),
            ("We need it", "Thursday, June 3, 2027, to Monday, June 7, 2027"),
        ),
        (
            ("Your part", "introduced by the presenter, then 2 min, about 260 words"),
            ("Your part", "The presenter will introduce you. Then you have 2 min, about 260 words to speak."),
        ),
        (("Post", "North gate"), ("Position", "North gate")),
    ] {
        assert_eq!(reworded(was, was, now), line(now.0, now.1));
    }
    for (was, now) in [
        (("We bring it back", "Mon 7 Jun 2027"), ("Return", "Tuesday, June 8, 2027")),
        (("We collect it", "Thu 3 Jun 2027, 09:30"), ("Pickup", "Thursday, June 3, 2027, at 10:30 a.m.")),
        (
            ("Your part", "introduced by the presenter, then 2 min, about 260 words"),
            ("Your part", "The presenter will introduce you. You don't need to speak."),
        ),
        (("For", "Marguerite Vance, Mayor"), ("For", "Marguerite Vance, Senator")),
    ] {
        assert_eq!(reworded(was, was, now), line(now.0, was.1), "they know the old one");
    }
    let told_else = ("We bring it back", "Sun 6 Jun 2027");
    let (was, now) = (("We bring it back", "Mon 7 Jun 2027"), ("Return", "Monday, June 7, 2027"));
    assert_eq!(reworded(told_else, was, now), line("Return", "Sun 6 Jun 2027"));
}

#[test]
fn lines_find_their_place_when_there_are_more_or_fewer() {
    let lines = |lines: &[(&str, &str)]| stated(&[], lines).facts;
    let mut known = lines(&[("Thing", "sports clock"), ("We bring it back", "Mon 7 Jun 2027"), ("Wear", "boots")]);
    let new = lines(&[
        ("Item", "sports clock"),
        ("We need it", "Thursday, June 3, 2027"),
        ("Return", "Monday, June 7, 2027"),
        ("Wear", "gloves"),
    ]);
    let found = pairs(&known, &new);
    reword(&mut known, &found);
    let expected = [("Item", "sports clock"), ("Return", "Monday, June 7, 2027"), ("Wear", "boots")];
    assert_eq!(known, lines(&expected));
    let fewer = pairs(&new, &lines(&[("Item", "sports clock")]));
    let mut known = new.clone();
    reword(&mut known, &fewer);
    assert_eq!(known, new, "lines that are gone stay known");
}

#[test]
fn whoever_reckons_with_no_date_on_either_side_need_not_be_told() {
    let no = stated(&[(1, NINTH, false, "no")], &[]);
    let gone = stated(&[], &[]);
    assert!(!no.is_outdated(&gone));
    assert!(!no.is_outdated(&no));
    for said in ["", "yes", "maybe", "sends Ana Ruiz"] {
        assert!(stated(&[(1, NINTH, false, said)], &[]).is_outdated(&gone), "{said}");
    }
    let promoted = stated(&[(2, SIXTEENTH, false, "yes")], &[]);
    assert!(stated(&[(1, NINTH, false, "no"), (2, SIXTEENTH, true, "yes")], &[]).is_outdated(&promoted));
}

#[test]
fn a_wrong_entry_in_a_calendar_is_taken_out_unless_a_voice_told_it() {
    let no = Statement { entries: [1].into(), ..stated(&[(1, NINTH, false, "no")], &[]) };
    let gone = stated(&[], &[]);
    assert!(no.is_outdated(&gone) && no.is_outdated(&stated(&[(1, NINTH, false, "no")], &[])));
    assert!(!Statement { by_voice: true, ..no.clone() }.is_outdated(&gone));
    let open = stated(&[(1, NINTH, false, "")], &[]);
    let lost = Statement { entries: [1].into(), ..open.clone() };
    assert!(lost.is_outdated(&open), "an entry of an open date is from a yes that was lost");
}

#[test]
fn two_lines_of_one_label_are_told_apart() {
    let event = crate::asks::calendar::tests::event();
    let was = stated(&[], &[("Time", "07:00"), ("Time", "09:00")]);
    let now = stated(&[], &[("Time", "07:00"), ("Time", "10:00"), ("Wear", "boots")]);
    let says: Vec<String> = was.changes(&event, &now, Reader::App).iter().map(Change::says).collect();
    assert_eq!(says, ["Time: 10:00 (was 09:00)", "Wear: boots"]);
    let says: Vec<String> = now.changes(&event, &was, Reader::App).iter().map(Change::says).collect();
    assert_eq!(says, ["Time: 09:00 (was 10:00)", "Wear: none (was boots)"]);
}

#[test]
fn other_words_outdate_nothing_and_hide_no_difference() {
    let lines = |lines: &[(&str, &str)]| stated(&[], lines).facts;
    let old = lines(&[("Post", "Parking"), ("Time", "08:00"), ("Post", "Gate"), ("Time", "08:00")]);
    let new = lines(&[("Position", "Parking"), ("Time", "08:00"), ("Position", "Gate"), ("Time", "08:00")]);
    let reworded = |known: &[(&str, &str)]| {
        let mut known = stated(&[], known);
        known.reword(&pairs(&old, &new));
        known.facts
    };
    let event = ("First fire", "10:00");
    let known = [event, ("Post", "Parking"), ("Time", "08:00"), ("Post", "Gate"), ("Time", "08:00")];
    assert_eq!(reworded(&known), [&lines(&[event])[..], &new[..]].concat());
    let known = [event, ("Post", "Parking"), ("Time", "07:00")];
    assert_eq!(reworded(&known), lines(&[event, ("Position", "Parking"), ("Time", "07:00")]));
}

#[test]
fn a_change_is_told_as_its_reader_writes_days_times_and_answers() {
    let event = crate::asks::calendar::tests::event();
    let on = event.details.burn_on;
    let was = stated(&[(1, NINTH, false, "sends Ana Ruiz")], &[("First fire", "10:00")]);
    let now = stated(&[(1, on, false, "yes")], &[("First fire", "13:00")]);
    for reader in [Reader::App, Reader::Public] {
        let changes = was.changes(&event, &now, reader);
        let pairs: Vec<_> = changes.iter().map(|change| (change.was.clone(), change.now.clone())).collect();
        let answer = ("sending Ana Ruiz".to_owned(), "yes".to_owned());
        let (ten, one) = (time!(10:00), time!(13:00));
        let expected = [(reader.day(NINTH), reader.day(on)), (reader.time(ten), reader.time(one)), answer];
        assert_eq!(pairs, expected);
        let is_own = changes.iter().any(|change| change.label.starts_with(OWN_ANSWER));
        assert_eq!(is_own, reader == Reader::Public);
    }
}
