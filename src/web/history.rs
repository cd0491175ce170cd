//! The journal in words that people read.
//!
//! The store keeps the words of older versions. They are put in today's words here, so that
//! a word can change without rewriting the past.

mod groups;
mod kinds;

use crate::db::journal::{Change, JournalEntry};
use crate::mail::plainly;
use crate::web::words::Reader;
use crate::zone::{self, Zone};

pub use groups::{Group, by_day};
pub use kinds::{kind_label, subjects_of};

/// An entry as a page shows it.
#[derive(Debug)]
pub struct HistoryLine {
    pub day: String,
    pub time: String,
    pub who: String,
    /// What the store calls the kind of thing, for scripts and tests.
    pub kind: String,
    pub verb: String,
    pub subject: String,
    pub title: String,
    /// Where the thing is; empty if it has no page or is gone.
    pub href: String,
    /// Field, before, after.
    pub changes: Vec<(String, String, String)>,
}

impl HistoryLine {
    /// As a page words it, with times in this zone.
    #[must_use]
    pub fn of(entry: JournalEntry, zone: &Zone) -> Self {
        let href = match (entry.subject.as_str(), entry.event_id, entry.subject_id) {
            ("task", Some(event), Some(task)) if entry.verb != "removed" => format!("/events/{event}/tasks/{task}"),
            ("question", Some(event), Some(question)) => format!("/events/{event}/replies/{question}"),
            ("guest", Some(event), Some(guest)) if entry.verb != "removed" => format!("/events/{event}/guests/{guest}"),
            ("thing", Some(event), Some(thing)) if entry.verb != "removed" => {
                format!("/events/{event}/rooms/items/{thing}")
            }
            ("gift", Some(event), Some(gift)) => format!("/events/{event}/guests/gifts/{gift}"),
            ("permit", Some(event), Some(permit)) if entry.verb != "removed" => {
                format!("/events/{event}/permits/{permit}")
            }
            ("loan", Some(event), Some(loan)) => format!("/events/{event}/loans/{loan}"),
            _ => String::new(),
        };
        let subject = entry.subject.as_str();
        let shown_ones = entry.changes.iter().filter(|change| is_shown(subject, change));
        let changes = shown_ones.map(|change| {
            let text = |value: &str| shown(subject, &change.field, value);
            let label = worded(FIELDS, subject, &change.field).to_owned();
            (label, text(&change.before), text(&change.after))
        });
        let at = zone.wall(entry.at);
        Self {
            day: Reader::App.day(at.date()),
            time: Reader::App.time(at.time()),
            changes: changes.collect(),
            verb: worded(VERBS, subject, &entry.verb).to_owned(),
            subject: kind_of(subject, &entry.verb, &entry.title),
            title: title_of(subject, &entry.title),
            kind: entry.subject,
            who: entry.who,
            href,
        }
    }
}

/// Does a field mean anything to a reader, and say more than the title?
fn is_shown(subject: &str, change: &Change) -> bool {
    let says_nothing = match change.field.as_str() {
        "digest" | "date revision" | "date version" => true,
        "asked for" => matches!(subject, "donation request" | "plea"),
        _ => false,
    };
    !says_nothing && !is_digest(&change.before) && !is_digest(&change.after)
}

/// The shortest digest or secret that is written in hexadecimal has this many digits.
const DIGEST: usize = 32;

/// Does a text hold a long number in hexadecimal? No one reads those.
fn is_digest(text: &str) -> bool {
    text.split(|c: char| !c.is_ascii_alphanumeric())
        .any(|word| word.len() >= DIGEST && word.bytes().all(|byte| byte.is_ascii_hexdigit()))
}

/// Older words with today's: the subject they belong to (empty for all), the word, and what
/// to show.
type Words = &'static [(&'static str, &'static str, &'static str)];

fn worded<'a>(words: Words, subject: &str, word: &'a str) -> &'a str {
    let known = words.iter().find(|(of, old, _)| (of.is_empty() || *of == subject) && *old == word);
    known.map_or(word, |(_, _, new)| new)
}

