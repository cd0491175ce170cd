//! A store of an earlier version is brought up to date with all that it holds.

use burnday::db::{Db, FILE};
use std::path::Path;
use std::process::Command;

/// The last migration before the store knew where it is served.
const BEFORE: u32 = 79;

fn sql(path: &Path, sql: &str) -> String {
    let done = Command::new("sqlite3").arg("-cmd").arg("pragma foreign_keys = on").arg(path).arg(sql).output().unwrap();
    assert!(done.status.success(), "{sql}: {}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).unwrap().trim().to_owned()
}

fn is_refused(path: &Path, sql: &str) -> bool {
    !Command::new("sqlite3").arg("-bail").arg(path).arg(sql).output().unwrap().status.success()
}

/// A store as the version before left it, in a folder.
async fn old(folder: &Path) {
    let new = folder.join("new");
    Db::open(&new).await.unwrap().close().await;
    let path = folder.join(FILE);
    let mut files: Vec<_> = std::fs::read_dir("migrations").unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    for file in files {
        let number: u32 = file.file_name().unwrap().to_str().unwrap()[..4].parse().unwrap();
        if number <= BEFORE {
            // The first line is a comment, which must not look like an option.
            sql(&path, &format!("\n{}", std::fs::read_to_string(&file).unwrap()));
        }
    }
    let known = sql(&new.join(FILE), "select sql from sqlite_master where name = '_sqlx_migrations'");
    sql(&path, &known);
    let rows = format!(
        "attach '{}' as new; insert into _sqlx_migrations select * from new._sqlx_migrations where version <= {BEFORE}",
        new.join(FILE).display()
    );
    sql(&path, &rows);
}

const ROWS: &str = "
    insert into department (id, name, zone, phone) values (1, 'Alder Bend Fire District', 'America/Chicago', '555-0117');
    insert into person (id, name, created_at) values (1, 'Olga Wren', 0), (2, 'Gideon Astley', 0);
    insert into account (id, person_id, mail, role, created_at)
        values (1, 1, 'olga@example.org', 'education officer', 0), (2, 2, 'gideon@example.org', 'timekeeper', 0);
    insert into session (secret_hash, account_id, created_at, seen_at, expires_at)
        values (zeroblob(32), 1, 0, 0, 9999999999);
    insert into event (id, name, site, zone, burn_on, burn_time, rain_on, format, audience, weekdays, is_current,
                       created_at)
        values (1, 'Two Rooms', 'East lot', 'America/Chicago', '2027-06-05', '10:00', '2027-06-12',
                'one at a time', 300, 32, 1, 0);
    insert into request (id, event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by)
        values (1, 1, 2, 'post', 'Can you?', '[[\"Post\",\"Parking\"]]', '', 9, 1, 1),
               (2, 1, 2, 'guest', 'Will you?', '[]', '', 9, 1, 1), (3, 1, 2, 'loan', 'Lend?', '[]', '', 9, 1, 1),
               (4, 1, 2, 'coverage', 'Cover?', '[]', '', 9, 1, 1), (5, 1, 2, 'help', 'Help?', '[]', '', 9, 1, 1),
               (6, 1, 2, 'post', 'Anywhere?', '[]', '', 9, 1, 1);
    insert into ask (id, request_id, for_on, date_revision) select id, id, '2027-06-05', 1 from request;
    insert into answer (id, ask_id, said, channel, at) select id, id, 'yes', 'link', 5 from ask;
    insert into request_link (token_hash, request_id, created_at, expires_at)
        select cast(printf('%032d', id) as blob), id, 0, 9 from request;
    insert into reminder_rule (event_id, kind, number, is_on, days, basis, at, version)
        values (1, 'loan', 1, 0, 35, 'calendar', '09:00', 4), (1, 'post', 2, 1, 5, 'working', '08:00', 1);
    insert into room_thing (id, event_id, room, kind, what, quantity, source, state)
        values (1, 1, 'room A', 'furnishing', 'lamp', 1, 'not known yet', 'here');
    insert into room_plea (id, event_id, person_id, thing_id, is_like, what, quantity, at, by)
        values (1, 1, 2, 1, 1, 'lamp', 1, 3, 1);
    insert into room_ruling (event_id, hazard, what, quantity, decided, decided_by, decided_on)
        values (1, 'foam or plastics', 'sofa', 2, 'One burns', 'Gideon Astley', '2026-11-01');";

const TABLES: [&str; 11] = [
    "account",
    "session",
    "request",
    "ask",
    "answer",
    "request_link",
    "reminder_rule",
    "room_plea",
    "room_ruling",
    "room_thing",
    "journal",
];

#[tokio::test]
async fn a_store_with_rows_loses_none_and_takes_the_new_kinds() {
    let folder = tempfile::tempdir().unwrap();
    old(folder.path()).await;
    let path = folder.path().join(FILE);
    sql(&path, ROWS);
    let counts = || TABLES.map(|table| sql(&path, &format!("select count(*) from {table}")));
    let read =
        "select id, event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by, link_number
                from request order by id";
    let rules = "select event_id, kind, number, is_on, days, basis, at, version from reminder_rule order by kind";
    let accounts = "select id, person_id, mail, role, version from account order by id";
    let before = (counts(), sql(&path, read), sql(&path, rules), sql(&path, accounts));

    let db = Db::open(folder.path()).await.unwrap();
    assert_eq!(db.check().await.unwrap(), Vec::<String>::new());
    let mut after = (counts(), sql(&path, read), sql(&path, rules), sql(&path, accounts));
    // Nobody knows where a store of before was served: its mail is held, and that
    // is told.
    assert_eq!(sql(&path, "select held from mail_hold"), "1");
    assert_eq!((before.0[10].as_str(), after.0[10].as_str()), ("0", "1"));
    after.0[10] = "0".to_owned();
    assert_eq!(before, after);
    // It may be a copy: everybody is in doubt, and calendars take the next entry for
    // newer.
    assert_eq!(sql(&path, "select count(*) from statement where is_doubtful"), "6");
    assert_eq!(sql(&path, "select distinct version from request"), "1001");
    let mut kinds = sql(&path, "select distinct kind from request").lines().map(str::to_owned).collect::<Vec<_>>();
    kinds.sort();
    assert_eq!(kinds, ["coverage", "guest", "help", "loan", "post"]);

    // The question that names its post is the crew's own, the other is general.
    assert_eq!(sql(&path, "select request_id from crew_question"), "1");
    assert_eq!(sql(&path, "select signed_as from room_ruling"), "");
    assert_eq!(sql(&path, "select request_id is null, by_link from room_plea"), "1|0");

    for (table, column, good) in [
        ("request", "kind", "item"),
        ("reminder_rule", "kind", "item"),
        ("account", "role", "burn boss"),
        ("account", "role", "incident commander"),
    ] {
        let row = match table {
            "reminder_rule" => "number = 2".to_owned(),
            _ => format!("id = (select max(id) from {table})"),
        };
        let set = |word: &str| format!("update {table} set {column} = '{word}' where {row}");
        assert!(is_refused(&path, &set("nonsense")), "{table}");
        assert!(!is_refused(&path, &set(good)), "{table}");
    }
    // What refers to a question still goes with it, and a move of the event still
    // makes asks lapse, but for what is given for good.
    sql(&path, "update event set burn_on = '2027-06-19', rain_on = null where id = 1");
    assert_eq!(sql(&path, "select request_id, for_on from ask where lapsed_at is null"), "6|2027-06-19");
    sql(&path, "delete from request where id = 6");
    assert_eq!(sql(&path, "select count(*) from ask"), "5");
    assert_eq!(sql(&path, "select count(*) from answer"), "5");
    assert_eq!(sql(&path, "select count(*) from sqlite_master where name in ('request_event', 'request_person')"), "2");
    db.close().await;
}
