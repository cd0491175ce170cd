//! Who sees what of people. Every private field of the demo holds a mark that
//! says which field it is; then each role looks at every page, file and mail.
//!
//! Which role may see which field is common practice, with no source.

use crate::support::routes::all;
use crate::support::{Browser, NOW, TestApp};
use burnday::accounts::{self, Role};
use burnday::demo;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// A kind of private fact; see [`MAY_SEE`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Kind {
    /// Phone and email, of a deputy and of an authority too.
    Contact,
    /// What somebody said, and what others wrote down about them.
    Notes,
    Needs,
    /// What shows that somebody is qualified, and who issued it.
    Certificate,
    Money,
    /// Letters as they went out, by email or on paper.
    Letter,
}

use Kind::{Certificate, Contact, Letter, Money, Needs, Notes};

const EVERYTHING: &[Kind] = &[Contact, Notes, Needs, Certificate, Money, Letter];
const OF_PEOPLE: &[Kind] = &[Contact, Notes, Needs, Certificate];

/// The rule: each role, and what it may see.
const MAY_SEE: [(Role, &[Kind]); 8] = [
    (Role::EducationOfficer, EVERYTHING),
    (Role::InformationOfficer, &[Contact, Notes, Needs, Certificate, Money]),
    (Role::SafetyOfficer, OF_PEOPLE),
    (Role::BurnBoss, OF_PEOPLE),
    (Role::IncidentCommander, OF_PEOPLE),
    (Role::CrewLead, OF_PEOPLE),
    (Role::Timekeeper, &[]),
    (Role::Reader, &[]),
];

/// Where private facts are kept.
const FIELDS: &[(Kind, &str)] = &[
    (Contact, "person.phone"),
    (Contact, "person.mail"),
    (Contact, "answer.deputy_phone"),
    (Contact, "answer.deputy_mail"),
    (Contact, "guest.day_deputy_phone"),
    (Contact, "guest.day_deputy_mail"),
    (Contact, "permit.phone"),
    (Contact, "permit.mail"),
    (Contact, "person.refused_why"),
    (Notes, "person.notes"),
    (Notes, "answer.note"),
    (Notes, "answer.evidence"),
    (Notes, "ask_call.note"),
    (Notes, "attendance.reason"),
    (Notes, "gift.notes"),
    (Notes, "loan.notes"),
    (Notes, "loan_step.note"),
    // What somebody was told, and why it didn't reach them, is on their contact record.
    (Notes, "mail.subject"),
    (Notes, "mail.words"),
    (Notes, "offer.fetch"),
    (Notes, "outreach.words"),
    (Notes, "outreach.promised"),
    (Notes, "paper_reading.note"),
    (Notes, "permit.notes"),
    (Needs, "person.access_needs"),
    (Needs, "answer.access_needs"),
    (Certificate, "holding.evidence"),
    (Certificate, "holding.issued_by"),
    (Money, "gift.amount_cents"),
    (Money, "gift.return_cents"),
    (Money, "gift.value_cents"),
    (Money, "loan.value_cents"),
    (Letter, "mail.to_address"),
    (Letter, "mail.reply_address"),
    (Letter, "mail.text"),
    (Letter, "mail.html"),
    (Letter, "loan_letter.text"),
    (Letter, "receipt.text"),
];

/// Columns whose names sound private and that hold nothing of the kind.
const PUBLIC: &[&str] = &[
    // What was read for a gate, by whom, and why a decision was signed, for the whole crew.
    "gate_reading.note",
    "gate_reading.noted_at",
    "gate_reading.noted_by",
    "decision_signature.reason",
    // Why the safety officer accepts what a check of the site found, for the whole crew.
    "site_accepted.reason",
    // What a crowd hears, and what the presenter wants to change.
    "talk_objective.text",
    "talk_practice.note",
    // How somebody signs in, shown to themselves and to the education officer.
    "account.mail",
    // The phone for questions, printed on what goes out.
    "department.phone",
    "press_facts.phone",
    "press_facts.mail",
    // Why an officer decided, shown with their name so that all know.
    "assignment.override_reason",
    "closed_day.reason",
    "guest.place_reason",
    // Where the burn is, for everyone who comes.
    "event.address",
    // "The Honorable", "Ms."
    "guest.address",
    "office.address",
    "person.address_form",
    // About a thing, and signed by both sides.
    "loan_condition.notes",
    // Notes on the plan, for whoever works on it.
    "task_note.text",
    // What is written for the public, and what a question says.
    "paper.text",
    "paper_reading.text",
    "paper_reading.marked_text",
    "paper_version.text",
    "paper_version.marked_text",
    "request.words",
    // No text of anybody.
    "crew_hours.noted_at",
    "crew_hours.noted_by",
    "gift.promised_by",
    "gift.promised_on",
    "guest.microphone",
    "person.no_mail",
    "person.refused_at",
    "post.needed",
    "statement.mail_dedup",
    // For which of the reasons on the page somebody was thanked.
    "thanked.reasons",
];

