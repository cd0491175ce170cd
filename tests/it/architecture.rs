//! Which part may use which, checked in the source.

use crate::support::routes::sources;
use burnday::server::HISTORY;
use std::collections::BTreeSet;

/// The slices from the bottom up: each may use those before it.
const SLICES: &[&str] = &[
    "people",
    "accounts",
    "photos",
    "events",
    "mail_room",
    "closed_days",
    "permit_records",
    "asks",
    "countdown",
    "permits",
    "crew",
    "loans",
    "reminders",
    "guests",
    "gifts",
    "rooms",
    "fire",
    "site",
    "gates",
    "talk",
    "thanks",
    "press",
    "burn_day",
    "directory",
    "settings",
];
const EDGE: &[&str] = &["web", "db", "mail", "state", "clock", "zone", "error", "hashing", "heavy"];

fn part(path: &str) -> &str {
    let rest = path.strip_prefix("src/").unwrap();
    rest.split('/').next().unwrap().trim_end_matches(".rs")
}

fn uses(text: &str, part: &str) -> bool {
    let code = text.split("#[cfg(test)]").next().unwrap();
    code.lines().filter(|line| !line.trim_start().starts_with("//")).any(|line| {
        line.contains(&format!("crate::{part}::"))
            || line.contains(&format!("crate::{part};"))
            || (line.contains("use crate::{") && line.contains(part))
    })
}

#[test]
fn calc_is_pure() {
    for (path, text) in sources().iter().filter(|(path, _)| path.starts_with("src/calc")) {
        if path.ends_with("tests.rs") {
            continue;
        }
        for word in ["sqlx", "axum", "tokio", "askama", "std::fs", "std::io", "now_utc", "async "] {
            assert!(!text.contains(word), "{}: {word}", path.display());
        }
        // A generator with a seed is a function of it; everything else that is random isn't.
        let rest = text.replace("use rand::rngs::Xoshiro256PlusPlus;", "").replace("use rand::{Rng, SeedableRng};", "");
        for word in ["rand::", "from_rng", "from_os_rng"] {
            assert!(!rest.contains(word), "{}: {word}", path.display());
        }
        for other in SLICES.iter().chain(EDGE) {
            assert!(!uses(text, other), "{} uses {other}", path.display());
        }
    }
}

#[test]
fn the_edge_uses_no_slice_and_slices_use_only_those_before_them() {
    for (path, text) in sources() {
        let path = path.to_str().unwrap().to_owned();
        let own = part(&path);
        let forbidden: Vec<&str> = if EDGE.contains(&own) {
            SLICES.to_vec()
        } else if let Some(level) = SLICES.iter().position(|slice| *slice == own) {
            SLICES[level + 1..].to_vec()
        } else {
            continue;
        };
        for other in forbidden {
            assert!(!uses(&text, other), "{path} uses {other}");
        }
    }
}

/// Axum's own routing compiles its code again for each handler, which made a build take half
/// as long again.
#[test]
fn handlers_are_boxed() {
    for (path, text) in sources() {
        let path = path.to_str().unwrap();
        assert!(path == "src/web/routes.rs" || !text.contains("axum::routing"), "{path}");
    }
}

/// A slice's SQL is in `store.rs`, or in any file below a folder `store`.
fn is_store(path: &str) -> bool {
    path.ends_with("/store.rs") || path.contains("/store/")
}

#[test]
fn sql_is_only_in_stores() {
    for (path, text) in sources() {
        let path = path.to_str().unwrap();
        let may = is_store(path) || path.starts_with("src/db/") || path.starts_with("src/mail/outbox/");
        assert!(may || !text.contains("sqlx::query"), "{path}");
    }
}

