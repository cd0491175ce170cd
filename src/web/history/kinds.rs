//! The kinds of things people look for in a history.

/// The kinds of things people look for, and what the store calls those.
const KINDS: &[(&str, &[&str])] = &[
    ("Accounts", &["account"]),
    ("Closed days", &["closed day"]),
    ("Crew", &["attendance", "certificate", "crew", "hours", "post", "qualification"]),
    ("Department", &["department"]),
    ("Email", &["all mail", "mail", "reminder"]),
    ("Event", &["event"]),
    ("Fire estimates", &["earlier burn", "fire estimate"]),
    ("Gifts and thanks", &["gift", "thanks to"]),
    ("Guests", &["guest", "guest settings", "habits", "programme"]),
    ("Loans", &["loan"]),
    ("People", &["file", "person"]),
    ("Permits and notices", &["permit"]),
    ("Press", &["outlet", "paper", "press facts", "press on burn day", "story", "word with an outlet"]),
    ("Replies", &["question"]),
    ("Rooms", &["donation request", "photo", "plea", "room drawing", "thing", "tolerance", "warning"]),
    ("Site", &["site"]),
    ("Talk", &["learning objective", "talk", "talk line", "talk practice"]),
    ("Tasks", &["task"]),
];

/// What people call this kind of thing when they look for it.
#[must_use]
pub fn kind_label(subject: &str) -> Option<&'static str> {
    KINDS.iter().find(|(_, subjects)| subjects.contains(&subject)).map(|(label, _)| *label)
}

/// What the store calls the things of a kind; none if there is no such kind.
#[must_use]
pub fn subjects_of(label: &str) -> Option<&'static [&'static str]> {
    KINDS.iter().find(|(known, _)| *known == label).map(|(_, subjects)| *subjects)
}