/// Private fields that are kept, and that no page shows yet.
const UNSEEN: &[&str] = &["loan_letter.text", "receipt.text"];

/// Parts of the names of columns that sound private.
const SOUNDS_PRIVATE: [&str; 14] = [
    "address",
    "cents",
    "evidence",
    "fetch",
    "html",
    "issued_by",
    "mail",
    "need",
    "note",
    "phone",
    "promised",
    "reason",
    "refused",
    "text",
];

/// The same fields as the journal calls them, by what they are about.
const JOURNAL: &[(Kind, &str, &str)] = &[
    (Contact, "account", "mail address"),
    (Contact, "person", "phone"),
    (Contact, "person", "mail"),
    (Contact, "person", "mail refused"),
    (Contact, "permit", "phone"),
    (Contact, "permit", "email"),
    (Notes, "person", "notes"),
    (Notes, "permit", "notes"),
    (Notes, "question", "note"),
    (Notes, "attendance", "reason"),
    (Needs, "person", "access needs"),
    (Certificate, "certificate", "evidence"),
    (Certificate, "certificate", "issued by"),
    (Money, "gift", "amount"),
    (Money, "gift", "value"),
    (Money, "gift", "estimate of it"),
    (Money, "loan", "value"),
];

/// Amounts can't hold words: each column has a sum of its own, in dollars.
fn dollars(field: &str) -> Option<u32> {
    let columns: Vec<&str> = FIELDS.iter().filter(|(kind, _)| *kind == Money).map(|(_, field)| *field).collect();
    let place = columns.iter().position(|column| *column == field)?;
    Some(401_017 + 10_101 * u32::try_from(place).unwrap())
}

/// "401,017"
fn grouped(dollars: u32) -> String {
    format!("{},{:03}", dollars / 1000, dollars % 1000)
}

fn mark(test: &TestApp) {
    // What the demo has none of.
    let mut sql = vec![
        "
        insert into attendance (event_id, person_id, in_at, out_at)
            select event_id, person_id, 1800000000, 1800003600 from assignment group by person_id limit 2;
        update guest set is_here = 1, day_deputy = 'Nell Harrow', day_on = (select burn_on from event) where id < 3;
        insert into paper_reading (paper_id, person_id, headline, text, embargo, marked_headline, marked_text, facts,
                                   date_revision, edited_by, asked_by, asked_at, expires_at, said, said_at)
            select id, 9, headline, text, '', headline, text, '{}', 1, 1, 1, 1, 2, 'needs a change', 2 from paper;
        update answer set said = 'deputy', deputy = 'Nell Harrow' where id in (
            select max(a.id) from answer a join ask on ask.id = a.ask_id join request r on r.id = ask.request_id
            where r.kind = 'guest');
        update answer set said = 'no', deputy = '', deputy_title = '' where id = (
            select max(a.id) from answer a join ask k on k.id = a.ask_id
            join assignment s on s.request_id = k.request_id and s.is_standby = 0
            where k.lapsed_at is null and k.for_on = (select burn_on from event where id = 1));
        update post set needed = 99;
        insert into person (id, name, created_at) values (9001, 'Yes Guest', 0), (9002, 'Yes Lender', 0),
            (9003, 'Yes Desk', 0), (9004, 'Yes Giver', 0);
        insert into request (id, event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by)
            values (9001, 1, 9001, 'guest', 'Will you?', '[]', '', 1800000000, 1, 1),
                   (9002, 1, 9002, 'loan', 'Will you?', '[]', '', 1800000000, 1, 1),
                   (9003, 1, 9003, 'coverage', 'Will you?', '[]', '', 1800000000, 1, 1),
                   (9004, 1, 9004, 'item', 'Will you?', '[[\"Lamp\",\"1\"]]', '', 1800000000, 1, 1);
        insert into ask (id, request_id, for_on, date_revision)
            select r.id, r.id, e.burn_on, e.date_revision from request r join event e on e.id = 1 where r.id > 9000;
        insert into answer (id, ask_id, said, channel, at) select id, id, 'yes', 'link', 5 from ask where id > 9000;
        insert into ask_call (request_id, kind, note, at, recorded_by)
            select id, 'left a message', '', 1790000000, 1 from request;
        insert into offer (answer_id, lines, fetch) values (9004, '[0]', '');
        insert into donation_request (event_id, person_id, is_like, what, quantity, at, said, request_id, line)
            values (1, 9004, 0, 'Lamp', 1, 5, 'promised', 9004, 0);
        update person set refused_at = 1 where id = 9004;
        update gift set in_return = 'something', return_cents = 1 where id < 4;
    "
        .to_owned(),
    ];
    for (_, field) in FIELDS {
        let (table, column) = field.split_once('.').unwrap();
        let value = match dollars(field) {
            Some(dollars) => format!("{dollars}00"),
            None if table == "offer" => format!("'zq.{field}.'"),
            None if column.ends_with("mail") || column.ends_with("_address") => {
                format!("'zq.{field}.' || id || '@example.org'")
            }
            None => format!("'zq.{field}.' || id || '.'"),
        };
        let only = match *field {
            "gift.amount_cents" => "kind = 'money'",
            "gift.value_cents" | "gift.return_cents" => "{column} is not null",
            "answer.deputy_phone" | "answer.deputy_mail" => "said = 'deputy'",
            "guest.day_deputy_phone" | "guest.day_deputy_mail" => "day_deputy <> ''",
            "person.refused_why" => "id = 9004",
            // The email of the contact for the media is printed in releases.
            "person.mail" => "name <> 'Jun Castellane'",
            _ => "true",
        };
        let only = only.replace("{column}", column);
        sql.push(format!("update {table} set {column} = {value} where {only};"));
    }
    // Each kind of entry about each thing, as if the field had just been changed.
    for (_, subject, field) in JOURNAL {
        let named = format!("zq.journal.{subject} {field}.");
        let departments = ["account", "person"].contains(subject);
        let event = if departments { "null" } else { "1" };
        for number in 1..=4 {
            sql.push(format!(
                "insert into journal (at, actor, verb, subject, subject_id, event_id, title, before, after)
                 values (1790000000, 'system', 'changed', '{subject}', {number}, {event}, 'a thing',
                         json_object('{field}', ''), json_object('{field}', '{named}'));"
            ));
        }
    }
    test.sql(&sql.join("\n"));
}

