//! Which part may use which, checked in the source.

use crate::support::routes::sources;

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
                let owner = OWNERS.iter().find(|(name, _)| *name == table).map(|(_, owner)| *owner);
                assert_eq!(owner, Some(own.as_str()), "{} writes {table}", path.display());
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
