use super::*;
use crate::mail::plainly;
use time::macros::datetime;

#[test]
fn older_words_are_shown_in_todays_words() {
    let change = |field: &str| Change { field: field.to_owned(), before: String::new(), after: "x".to_owned() };
    let entry = JournalEntry {
        id: 1,
        at: datetime!(2027-01-09 15:30 UTC),
        who: "Burnday".to_owned(),
        verb: "cancelled".to_owned(),
        subject: "post".to_owned(),
        subject_id: None,
        event_id: None,
        title: "Safety officer".to_owned(),
        changes: vec![change("needed"), change("digest"), change("wear")],
    };
    let words = Subject { called: "position", fields: &[("needed", "minimum number")], ..Subject::of("post", "Crew") };
    let line = History::of(&[&[words]]).line(entry, &Zone::named("America/Chicago").unwrap());
    assert_eq!((line.verb.as_str(), line.subject.as_str()), ("canceled", "position"));
    let labels: Vec<&str> = line.changes.iter().map(|(label, ..)| label.as_str()).collect();
    assert_eq!(labels, ["minimum number", "wear"]);
    assert_eq!((line.day.as_str(), line.time.as_str()), ("Sat, Jan 9, 2027", "09:30"));
}

#[test]
fn no_digest_is_shown_whatever_its_field_is_called() {
    let of = |field: &str, after: &str| {
        let change = Change { field: field.to_owned(), before: String::new(), after: after.to_owned() };
        is_shown(&Subject::of("loan", "Loans"), &change)
    };
    let digest = "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08";
    let link = format!("/p/{digest}?x");
    for (field, after) in [("digest", "x"), ("picture", digest), ("link", link.as_str()), ("id", &digest[..32])] {
        assert!(!of(field, after), "{field}: {after}");
    }
    for (field, after) in [("serial number", "9f86d081"), ("phone", "5550142"), ("notes", "a cafe decade, faced")] {
        assert!(of(field, after), "{field}: {after}");
    }
}

#[test]
fn what_the_store_calls_a_choice_is_shown_in_plain_words() {
    let person = Subject {
        values: &[("reached by", "mail", "email")],
        reads: &[("mail refused", |words| plainly(words).means)],
        ..Subject::of("person", "People")
    };
    let department = Subject::of("department", "Department");
    let history = History::of(&[&[person], &[department]]);
    let shown = |subject: &Subject, field: &str, value: &str| history.shown(subject, field, value);
    assert_eq!(shown(&person, "reached by", "mail"), "email");
    assert_eq!(shown(&person, "notes", "mail"), "mail", "what people typed stays");
    assert_eq!(shown(&department, "time zone", "America/Chicago"), "Central Time");
    let refused = shown(&person, "mail refused", "550 5.1.1 no such user");
    assert!(!refused.is_empty() && !refused.contains("550"), "{refused}");
}
