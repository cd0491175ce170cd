use super::*;
use crate::zone::Zone;
use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use proptest::prelude::*;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::path::{Path, PathBuf};
use time::macros::{date, datetime, time};
use time::{Date, Duration};

/// A shift of four hours from 10:00 in Chicago, whose clocks change on 14 March
/// and 7 November 2027.
fn shift(uid: &str, on: Date) -> Entry {
    let start = Zone::named("America/Chicago").unwrap().instant(on, time!(10:00)).unwrap();
    Entry {
        uid: format!("{uid}@burn.example.org"),
        sequence: 0,
        stamp: datetime!(2026-12-01 17:30:05 UTC),
        start,
        end: start + Duration::HOUR * 4,
        summary: "Side-by-side burn: spectator line".to_owned(),
        place: "Station 2, 400 Mill Road, Alder Bend".to_owned(),
        geo: String::new(),
        description: "Muster at 09:15.\nBring boots and gloves.".to_owned(),
        status: Status::Confirmed,
        organizer: mailbox("Priya Okafor", "education@alderbend.example.org"),
        attendee: Some(mailbox("Marisol Vega", "marisol@example.org")),
        url: "https://burn.example.org/events/1".to_owned(),
    }
}

fn mailbox(name: &str, address: &str) -> Mailbox {
    Mailbox { name: name.to_owned(), address: address.to_owned() }
}

/// Texts that would break a file if they were written as they are.
fn nasty() -> Entry {
    Entry {
        summary: "Brûler côte à côte; two rooms, one\\two\r\nATTENDEE:mailto:evil@example.org".to_owned(),
        place: "Hof \"Süd\", Tor 3; \u{7}links".to_owned(),
        description: format!(
            "  {}\r\n\r\n{}\rEND:VEVENT\u{2028}\\n, is no line; \\, no comma.\t日本語の説明{}\n",
            "Zwei Räume, gleich möbliert: äöüß€ 🔥 – ".repeat(6),
            "ж".repeat(200),
            "説明".repeat(60),
        ),
        organizer: mailbox("Okafor, \"Priya\"; EO:\r\nX-EVIL:1", "education@alderbend.example.org\r\nX-EVIL:2"),
        attendee: Some(mailbox(
            "\"Jürgen, 'Jo' Müller-Lüdenscheidt-Großkreuz von und zu Österreich\"",
            "jo@example.org",
        )),
        url: format!("https://burn.example.org/events/1?{}\r\nX-EVIL:3", "q=long;er,".repeat(12)),
        ..shift("post-9", date!(2027 - 03 - 13))
    }
}

/// The same, as it should be read back.
fn nasty_read() -> Entry {
    Entry {
        summary: "Brûler côte à côte; two rooms, one\\two ATTENDEE:mailto:evil@example.org".to_owned(),
        place: "Hof \"Süd\", Tor 3;  links".to_owned(),
        description: format!(
            "{}\n\n{}\nEND:VEVENT\n\\n, is no line; \\, no comma. 日本語の説明{}",
            "Zwei Räume, gleich möbliert: äöüß€ 🔥 – ".repeat(6),
            "ж".repeat(200),
            "説明".repeat(60),
        ),
        organizer: mailbox("Okafor, 'Priya'; EO: X-EVIL:1", "education@alderbend.example.orgX-EVIL:2"),
        attendee: Some(mailbox("'Jürgen, 'Jo' Müller-Lüdenscheidt-Großkreuz von und zu Österreich'", "jo@example.org")),
        url: format!("https://burn.example.org/events/1?{}X-EVIL:3", "q=long;er,".repeat(12)),
        ..nasty()
    }
}

/// A file, what it should say, and what our code makes.
struct Case {
    file: &'static str,
    method: Method,
    name: Option<&'static str>,
    read: Vec<Entry>,
    made: String,
}

fn cases() -> Vec<Case> {
    let winter = shift("post-7", date!(2027 - 03 - 13));
    let summer = shift("post-7-rain", date!(2027 - 03 - 20));
    let later = datetime!(2027-01-11 09:00 UTC);
    let moved = Entry { sequence: 1, stamp: later, ..shift("post-7", date!(2027 - 04 - 03)) };
    let cancelled = Entry { sequence: 2, status: Status::Cancelled, stamp: later + Duration::DAY, ..moved.clone() };
    let promoted = Entry { sequence: 1, stamp: later, ..summer.clone() };
    let mail = |file, entry: &Entry, read: Entry| {
        let method = entry.method();
        Case { file, method, name: None, read: vec![read], made: invitation(entry, method) }
    };
    let public = |uid, on| Entry { attendee: None, ..shift(uid, on) };
    let feed_of = |file, name, read: Vec<Entry>| {
        let made = feed(name, &read);
        Case { file, method: Method::Publish, name: Some(name), read, made }
    };
    vec![
        mail("request.ics", &winter, winter.clone()),
        mail("hold.ics", &summer.clone().hold(), summer.hold()),
        mail("moved.ics", &moved, moved.clone()),
        mail("cancelled.ics", &cancelled, cancelled.clone()),
        mail("promoted.ics", &promoted, promoted.clone()),
        mail("texts.ics", &nasty(), nasty_read()),
        feed_of(
            "feed.ics",
            "Alder Bend: burn day, 2027; public",
            vec![
                public("rehearsal", date!(2027 - 11 - 06)),
                public("burn", date!(2027 - 11 - 13)),
                public("rain", date!(2027 - 11 - 20)).hold(),
                Entry { status: Status::Cancelled, sequence: 3, ..public("talk", date!(2027 - 11 - 10)) },
            ],
        ),
        feed_of("empty.ics", "Nothing yet", vec![]),
    ]
}