/// What was done. The kind of thing and its name follow.
const VERBS: Words = &[
    ("account", "made a link for", "made a one-time link for"),
    ("account", "ended every sign-in of", "signed out every device of"),
    ("all mail", "held", "put all email on hold"),
    ("all mail", "released", "released all email"),
    ("crew", "assigned", "added"),
    ("crew", "took off", "removed"),
    ("event", "moved the burn day of", "changed the date of"),
    ("event", "made current", "switched to"),
    ("event", "chose as the current event", "switched to"),
    ("event", "made a calendar link of", "made a calendar link for"),
    ("event", "revoked the calendar link of", "removed the calendar link for"),
    ("event", "said that nothing newer went out about", "confirmed that nothing newer was sent for"),
    ("file", "brought in", "imported"),
    ("file", "took out again", "undid the import of"),
    ("guest", "placed", "changed the place of"),
    ("guest", "rang about", "called about"),
    ("guest", "saw", "updated the check-in of"),
    ("guest", "chose who signs to", "chose who signs letters to"),
    ("loan", "asked for", "requested"),
    ("loan", "noted about", "updated"),
    ("loan", "took back about", "undid an update of"),
    ("loan", "wrote to the lender of", "wrote to the lender about"),
    ("mail", "tried again", "tried again to send"),
    ("outlet", "took a contact from", "removed a contact from"),
    ("outlet", "took off the list", "unlisted"),
    ("paper", "began", "started"),
    ("paper", "asked somebody outside to read", "asked someone outside to read"),
    ("paper", "read", "reviewed"),
    ("permit", "noted the sending of", "sent"),
    ("permit", "noted the arrival of", "confirmed receipt of"),
    ("permit", "took back receipt of", "took back the receipt of"),
    ("permit", "took back the sending of", "removed a filing of"),
    ("permit", "removed a sending of", "removed a filing of"),
    ("permit", "noted the reading back of", "read back the conditions of"),
    ("permit", "read back", "read back the conditions of"),
    ("permit", "took back the read-back of", "undid reading back the conditions of"),
    ("person", "forgot", "erased the personal data of"),
    ("person", "separated", "undid the merge of"),
    ("person", "told apart", "marked as not a duplicate:"),
    ("donation request", "noted the answer to", "recorded the reply to"),
    ("plea", "noted the answer to", "recorded the reply to"),
    ("press on burn day", "saw arrive", "checked in"),
    ("press on burn day", "took back the arrival of", "took back the check-in of"),
    ("press on burn day", "has the signature of", "recorded the signature of"),
    ("press on burn day", "gave another escort to", "changed the escort of"),
    ("press on burn day", "took off the list", "removed"),
    ("question", "told by phone about", "gave a phone update on"),
    ("question", "took back", "withdrew"),
    ("story", "noted", "added"),
    ("task", "set the state of", "updated the status of"),
    ("thing", "photographed", "added a photo of"),
    ("thing", "took the photo from", "removed the photo of"),
    ("warning", "decided", "decided on"),
    ("", "cancelled", "canceled"),
];

/// The kind of thing; empty where the verb or the name says it.
const SUBJECTS: &[(&str, &str)] = &[
    ("all mail", ""),
    ("attendance", ""),
    ("crew", "crew assignment"),
    ("guest settings", "the offices and levels"),
    ("habits", "the offices and levels"),
    ("hours", ""),
    ("mail", "email"),
    ("paper", ""),
    ("photo", "a photo"),
    ("plea", "donation request"),
    ("post", "position"),
    ("press facts", "the facts and key messages"),
    ("press on burn day", "press visitor"),
    ("programme", "the program"),
    ("question", ""),
    ("reminder", "scheduled message"),
    ("room drawing", ""),
    ("site", "the site:"),
    ("story", "coverage"),
    ("thing", "item"),
    ("tolerance", "the size tolerance"),
    ("warning", "fuel warning"),
    ("word with an outlet", "contact with"),
];

fn kind_of(subject: &str, verb: &str, title: &str) -> String {
    let kind = match (subject, verb) {
        ("paper", "read") => "a release as",
        ("attendance", "corrected") => "the hours of",
        ("account", "invited") => "",
        ("guest", _) if title == "a guest" => "",
        _ => SUBJECTS.iter().find(|(old, _)| *old == subject).map_or(subject, |(_, new)| new),
    };
    kind.to_owned()
}

/// The name of the thing; empty where there is only one of its kind.
fn title_of(subject: &str, title: &str) -> String {
    match (subject, title) {
        ("all mail" | "guest settings" | "habits" | "photo" | "press facts" | "programme" | "tolerance", _) => {
            String::new()
        }
        ("thanks to", "what the thanks say of the day") => "everyone: figures and signature".to_owned(),
        _ => title.to_owned(),
    }
}