/// Which private fields an answer shows, but for those of the person who looks.
fn marks(body: &str, own: i64) -> BTreeSet<(Kind, String)> {
    let mut found = BTreeSet::new();
    for rest in body.split("zq.").skip(1) {
        let mut parts = rest.split('.');
        let (Some(table), Some(column)) = (parts.next(), parts.next()) else { continue };
        let field = format!("{table}.{column}");
        let number = parts.next().and_then(|number| number.split('@').next()?.parse::<i64>().ok());
        if table == "person" && number == Some(own) {
            continue;
        }
        let column = FIELDS.iter().find(|(_, known)| *known == field).map(|(kind, _)| *kind);
        let entry = JOURNAL.iter().find(|(_, subject, name)| field == format!("journal.{subject} {name}"));
        let kind = column.or(entry.map(|(kind, ..)| *kind));
        found.insert((kind.unwrap_or_else(|| panic!("an unknown mark: {field}")), field));
    }
    for (kind, field) in FIELDS {
        if let Some(dollars) = dollars(field)
            && (body.contains(&grouped(dollars)) || body.contains(&dollars.to_string()))
        {
            found.insert((*kind, (*field).to_owned()));
        }
    }
    found
}

/// A page's kind: its path without numbers, and the names of what is asked.
pub fn kind_of(path: &str) -> String {
    let (path, query) = path.split_once('?').unwrap_or((path, ""));
    let names: Vec<&str> = query.split('&').filter_map(|pair| pair.split('=').next()).collect();
    let parts = path.split('/').map(|part| if part.chars().any(|c| c.is_ascii_digit()) { "#" } else { part });
    format!("{}?{}", parts.collect::<Vec<_>>().join("/"), names.join("&"))
}

/// So many pages of each kind are looked at.
const MOST: usize = 3;

/// Every page that somebody who sees all finds by following links, and every
/// route.
pub async fn paths(browser: &mut Browser, test: &TestApp) -> Vec<String> {
    let task = test.task("burn-permit").await;
    // Of the people, one whose address was refused.
    let mut waiting = VecDeque::from(["/events/1".to_owned(), "/people/9004".to_owned()]);
    waiting.extend(all().iter().filter(|route| route.gets && !route.path.contains("{build}")).map(|r| r.at(1, task)));
    let (mut found, mut counts) = (Vec::new(), BTreeMap::<String, usize>::new());
    while let Some(path) = waiting.pop_front() {
        let count = counts.entry(kind_of(&path)).or_default();
        if *count >= MOST || found.contains(&path) {
            continue;
        }
        *count += 1;
        let answer = browser.get(&path).await;
        let here = path.split('?').next().unwrap_or_default();
        let links = answer.attributes("a[href]", "href").into_iter();
        let links = links.map(|link| if link.starts_with('?') { format!("{here}{link}") } else { link });
        let links = links.map(|link| link.split('#').next().unwrap_or_default().to_owned());
        waiting.extend(links.filter(|link| link.starts_with('/') && !link.starts_with("/static/")));
        found.push(path);
    }
    assert!(found.len() > 150, "{} pages", found.len());
    found
}