fn reference() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference")
}

/// With `WRITE_CALENDARS` set, it writes the files instead, for
/// `tests/reference/calendars.py` to read.
#[test]
fn the_files_are_made_to_the_byte() {
    for case in cases() {
        let path = reference().join("calendars").join(case.file);
        if std::env::var_os("WRITE_CALENDARS").is_some() {
            std::fs::write(&path, &case.made).unwrap();
        }
        assert_eq!(std::fs::read_to_string(&path).unwrap(), case.made, "{}", case.file);
    }
}

/// What the `icalendar` package for Python read from the same files.
#[test]
fn another_reader_finds_what_went_in() {
    let read: Value =
        serde_json::from_str(&std::fs::read_to_string(reference().join("calendars.json")).unwrap()).unwrap();
    let cases = cases();
    assert_eq!(read["files"].as_object().unwrap().len(), cases.len());
    for case in cases {
        let file = &read["files"][case.file];
        let digest = BASE64_STANDARD.encode(Sha256::digest(&case.made));
        assert_eq!(file["sha256"], digest, "{} was not read again", case.file);
        assert_eq!(file["method"], case.method.as_str(), "{}", case.file);
        assert_eq!(file["name"], json!(case.name), "{}", case.file);
        assert!(file["longest_line"].as_u64().unwrap() <= 75, "{}", case.file);
        let entries: Vec<Value> = case.read.iter().map(|entry| expected(entry, case.method)).collect();
        assert_eq!(file["entries"], json!(entries), "{}", case.file);
    }
}

fn expected(entry: &Entry, method: Method) -> Value {
    let instant = |at: OffsetDateTime| {
        at.format(format_description!("[year]-[month]-[day]T[hour]:[minute]:[second]+00:00")).unwrap()
    };
    let person = |person: &Mailbox| json!({ "name": person.name, "address": format!("mailto:{}", person.address) });
    let attendee = entry.attendee.as_ref().map(|to| {
        let mut attendee = person(to);
        let asked = method == Method::Request;
        attendee["rsvp"] = json!(asked.then_some("FALSE"));
        attendee["partstat"] = json!(asked.then_some("ACCEPTED"));
        attendee
    });
    json!({
        "uid": entry.uid,
        "sequence": entry.sequence,
        "dtstamp": instant(entry.stamp),
        "dtstart": instant(entry.start),
        "dtend": instant(entry.end),
        "status": entry.status.as_str(),
        "summary": entry.summary,
        "location": entry.place,
        "description": entry.description,
        "url": entry.url,
        "organizer": person(&entry.organizer),
        "attendee": attendee,
    })
}

#[test]
fn ten_in_the_morning_is_another_instant_after_the_clocks_change() {
    let line = |on| invitation(&shift("post-7", on), Method::Request);
    assert!(line(date!(2027 - 03 - 13)).contains("\r\nDTSTART:20270313T160000Z\r\n"));
    assert!(line(date!(2027 - 03 - 14)).contains("\r\nDTSTART:20270314T150000Z\r\n"));
}

#[test]
fn times_are_in_utc_whatever_the_offset_they_come_with() {
    let entry = shift("post-7", date!(2027 - 03 - 13));
    let elsewhere = Entry { start: entry.start.to_offset(time::macros::offset!(+5:45)), ..entry.clone() };
    assert_eq!(feed("", &[entry]), feed("", &[elsewhere]));
}

#[test]
fn a_cancelled_entry_is_never_a_request() {
    let entry = shift("post-7", date!(2027 - 03 - 13));
    let cancelled = Entry { status: Status::Cancelled, ..entry.clone() };
    assert_eq!(entry.method(), Method::Request);
    assert_eq!(entry.clone().hold().method(), Method::Request);
    assert_eq!(cancelled.method(), Method::Cancel);
    assert_eq!(invitation(&entry, Method::Cancel), invitation(&cancelled, Method::Cancel));
    assert!(!invitation(&entry, Method::Publish).contains("ATTENDEE"));
}

#[test]
fn an_end_that_is_none_and_empty_texts_are_left_out() {
    let entry = shift("post-7", date!(2027 - 03 - 13));
    let bare = Entry {
        end: entry.start,
        place: String::new(),
        description: " \r\n".to_owned(),
        url: String::new(),
        organizer: mailbox("", "education@alderbend.example.org"),
        attendee: None,
        ..entry
    };
    let made = invitation(&bare, Method::Request);
    let names: Vec<&str> = made.lines().map(|line| line.split(':').next().unwrap()).collect();
    assert_eq!(
        names[4..],
        ["METHOD", "BEGIN", "DTSTAMP", "DTSTART", "ORGANIZER", "SEQUENCE", "STATUS", "SUMMARY", "UID", "END", "END"]
    );
}

