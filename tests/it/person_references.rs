//! What slices declare about people (`person_references.rs`) is all there is, and moves back
//! whichever version recorded the merge.

use crate::support::{NOW, TestApp};
use burnday::demo;
use burnday::people::{AllPersonReferences, Moved, PersonColumn};
use burnday::server::PERSON_REFERENCES;
use serde_json::{Value, json};
use std::collections::BTreeSet;

const ALL: AllPersonReferences = AllPersonReferences(&PERSON_REFERENCES);

/// Runs statements beside the app and returns what they find, line by line.
fn sql(test: &TestApp, statements: &str) -> Vec<String> {
    let path = test.folder.path().join(burnday::db::FILE);
    let done = std::process::Command::new("sqlite3").arg(path).arg(statements).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).unwrap().lines().map(str::to_owned).collect()
}

#[tokio::test]
async fn every_column_that_refers_to_a_person_is_declared_once_and_has_an_index() {
    let test = TestApp::empty().await;
    let found = sql(
        &test,
        "select t.name || '.' || k.\"from\" from sqlite_schema t join pragma_foreign_key_list(t.name) k
         where t.type = 'table' and k.\"table\" = 'person' order by 1",
    );
    let mut declared: Vec<String> = ALL.columns().map(PersonColumn::key).collect();
    declared.sort();
    assert_eq!(declared, found);
    let indexed: BTreeSet<String> = sql(
        &test,
        "select distinct t.name || '.' || c.name from sqlite_schema t join pragma_index_list(t.name) i
         join pragma_index_info(i.name) c where t.type = 'table' and c.seqno = 0",
    )
    .into_iter()
    .collect();
    // Its rows are only ever found by their links.
    let bare: Vec<&String> = declared.iter().filter(|column| !indexed.contains(*column)).collect();
    assert_eq!(bare, ["announcement_link.person_id"]);
}

/// A row for each column that no row of the demo fills in.
const WHAT_THE_DEMO_LACKS: &str = "
    update guest set signer_id = (select max(id) from person) where id = (select min(id) from guest);
    update guest_habit set signer_id = (select min(id) from person);
    update loan set lender_contact_id = lender_id;
    update permit set person_id = (select min(id) from person) where id = (select min(id) from permit);
    insert into attendance (event_id, person_id, in_at) select 1, min(id), 1 from person;
    insert into crew_hours (event_id, person_id, for_on, from_min, until_min, noted_at)
    select 1, min(id), '2027-01-09', 60, 120, 1 from person;
    insert into press_visit (event_id, person_id, escort_id) select 1, min(id), max(id) from person;
    insert into thanked (event_id, person_id, is_deputy, reasons, way, at)
    select 1, min(id), 0, '[]', 'letter', 1 from person;
    insert into paper_reading (paper_id, person_id, headline, text, embargo, marked_headline, marked_text, facts,
                               date_revision, edited_by, asked_by, asked_at, expires_at)
    select (select min(id) from paper), min(id), '', '', '', '', '', '{}', 1, 1, 1, 1, 1 from person;
    insert into paper_version (paper_id, number, headline, text, embargo, date_revision, edited_by, read_by, reader_id,
                               approved_at)
    select (select min(id) from paper), 99, '', '', '', 1, 1, 'link', max(id), 1 from person;";

async fn reassign(test: &TestApp, from: i64, to: i64) -> Value {
    let write = test.app.db.write(move |tx| Box::pin(async move { ALL.reassign(tx, from, to).await }));
    serde_json::to_value(write.await.unwrap()).unwrap()
}

async fn undo(test: &TestApp, moved: Value, from: i64, to: i64) {
    let moved: Moved = serde_json::from_value(moved).unwrap();
    let write = test.app.db.write(move |tx| {
        let moved = moved.clone();
        Box::pin(async move { ALL.undo(tx, &moved, from, to).await })
    });
    write.await.unwrap();
}