/// The demo with marks, and a browser of each role with the number of its person.
async fn entered() -> (TestApp, Vec<(Role, i64, Browser)>) {
    let test = TestApp::empty().await;
    let links = demo::fill(&test.app, NOW).await.unwrap();
    let accounts = accounts::list(test.app.db.read()).await.unwrap();
    let mut browsers = Vec::new();
    for (role, secret) in links {
        let mut browser = test.stranger();
        assert_eq!(browser.post(&format!("/enter/{}", secret.reveal()), &[]).await.status, 303);
        let own = accounts.iter().find(|account| account.role == role).unwrap().person_id;
        browsers.push((role, own, browser));
    }
    mark(&test);
    (test, browsers)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn each_role_sees_what_its_line_says_on_every_page() {
    let (test, browsers) = entered().await;
    let mut officer = browsers.iter().find(|(role, ..)| *role == Role::EducationOfficer).unwrap().2.clone();
    let paths = paths(&mut officer, &test).await;
    let mut looking = tokio::task::JoinSet::new();
    for (role, own, mut browser) in browsers {
        let paths = paths.clone();
        looking.spawn(async move {
            let mut seen = Vec::new();
            for path in &paths {
                let answer = browser.get(path).await;
                assert!(answer.status < 500, "{path} as {role}: {}", answer.status);
                seen.extend(marks(&answer.body, own).into_iter().map(|(kind, field)| (kind, field, path.clone())));
            }
            (role, seen)
        });
    }
    let (mut leaks, mut missing) = (BTreeSet::new(), Vec::new());
    for (role, seen) in looking.join_all().await {
        let may = MAY_SEE.iter().find(|(known, _)| *known == role).unwrap().1;
        for (kind, field, path) in &seen {
            if !may.contains(kind) {
                leaks.insert(format!("{role} sees {field} on {}", kind_of(path)));
            }
        }
        // And still what they may: of each kind something, of the officer's all.
        let has = |wanted: Kind| seen.iter().any(|(kind, ..)| *kind == wanted);
        missing.extend(may.iter().filter(|kind| !has(**kind)).map(|kind| format!("{role}: no {kind:?}")));
        if role == Role::EducationOfficer {
            let columns = FIELDS.iter().filter(|(_, field)| !UNSEEN.contains(field));
            let columns = columns.map(|(_, field)| (*field).to_owned());
            let entries = JOURNAL.iter().map(|(_, subject, field)| format!("journal.{subject} {field}"));
            let hidden = columns.chain(entries).filter(|field| !seen.iter().any(|(_, known, _)| known == field));
            missing.extend(hidden.map(|field| format!("{field} is on no page")));
        }
    }
    assert!(leaks.is_empty(), "{} leaks:\n{}", leaks.len(), leaks.into_iter().collect::<Vec<_>>().join("\n"));
    assert!(missing.is_empty(), "{missing:#?}");
}

/// A new column that sounds private is put on one of the two lists.
#[tokio::test]
async fn each_field_that_sounds_private_is_on_a_list() {
    let test = TestApp::set_up().await;
    let columns = "select m.name || '.' || c.name from sqlite_master m, pragma_table_info(m.name) c
                   where m.type = 'table' and substr(m.name, 1, 1) <> '_'";
    let path = test.folder.path().join(burnday::db::FILE);
    let shell = std::process::Command::new("sqlite3").arg("-readonly").arg(path).arg(columns).output().unwrap();
    let columns = String::from_utf8(shell.stdout).unwrap();
    assert!(columns.lines().any(|column| column == "person.phone"), "{columns}");
    let is_listed = |column: &str| FIELDS.iter().any(|(_, field)| *field == column) || PUBLIC.contains(&column);
    let sounds = |column: &&str| {
        let name = column.split('.').nth(1).unwrap();
        !name.ends_with("_id") && SOUNDS_PRIVATE.iter().any(|part| name.contains(part))
    };
    let open: Vec<&str> = columns.lines().filter(sounds).filter(|column| !is_listed(column)).collect();
    assert!(open.is_empty(), "put each on FIELDS or PUBLIC in this file: {open:?}");
    for column in FIELDS.iter().map(|(_, field)| *field).chain(PUBLIC.iter().copied()) {
        assert!(columns.lines().any(|known| known == column), "{column} is no column any more");
    }
}