/// Each table, and the slice that owns it.
const OWNERS: &[(&str, &str)] = &[
    ("department", "accounts"),
    ("account", "accounts"),
    ("session", "accounts"),
    ("link", "accounts"),
    ("person", "people"),
    ("organization", "people"),
    ("gate", "gates"),
    ("gate_reading", "gates"),
    ("decision_time", "gates"),
    ("decision_signature", "gates"),
    ("import", "directory"),
    ("not_double", "directory"),
    ("photo", "photos"),
    ("event", "events"),
    ("mail", "mail"),
    ("mail_hold", "mail"),
    ("announcement_link", "mail"),
    ("request", "asks"),
    ("ask", "asks"),
    ("answer", "asks"),
    ("ask_call", "asks"),
    ("request_link", "asks"),
    ("offer", "asks"),
    ("feed", "asks"),
    ("statement", "asks"),
    ("office", "guests"),
    ("sponsor_level", "guests"),
    ("invitation_lead", "guests"),
    ("guest_habit", "guests"),
    ("guest", "guests"),
    ("programme", "guests"),
    ("programme_item", "guests"),
    ("reminder", "reminders"),
    ("reminder_rule", "reminders"),
    ("task", "countdown"),
    ("task_link", "countdown"),
    ("task_note", "countdown"),
    ("closed_day", "closed_days"),
    ("permit", "permit_records"),
    ("permit_sending", "permit_records"),
    ("permit_date", "permit_records"),
    ("loan", "loans"),
    ("loan_span", "loans"),
    ("loan_step", "loans"),
    ("loan_condition", "loans"),
    ("loan_photo", "loans"),
    ("loan_letter", "loans"),
    ("gift", "gifts"),
    ("receipt", "gifts"),
    ("room_thing", "rooms"),
    ("room_habit", "rooms"),
    ("room_ruling", "rooms"),
    ("room_frame", "rooms"),
    ("room_place", "rooms"),
    ("room_fixture", "rooms"),
    ("donation_request", "rooms"),
    ("fire_setting", "fire"),
    ("fire_plan", "fire"),
    ("earlier_burn", "fire"),
    ("site", "site"),
    ("site_version", "site"),
    ("site_kept", "site"),
    ("site_accepted", "site"),
    ("site_photo", "site"),
    ("talk", "talk"),
    ("talk_objective", "talk"),
    ("talk_line", "talk"),
    ("talk_practice", "talk"),
    ("thanks_day", "thanks"),
    ("thanks_draft", "thanks"),
    ("thanked", "thanks"),
    ("outlet", "press"),
    ("outlet_contact", "press"),
    ("press_listing", "press"),
    ("press_facts", "press"),
    ("paper", "press"),
    ("paper_version", "press"),
    ("paper_reading", "press"),
    ("outreach", "press"),
    ("press_visit", "press"),
    ("story", "press"),
    ("qualification", "crew"),
    ("post", "crew"),
    ("post_needs", "crew"),
    ("holding", "crew"),
    ("assignment", "crew"),
    ("crew_hours", "crew"),
    ("crew_link", "crew"),
    ("crew_question", "crew"),
    ("sent_sheet", "crew"),
    ("attendance", "crew"),
    ("journal", "db"),
    ("served_place", "db"),
    ("heartbeat", "db"),
    ("form_key", "db"),
    ("wording", "db"),
];

/// What files read all the same of slices that they may not use, and why.
const READS: &[(&str, &[&str], &str)] = &[
    (
        "src/people/choosing/store.rs",
        &[
            "account",
            "answer",
            "ask",
            "assignment",
            "event",
            "gift",
            "guest",
            "holding",
            "loan",
            "outlet_contact",
            "qualification",
            "request",
        ],
        "whom a list offers first follows from what people do everywhere, found in one statement",
    ),
    ("src/db/journal/reading.rs", &["account", "person"], "an entry is shown with the name its author has today"),
    ("src/db/place.rs", &["account"], "a store without accounts is new, and no copy"),
];