/// RFC 5545 section 3.8.1.6: two numbers, which no escape may come between.
#[test]
fn a_place_on_the_map_is_written_as_it_is() {
    let entry = Entry { geo: "41.590000;-93.620000".to_owned(), ..shift("post-7", date!(2027 - 03 - 13)) };
    let made = invitation(&entry, Method::Request);
    assert!(made.contains("\r\nGEO:41.590000;-93.620000\r\n"), "{made}");
}

/// Why we have our own [`fold`]: once the crate folds at 75 octets, delete it.
#[test]
fn the_crate_leaves_a_line_of_76_octets() {
    let lengths = |file: &str| file.split("\r\n").map(str::len).max();
    let event = Event::with_uid(&"a".repeat(75 + 75 - "UID:".len())).add_property("DTSTAMP", "0").done();
    let made = event.try_into_string().unwrap();
    assert_eq!(lengths(&made), Some(76));
    assert_eq!(lengths(&fold(&made)), Some(75));
}

/// Any characters, with many of those that matter in a calendar file.
fn any_text() -> impl Strategy<Value = String> {
    let special = prop::sample::select(vec![
        "\r\n",
        "\n",
        "\r",
        "\r\n ",
        ";",
        ",",
        ":",
        "\\",
        "\\n",
        "\"",
        "\u{85}",
        "\u{2028}",
        "\0",
        "\t",
        " ",
        "ä",
        "🔥",
        "\u{301}",
        "BEGIN:VEVENT",
    ]);
    let piece = prop_oneof![special.prop_map(str::to_owned), any::<char>().prop_map(|c| c.to_string()), "[a-z ]{0,90}"];
    prop::collection::vec(piece, 0..12).prop_map(|pieces| pieces.concat())
}

/// Undoes the folding and the escapes, as RFC 5545 sections 3.1 and 3.3.11 say.
fn value(file: &str, name: &str) -> Option<String> {
    let whole = file.replace("\r\n ", "");
    let raw = whole.split("\r\n").find_map(|line| line.strip_prefix(name)?.strip_prefix(':'))?;
    let mut text = String::new();
    let mut rest = raw.chars();
    while let Some(c) = rest.next() {
        text.push(match (c, rest.clone().next()) {
            ('\\', Some('n')) => '\n',
            ('\\', Some(escaped)) => escaped,
            (c, _) => c,
        });
        if c == '\\' {
            rest.next();
        }
    }
    Some(text)
}

proptest! {
    #[test]
    fn no_text_adds_a_line_or_breaks_one(texts in prop::collection::vec(any_text(), 9)) {
        let [uid, summary, place, description, name, address, to, to_address, url] = &texts[..] else { unreachable!() };
        let plain = shift("x", date!(2027 - 03 - 13));
        let entry = Entry {
            uid: uid.clone(),
            summary: summary.clone(),
            place: place.clone(),
            description: description.clone(),
            organizer: mailbox(name, address),
            attendee: Some(mailbox(to, to_address)),
            url: url.clone(),
            ..plain
        };
        for file in [invitation(&entry, Method::Request), feed(name, std::slice::from_ref(&entry))] {
            let body = file.strip_suffix("\r\n").unwrap();
            for line in body.split("\r\n") {
                prop_assert!(line.len() <= 75, "{line:?}");
                prop_assert!(!line.chars().any(|c| c.is_control() || c == '\u{2028}'), "{line:?}");
            }
            let whole = body.replace("\r\n ", "");
            let known = [
                "BEGIN", "VERSION", "PRODID", "CALSCALE", "METHOD", "X-WR-CALNAME", "REFRESH-INTERVAL",
                "X-PUBLISHED-TTL", "DTEND", "DTSTAMP", "DTSTART", "DESCRIPTION", "LOCATION", "ORGANIZER", "SEQUENCE",
                "STATUS", "SUMMARY", "UID", "URL", "ATTENDEE", "END",
            ];
            let mut names: Vec<&str> = whole.split("\r\n").map(|line| line.split([':', ';']).next().unwrap()).collect();
            prop_assert!(names.iter().all(|name| known.contains(name)), "{names:?}");
            prop_assert_eq!(names.iter().filter(|name| **name == "BEGIN").count(), 2);
            names.retain(|name| *name != "BEGIN" && *name != "END");
            let count = names.len();
            names.sort_unstable();
            names.dedup();
            prop_assert_eq!(names.len(), count);
        }
        let file = invitation(&entry, Method::Request);
        prop_assert_eq!(value(&file, "SUMMARY").unwrap_or_default(), one_line(summary));
        prop_assert_eq!(value(&file, "DESCRIPTION").unwrap_or_default(), lines(description));
        prop_assert_eq!(&file, &invitation(&entry, Method::Request));
    }
}