/// What a field is called.
const FIELDS: Words = &[
    ("gift", "state", "status"),
    ("loan", "state", "status"),
    ("mail", "state", "status"),
    ("permit", "state", "status"),
    ("task", "state", "status"),
    ("thing", "state", "status"),
    ("attendance", "in", "signed in"),
    ("attendance", "out", "signed out"),
    ("crew", "rules", "overridden"),
    ("event", "audience", "people expected"),
    ("event", "format", "rooms burn"),
    ("event", "time", "first ignition"),
    ("gift", "estimate of it", "estimated value of it"),
    ("gift", "how we know it", "basis of the value"),
    ("gift", "naming the giver", "recognition"),
    ("gift", "to be here by", "expected by"),
    ("guest", "also comes", "comes with"),
    ("guest", "at least", "shortest time in seconds"),
    ("guest", "chaser", "responsible"),
    ("guest", "met by", "met at the door by"),
    ("guest", "place", "place in the order"),
    ("guest", "here", "arrived"),
    ("guest settings", "words a minute", "words per minute"),
    ("habits", "words a minute", "words per minute"),
    ("loan", "a school", "school"),
    ("loan", "brought back", "return"),
    ("loan", "collected", "pickup"),
    ("loan", "counted", "count"),
    ("loan", "looked at", "check"),
    ("loan", "stands", "place on burn day"),
    ("loan", "there is only one", "only one"),
    ("loan", "way", "sent"),
    ("outlet", "closed", "closed weekdays"),
    ("outlet", "days ahead", "days needed"),
    ("outlet", "owner", "responsible"),
    ("outlet", "part", "role"),
    ("paper", "says", "answer"),
    ("permit", "person there", "contact there"),
    ("permit", "rule of notice", "notice rule"),
    ("permit", "rule learned", "asked on"),
    ("permit", "title", "name"),
    ("permit", "what it is", "type"),
    ("permit", "who asked", "asked by"),
    ("person", "is not", "not the same as"),
    ("person", "mail refused", "email returned"),
    ("person", "reached by", "preferred contact"),
    ("person", "said", "pronunciation"),
    ("post", "cautions", "instructions"),
    ("post", "needed", "minimum number"),
    ("programme", "begins", "starts"),
    ("programme", "may last", "total time"),
    ("question", "by", "how"),
    ("question", "said", "reply"),
    ("question", "to", "for"),
    ("donation request", "said", "reply"),
    ("plea", "said", "reply"),
    ("story", "correction wanted", "correction requested"),
    ("story", "ran", "ran on"),
    ("task", "begun", "started"),
    ("task", "finished", "due"),
    ("task", "owner", "responsible"),
    ("task", "waits for", "comes after"),
    ("task", "what it takes", "what to do"),
    ("thanks to", "people who came", "attendance"),
    ("thanks to", "signed as", "signer's title"),
    ("thing", "by whom", "provided by"),
    ("thing", "kind", "kind"),
    ("thing", "ticked", "fuel warnings"),
    ("thing", "what", "type"),
    ("tolerance", "share of the size", "percent of the larger size"),
    ("tolerance", "percent of the size", "percent of the larger size"),
    ("tolerance", "length", "or this length"),
    ("tolerance", "spare", "extra parts"),
    ("warning", "about", "warning"),
    ("warning", "decided", "decision"),
    ("warning", "for", "quantity"),
    ("word with an outlet", "by", "how"),
    ("word with an outlet", "came of it", "result"),
    ("", "against a rule", "overridden"),
    ("", "can be there", "available"),
    ("", "holds until", "expires"),
    ("", "kind", "type"),
    ("", "mail", "email"),
    ("", "mail address", "email"),
    ("", "organisation", "organization"),
    ("", "post", "position"),
    ("", "way", "how"),
];

/// What the store calls a choice and what to show: the field (as the store calls it), the
/// choice, and its words.
const VALUES: &[(&str, &str, &str)] = &[
    ("by", "mail", "email"),
    ("duty", "crowd steward", "Crowd manager"),
    ("duty", "medical standby", "Medical team"),
    ("former", "false", "no"),
    ("former", "true", "yes"),
    ("how we know it", "giver's word", "donor's estimate"),
    ("in the name of", "their organisation", "their organization"),
    ("insured", "by nobody", "not insured"),
    ("kind", "coverage", "press coverage"),
    ("kind", "post", "crew position"),
    ("reached by", "mail", "email"),
    ("said", "asked", "waiting for a reply"),
    ("said", "deputy", "sending someone else"),
    ("says", "needs a change", "asked for changes"),
    ("state", "collected", "picked up"),
    ("state", "here", "on hand"),
    ("state", "not lent", "fell through"),
    ("state", "wanted", "needed"),
    ("strand", "Afterwards", "After the burn"),
    ("way", "mail", "by email"),
];

/// A field's value.
fn shown(subject: &str, field: &str, value: &str) -> String {
    match (subject, field) {
        // A server's answer is full of codes.
        ("person", "mail refused") => plainly(value).means,
        (_, "time zone") => zone::plain(value).to_owned(),
        _ => {
            VALUES.iter().find(|(of, old, _)| *of == field && *old == value).map_or(value, |(_, _, new)| new).to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
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
        let line = HistoryLine::of(entry, &Zone::named("America/Chicago").unwrap());
        assert_eq!((line.verb.as_str(), line.subject.as_str()), ("canceled", "position"));
        let labels: Vec<&str> = line.changes.iter().map(|(label, ..)| label.as_str()).collect();
        assert_eq!(labels, ["minimum number", "wear"]);
        assert_eq!((line.day.as_str(), line.time.as_str()), ("Sat, Jan 9, 2027", "09:30"));
    }

    #[test]
    fn no_digest_is_shown_whatever_its_field_is_called() {
        let of = |field: &str, after: &str| {
            let change = Change { field: field.to_owned(), before: String::new(), after: after.to_owned() };
            is_shown("loan", &change)
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
        assert_eq!(shown("person", "reached by", "mail"), "email");
        assert_eq!(shown("person", "notes", "mail"), "mail", "what people typed stays");
        assert_eq!(shown("department", "time zone", "America/Chicago"), "Central Time");
        let refused = shown("person", "mail refused", "550 5.1.1 no such user");
        assert!(!refused.is_empty() && !refused.contains("550"), "{refused}");
    }
}