/// What older versions recorded for the same, with what they called a lender's contact, our
/// contact, and the donations.
fn older(new: &Value, [lender_contact, our_contact, donations]: [&str; 3]) -> Value {
    let at = |key: &str| new.get(key).cloned().unwrap_or_else(|| json!([]));
    let owned = &new["press_listing.owner_id"];
    json!({
        "requests": at("request.person_id"),
        "tasks": at("task.owner_id"),
        "guests": [at("guest.person_id"), at("guest.responsible_id")],
        "signed": [at("guest.signer_id"), new["guest_habit.signer_id"]],
        "gifts": at("gift.person_id"),
        "thanks": {"drafts": at("thanks_draft.person_id"), "thanked": at("thanked.person_id")},
        "account": new["account.person_id"],
        "press": {
            "contacts": at("outlet_contact.person_id"),
            "outlets": owned["outlets"],
            "owned_events": owned["owned_events"],
            "entries": at("outreach.person_id"),
            "follow_ups": at("outreach.follow_up_by"),
            "visits": at("press_visit.person_id"),
            "escorts": at("press_visit.escort_id"),
            "readings": {"asked": at("paper_reading.person_id"), "versions": at("paper_version.reader_id")},
        },
        donations: at("donation_request.person_id"),
        "crew": {
            "assignments": at("assignment.person_id"),
            "links": at("crew_link.person_id"),
            "hours": at("crew_hours.person_id"),
            "holdings": at("holding.person_id"),
            "attendances": at("attendance.person_id"),
        },
        "loans": {
            "lender": at("loan.lender_id"),
            lender_contact: at("loan.lender_contact_id"),
            our_contact: at("loan.our_contact_id"),
        },
        "permits": at("permit.person_id"),
    })
}

/// Does it say that something was moved?
fn is_something(value: &Value) -> bool {
    match value {
        Value::Array(rows) => !rows.is_empty(),
        Value::Object(parts) => parts.values().any(is_something),
        value => *value == Value::Bool(true),
    }
}

/// Everything but what only says how often a row was changed.
fn dump(test: &TestApp) -> String {
    sql(test, "update task set version = 1; update permit set version = 1;");
    test.dump()
}

#[tokio::test]
async fn what_a_merge_moves_comes_back_whichever_version_recorded_it() {
    let test = TestApp::empty().await;
    demo::fill(&test.app, NOW).await.unwrap();
    sql(&test, WHAT_THE_DEMO_LACKS);
    let people: Vec<i64> = sql(&test, "select id from person").iter().map(|id| id.parse().unwrap()).collect();
    let spare = test.person("Ana Ruiz", "").await;
    let before = dump(&test);
    let mut moved = BTreeSet::new();
    for form in [None, Some(["lender_contact", "our_contact", "donation_requests"]), Some(["their", "keeper", "pleas"])]
    {
        for person in &people {
            let new = reassign(&test, *person, spare).await;
            let keys = new.as_object().unwrap().iter().filter(|(_, value)| is_something(value));
            moved.extend(keys.map(|(key, _)| key.clone()));
            undo(&test, form.map_or_else(|| new.clone(), |names| older(&new, names)), spare, *person).await;
        }
        assert_eq!(dump(&test), before, "{form:?}");
    }
    let stays = [
        "announcement_link.person_id",
        "feed.person_id",
        "mail.person_id",
        "not_double.one_id",
        "not_double.other_id",
        "person.merged_into",
        "reminder.person_id",
    ];
    let all: BTreeSet<String> =
        ALL.columns().map(PersonColumn::key).filter(|key| !stays.contains(&key.as_str())).collect();
    assert_eq!(moved, all);
}

#[tokio::test]
async fn what_was_given_to_someone_else_since_a_merge_stays_with_them() {
    let test = TestApp::planned().await;
    let (gone, kept, third) =
        (test.person("P. Okafor", "").await, test.person("Priya Okafor", "").await, test.person("Ana Ruiz", "").await);
    sql(
        &test,
        &format!(
            "insert into request (id, event_id, person_id, kind, question, facts, words, closes_at, asked_at)
             values (1, 1, {gone}, 'guest', 'Will you come?', '[]', '', 1, 1),
                    (2, 1, {gone}, 'guest', 'Will you come?', '[]', '', 1, 1);"
        ),
    );
    let moved = reassign(&test, gone, kept).await;
    assert_eq!(moved["request.person_id"], json!([1, 2]));
    sql(&test, &format!("update request set person_id = {third} where id = 2"));
    undo(&test, moved, kept, gone).await;
    assert_eq!(sql(&test, "select person_id from request order by id"), [gone.to_string(), third.to_string()]);
}