/// The words after each `from` and `join`.
fn tables_read(text: &str) -> BTreeSet<&str> {
    let code = text.lines().filter(|line| !line.trim_start().starts_with("//"));
    let words: Vec<&str> = code.flat_map(str::split_whitespace).collect();
    let name = |word: &'static str| move |pair: &&[&str]| pair[0].trim_start_matches(['(', '"']) == word;
    let of = |word| words.windows(2).filter(name(word)).map(|pair| pair[1]).collect::<Vec<_>>();
    let all = of("from").into_iter().chain(of("join"));
    all.map(|table| table.split(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap()).collect()
}

fn owner(table: &str) -> Option<&'static str> {
    OWNERS.iter().find(|(name, _)| *name == table).map(|(_, owner)| *owner)
}

/// A page may join the tables of slices below it.
#[test]
fn the_edge_reads_only_its_own_tables_and_slices_those_of_slices_before_them() {
    let mut reads = 0;
    for (path, text) in sources() {
        let path = path.to_str().unwrap();
        let own = part(path);
        let level = SLICES.iter().position(|slice| *slice == own);
        if !(EDGE.contains(&own) || level.is_some()) || path.ends_with("tests.rs") {
            continue;
        }
        let known = READS.iter().find(|(of, ..)| *of == path).map_or(&[][..], |(_, tables, _)| tables);
        for (table, owner) in tables_read(&text).into_iter().filter_map(|table| Some((table, owner(table)?))) {
            let is_below = SLICES.iter().position(|slice| *slice == owner) < level || EDGE.contains(&owner);
            let may = owner == own || known.contains(&table) || (level.is_some() && is_below);
            assert!(may, "{path} reads {table}");
            reads += 1;
        }
    }
    assert!(reads > 100, "only {reads} were found");
    for (path, tables, _) in READS {
        let text = std::fs::read_to_string(path).unwrap();
        assert!(tables.iter().all(|table| tables_read(&text).contains(table)), "{path} no longer needs it");
    }
}

/// Triggers that do more than keep a table as it has to be.
const ACTING: &[(&str, &str)] = &[(
    "hold_doubts",
    "a copy's email may be put on hold by an older program, or in the copy itself before anything listens; whoever \
     does it, what people know is in doubt from that moment",
)];

/// A trigger in force: its name, its table, and what it does.
struct Trigger {
    name: String,
    table: String,
    body: String,
}

fn triggers() -> Vec<Trigger> {
    let mut files: Vec<_> = std::fs::read_dir("migrations").unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    let mut found: Vec<Trigger> = Vec::new();
    for file in files {
        let sql = std::fs::read_to_string(file).unwrap();
        for statement in sql.split("\ncreate trigger ").skip(1) {
            let (head, rest) =
                statement.split_once("begin\n").unwrap_or_else(|| statement.split_once("begin ").unwrap());
            let words: Vec<&str> = head.split_whitespace().collect();
            let on = words.iter().position(|word| *word == "on").unwrap();
            let body = rest.split("\nend;").next().unwrap().to_owned();
            found.push(Trigger { name: words[0].to_owned(), table: words[on + 1].to_owned(), body });
        }
        // What the same file creates again stays.
        for dropped in sql.split("drop trigger ").skip(1) {
            let name = dropped.split(';').next().unwrap();
            let place = found.iter().position(|trigger| trigger.name == name).unwrap();
            found.remove(place);
        }
    }
    found
}

#[test]
fn triggers_only_keep_a_table_as_it_has_to_be() {
    let found = triggers();
    let names: Vec<&str> = found.iter().map(|trigger| trigger.name.as_str()).collect();
    assert!(names.contains(&"paper_version_stays") && !names.contains(&"ask_lapses"), "{names:?}");
    assert!(ACTING.iter().all(|(name, _)| names.contains(name)), "{names:?}");
    for trigger in &found {
        // Only the program knows the time.
        assert!(!trigger.body.contains("unixepoch") && !trigger.body.contains("'now'"), "{}", trigger.name);
        let acts = ["update ", "insert into ", "delete from "].iter().any(|verb| {
            let tables = trigger.body.split(verb).skip(1);
            tables.map(|rest| rest.split_whitespace().next().unwrap()).any(|table| table != trigger.table)
        });
        let is_known = ACTING.iter().any(|(name, _)| *name == trigger.name);
        assert_eq!(acts, is_known, "{} acts on other tables", trigger.name);
    }
}

/// Events are below asks, so the store of events can't.
#[test]
fn whoever_changes_an_event_lets_its_asks_lapse() {
    let changing = sources().into_iter().filter(|(_, text)| text.contains("events::change("));
    let paths: Vec<_> =
        changing.inspect(|(path, text)| assert!(text.contains("asks::lapse("), "{}", path.display())).collect();
    assert!(!paths.is_empty());
    let writers = sources().into_iter().filter(|(_, text)| text.contains("\"update event set name"));
    assert_eq!(writers.count(), 1);
}

#[test]
fn a_slice_writes_only_its_own_tables() {
    let mut writes = 0;
    for (path, text) in sources() {
        let own = part(path.to_str().unwrap()).to_owned();
        for verb in ["insert into ", "update or ignore ", "update ", "delete from "] {
            let text = if verb == "update " { text.replace("\"update or ignore ", "") } else { text.clone() };
            for rest in text.split(&format!("\"{verb}")).skip(1) {
                // Made from names; see below.
                if path.ends_with("people/references/store.rs") {
                    continue;
                }
                let table: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                assert_eq!(owner(&table), Some(own.as_str()), "{} writes {table}", path.display());
                writes += 1;
            }
        }
    }
    assert!(writes > 20, "only {writes} writes were found");
}

/// The statements of these columns are made from the names declared here.
#[test]
fn a_slice_declares_only_columns_of_its_own_tables() {
    let mut columns = 0;
    for (path, text) in sources() {
        if !path.ends_with("person_references.rs") {
            continue;
        }
        let own = part(path.to_str().unwrap()).to_owned();
        for rest in text.split("PersonColumn::").skip(1).filter(|rest| rest.contains('(')) {
            let Some(table) = rest.split('"').nth(1) else { continue };
            let owner = OWNERS.iter().find(|(name, _)| *name == table).map(|(_, owner)| *owner);
            // The outbox is part of the edge, which knows no people.
            let own = if own == "mail_room" { "mail" } else { own.as_str() };
            assert_eq!(owner, Some(own), "{} declares {table}", path.display());
            columns += 1;
        }
    }
    assert!(columns > 30, "only {columns} were found");
}

#[test]
fn every_write_is_journaled() {
    // Sign-ins, links, and times of visits change nothing people decide. A name is journaled
    // with the account or task it was typed for. Erasing someone's data is journaled by
    // `people`.
    let silent = [
        "rename",
        "saw",
        "use_up",
        "sign_in",
        "sign_out",
        "end_over",
        "add_link",
        // What follows from a change is journaled with it.
        "set_facts",
        "save_leads",
        "save_offices",
        "save_levels",
        "set_closing",
        "keep_statements",
        "unsay_unsent",
        "insert",
        "insert_link",
        "lapse",
        "cancel_needless",
        "named",
        "organization",
        "add_date",
        "settle",
        "add_feed",
        "note_mail",
        "note_sheet",
        // Journaled by their callers, with everything else a merge or an import does.
        "add_all",
        "remove_all",
        "put",
        "put_spans",
        "put_photo",
        // What comes of a plan that was journaled when it was pinned.
        "save_bands",
        // Files waiting to be imported, and what searches use.
        "keep_file",
        "choose_columns",
        "choose_heading",
        "drop_waiting",
        "write_search",
        // Journaled with the photo, and with the change of the drawing.
        "add_photo",
        "drop_unused_photos",
        // Journaled with the question.
        "put_request",
        // The same as before, in this version's words or in none.
        "reword",
        "reword_statements",
        "put_override_keys",
        "put_made_from",
        "keep_open_readings",
        // Journaled with the decision that replaces them.
        "forget_other_spellings",
        // Journaled by their callers: with each gate, and with the change to the event.
        "overtake",
    ];
    for (path, text) in sources() {
        // What a merge moves and an erasure blanks is journaled with the person.
        let folder = path.parent().unwrap();
        if !is_store(path.to_str().unwrap()) || folder.ends_with("references") || folder.ends_with("person_references")
        {
            continue;
        }
        for function in text.split("async fn ").skip(1) {
            let name: String = function.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            let end = function.find("\n}\n").unwrap_or(function.len());
            let body = &function[..end];
            let changes = ["\"insert into", "\"update ", "\"delete from"].iter().any(|verb| body.contains(verb));
            if changes && !silent.contains(&name.as_str()) {
                assert!(
                    body.contains("record(tx"),
                    "{}: {name} changes something without a journal entry",
                    path.display()
                );
            }
        }
    }
}

#[test]
fn each_kind_of_thing_in_the_journal_is_named_by_one_slice() {
    let all = HISTORY.concat();
    for subject in &all {
        assert_eq!(all.iter().filter(|other| other.kind == subject.kind).count(), 1, "{}", subject.kind);
    }
    for (path, text) in sources().iter().filter(|(path, _)| path.ends_with("history.rs")) {
        let own = part(path.to_str().unwrap()).to_owned();
        assert!(own == "web" || text.contains("HISTORY"), "{own}");
    }
}
