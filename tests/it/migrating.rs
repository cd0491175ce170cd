//! A store of an earlier version is brought up to date with all that it holds.

use crate::asks::rows;
use crate::crew;
use crate::press;
use crate::support::{self, NOW, TestApp};
use burnday::asks::{self, Ledgers};
use burnday::clock::Clock;
use burnday::commands;
use burnday::db::journal::Actor;
use burnday::db::{Db, FILE};
use burnday::events::{self, Details};
use burnday::gifts::GiftStatus;
use burnday::guests::{self, Level, Side};
use burnday::mail::outbox;
use burnday::people::{self, Person};
use burnday::reminders;
use burnday::state::App;
use burnday::web::link::Opens;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::path::Path;
use std::process::Command;
use time::macros::{date, datetime};

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
    // The name of one table changes.
    let counts = |renamed: &str| {
        let name = |table: &str| if table == "room_plea" { renamed.to_owned() } else { table.to_owned() };
        TABLES.map(|table| sql(&path, &format!("select count(*) from {}", name(table))))
    };
    let read =
        "select id, event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by, link_number
                from request order by id";
    let rules = |rule: &str| {
        format!("select event_id, kind, {rule}, is_on, days, basis, at, version from reminder_rule order by kind")
    };
    // The two rules have keys where they had numbers.
    let key = "case kind || number when 'loan1' then 'remind' when 'post2' then 'final-check' end";
    let accounts = "select id, person_id, mail, role, version from account order by id";
    let before = (counts("room_plea"), sql(&path, read), sql(&path, &rules(key)), sql(&path, accounts));

    let db = Db::open(folder.path()).await.unwrap();
    assert_eq!(db.check().await.unwrap(), Vec::<String>::new());
    let mut after = (counts("donation_request"), sql(&path, read), sql(&path, &rules("rule")), sql(&path, accounts));
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
    assert_eq!(sql(&path, "select request_id is null, by_link from donation_request"), "1|0");

    for (table, column, good) in [
        ("request", "kind", "item"),
        ("reminder_rule", "kind", "item"),
        ("account", "role", "burn boss"),
        ("account", "role", "incident commander"),
    ] {
        let row = match table {
            "reminder_rule" => "rule = 'final-check'".to_owned(),
            _ => format!("id = (select max(id) from {table})"),
        };
        let set = |word: &str| format!("update {table} set {column} = '{word}' where {row}");
        assert!(is_refused(&path, &set("nonsense")), "{table}");
        assert!(!is_refused(&path, &set(good)), "{table}");
    }
    // What refers to a question still goes with it, and a move of the event still
    // makes asks lapse, but for what is given for good.
    let old_event = events::find(db.read(), 1).await.unwrap().unwrap();
    let moved = Details { burn_on: date!(2027 - 06 - 19), rain_on: None, ..old_event.details.clone() };
    let new_event = old_event.changed(&moved);
    let change = db.write(move |tx| {
        Box::pin(async move {
            events::change(tx, Actor::System, &old_event, &new_event, NOW).await?.unwrap();
            asks::lapse(tx, &old_event, &new_event, NOW).await
        })
    });
    change.await.unwrap();
    assert_eq!(sql(&path, "select request_id, for_on from ask where lapsed_at is null"), "6|2027-06-19");
    sql(&path, "delete from request where id = 6");
    assert_eq!(sql(&path, "select count(*) from ask"), "5");
    assert_eq!(sql(&path, "select count(*) from answer"), "5");
    assert_eq!(sql(&path, "select count(*) from sqlite_master where name in ('request_event', 'request_person')"), "2");
    db.close().await;
}

/// A line in the words of version 1: its label, and its text where that has changed since.
type OldLine = (&'static str, Option<&'static str>);

/// The questions' own lines, by kind of question.
const OLD_LINES: [(&str, &[OldLine]); 4] = [
    (
        "post",
        &[
            ("Post", None),
            ("What you do", Some("You welcome people at the gate and hand out the printed material.")),
            ("Time", None),
            ("Where", None),
            ("Reports to", None),
            ("Wear", None),
            ("Bring", None),
        ],
    ),
    (
        "guest",
        &[("For", None), ("Arrive", None), ("Your part", Some("introduced by the presenter; no words of your own"))],
    ),
    (
        "loan",
        &[
            ("Thing", None),
            ("We have it", Some("Thu 3 Jun 2027 to Mon 7 Jun 2027")),
            ("We collect it", Some("Thu 3 Jun 2027, 15:30 · Gym door")),
            ("We bring it back", Some("Mon 7 Jun 2027")),
            ("It stands", None),
        ],
    ),
    ("coverage", &[("Press area", Some("not agreed yet; we tell you before the day"))]),
];

const OLD_COPY_HELD: &str = "This store is a copy that was put here, or its folder was moved. Some of this may have \
                             gone out already, or may not be true any more: look at what waits, cancel what is stale, \
                             then release the rest.";

fn put(test: &TestApp, table: &str, column: &str, id: &str, words: &str) {
    test.sql(&format!("update {table} set {column} = '{}' where id = {id}", words.replace('\'', "''")));
}

/// Puts the lines of all questions of a kind into old words, in them and in what was noted
/// about them.
fn put_old_lines(test: &TestApp, kind: &str, old: &[(&str, Option<&str>)]) {
    for [id, facts] in rows::<2>(test, &format!("select id, facts from request where kind = '{kind}'")) {
        let new: Vec<(String, String)> = serde_json::from_str(&facts).unwrap();
        assert_eq!(new.len(), old.len(), "{new:?}");
        let old: Vec<Value> =
            old.iter().zip(&new).map(|((label, text), (_, now))| json!([label, text.unwrap_or(now)])).collect();
        put(test, "request", "facts", &id, &json!(old).to_string());
        let noted = rows::<2>(test, &format!("select id, content from statement where request_id = {id}"));
        assert!(!noted.is_empty(), "{kind}");
        for [id, content] in noted {
            let mut content: Value = serde_json::from_str(&content).unwrap();
            for line in content["facts"].as_array_mut().unwrap() {
                if let Some(at) = new.iter().position(|words| json!(words) == *line) {
                    *line = old[at].clone();
                }
            }
            put(test, "statement", "content", &id, &content.to_string());
        }
    }
}

/// The lines of all questions, and what was noted about them.
fn told(test: &TestApp) -> Vec<Value> {
    let all = "select facts from request union all select content from statement";
    rows::<1>(test, all).iter().map(|[text]| serde_json::from_str(text).unwrap()).collect()
}

/// Puts a store's reminder rules, and what was sent by them, under the numbers that the rules
/// of crew questions had, and forgets that a version has given them keys.
const RULES_BY_NUMBER: &str = "
    create temp table place (rule text, number integer);
    insert into place values ('ask-again', 0), ('remind', 1), ('final-check', 2), ('burn-day', 3);
    create table old_rule (
        event_id integer not null references event (id) on delete cascade,
        kind     text not null check (kind in ('post', 'guest', 'loan', 'coverage', 'help', 'item')),
        number   integer not null check (number between 0 and 9),
        is_on    integer not null check (is_on in (0, 1)),
        days     integer not null check (days between 0 and 400),
        basis    text not null check (basis in ('calendar', 'working')),
        at       text not null check (at glob '[0-2][0-9]:[0-5][0-9]'),
        version  integer not null default 1,
        primary key (event_id, kind, number)
    ) strict, without rowid;
    insert into old_rule (event_id, kind, number, is_on, days, basis, at, version)
    select event_id, kind, (select number from place p where p.rule = r.rule), is_on, days, basis, at, version
    from reminder_rule r;
    drop table reminder_rule;
    alter table old_rule rename to reminder_rule;
    update reminder set key = (select replace(key, '/' || rule || '/', '/' || number || '/') from place
                               where key glob 'question/*/' || rule || '/*')
    where key glob 'question/*/[a-z]*/*';
    update mail set dedup = (select replace(dedup, '/' || rule || '/', '/' || number || '/') from place
                             where dedup glob 'reminder/*/question/*/' || rule || '/*')
    where dedup glob 'reminder/*/question/*';
    update sent_sheet set dedup = (select replace(dedup, '/' || rule || '/', '/' || number || '/') from place
                                   where dedup glob 'reminder/*/question/*/' || rule || '/*')
    where dedup glob 'reminder/*/question/*';
    create trigger ask_lapses after update of burn_on, rain_on on event begin select 1; end;
    create trigger answer_settles after insert on answer begin select 1; end;
    delete from _sqlx_migrations where version in (104, 105);";

#[tokio::test]
async fn reminder_rules_keep_what_was_saved_and_sent_under_their_numbers() {
    let test = TestApp::asked().await;
    let rule = [
        ("kind", "post"),
        ("rule", "ask-again"),
        ("on", "yes"),
        ("days", "14"),
        ("basis", "calendar"),
        ("at", "10:30"),
        ("version", "0"),
    ];
    test.olga().await.post("/events/1/scheduled/rules", &rule).await;
    let off = [("kind", "post"), ("rule", "final-check"), ("days", "2"), ("basis", "working"), ("at", "08:15")];
    test.olga().await.post("/events/1/scheduled/rules", &off).await;
    // Fourteen days before burn day at 10:30.
    let asked_again = datetime!(2027-05-22 15:30 UTC);
    test.at(asked_again);
    reminders::tick(&test.app).await.unwrap();
    // What is under a call sheet's email and a statement is known by the email's key, too.
    let key = "reminder/2/question/1/ask-again/1/1";
    let notes = format!(
        "insert into sent_sheet (dedup, made_from) values ('{key}', 'a sheet');
         insert into reminder (key, event_id, person_id, became, at, title)
             values ('question/1/burn-day/1', 1, 2, 'skipped', 7, 'Can you?'), ('question/99/0/1', 1, 2, 'said', 7, 'Gone');"
    );
    test.sql(&notes);
    let all = |test: &TestApp| {
        let keys = "select key, became, at from reminder order by key";
        let mails = "select id, dedup, state from mail where kind = 'reminder' order by id";
        let rules = "select kind, rule, is_on, days, basis, at, version from reminder_rule order by rule";
        let sheets = "select dedup, made_from from sent_sheet order by dedup";
        (rows::<3>(test, keys), rows::<3>(test, mails), rows::<7>(test, rules), rows::<2>(test, sheets))
    };
    let before = all(&test);
    assert!(before.0.iter().any(|[key, ..]| key == "question/1/ask-again/1"), "{before:?}");
    assert!(before.1.iter().any(|[_, dedup, _]| dedup == key), "{before:?}");
    assert_eq!(before.2.len(), 2, "{before:?}");

    let folder = test.close().await;
    sql(&folder.path().join(FILE), RULES_BY_NUMBER);
    let old = sql(&folder.path().join(FILE), "select key from reminder where key glob 'question/1/*' order by key");
    assert_eq!(old, "question/1/0/1\nquestion/1/3/1");
    let db = commands::open(folder.path(), asked_again).await.unwrap();
    let app = App::new(db, Clock::standing_at(asked_again), support::config(folder.path(), &[])).unwrap();
    let test = TestApp::of(app, folder);
    assert_eq!(all(&test), before);
    // Nothing is sent again, and the department's days are on the page.
    reminders::tick(&test.app).await.unwrap();
    assert_eq!(all(&test), before);
    let page = test.olga().await.get("/events/1/scheduled").await;
    assert_eq!(page.attributes("[data-rule='post-ask-again'] input[name=days]", "value"), ["14"]);
    assert_eq!(page.attributes("[data-rule='post-final-check'] input[name=at]", "value"), ["08:15"]);
    assert!(!page.has("[data-rule='post-final-check'] input[name=on][checked]"));
}

/// The same store, opened once more as the program does.
async fn opened_again(test: TestApp) -> TestApp {
    let folder = test.close().await;
    let db = commands::open(folder.path(), NOW).await.unwrap();
    let app = App::new(db, Clock::standing_at(NOW), support::config(folder.path(), &[])).unwrap();
    TestApp::of(app, folder)
}

#[tokio::test]
async fn names_of_an_older_store_stay_and_are_split_only_where_it_is_sure() {
    let folder = tempfile::tempdir().unwrap();
    old(folder.path()).await;
    let path = folder.path().join(FILE);
    let names = [
        "Olga Wren",
        "Cher",
        "Maria de la Cruz",
        "Tomás Łukasz",
        "R. Ortiz",
        "Chief Ortiz",
        "Ray Ortiz Jr.",
        "Ortiz Jr.",
        "Ortiz, Ray",
        "Ortiz R.",
        "Van Buren",
        "Mary Ann Holt",
        "Person 12",
        "News Desk",
        "Ray  Ortiz",
    ];
    for (id, name) in (1..).zip(names) {
        let row = format!("({id}, '{name}', lower('{name}'), 0)");
        sql(&path, &format!("insert into person (id, name, search, created_at) values {row}"));
    }
    sql(
        &path,
        "insert into person (id, name, created_at, forgotten_at) values (90, 'Forgotten person 90', 0, 1);
         insert into journal (at, actor, verb, subject, subject_id, title)
             values (1, 'system', 'forgot', 'person', 90, 'Forgotten person 90')",
    );

    let db = Db::open(folder.path()).await.unwrap();
    let surname = |id: usize| sql(&path, &format!("select surname from person where id = {id}"));
    assert_eq!([1, 2, 3, 4].map(surname), ["Wren", "", "", "Łukasz"]);
    for (id, name) in (1..).zip(names) {
        let row = sql(&path, &format!("select name || '|' || surname from person where id = {id}"));
        assert_eq!(row, format!("{name}|{}", people::split(name).1), "as for someone added now");
    }
    let erased = people::erased(90);
    assert_eq!(sql(&path, "select name from person where id = 90"), erased);
    assert_eq!(sql(&path, "select title from journal where subject_id = 90"), erased);
    assert!(is_refused(&path, "update person set surname = 'Adair' where id = 1"), "it must be part of the name");

    db.write(|tx| Box::pin(people::fill_search(tx))).await.unwrap();
    let everyone = people::everyone(&mut db.read().acquire().await.unwrap()).await.unwrap();
    let mut sorted = everyone.clone();
    sorted.sort_by_cached_key(Person::listing);
    assert_eq!((everyone.len(), &everyone), (names.len(), &sorted), "in the order of surnames");
    assert_eq!(db.check().await.unwrap(), Vec::<String>::new());
}

async fn count_outdated(test: &TestApp) -> usize {
    Ledgers::default().of(&test.app, 1).await.unwrap().to_tell()
}

#[tokio::test]
async fn other_words_make_no_ones_details_out_of_date_and_hide_no_difference() {
    let (test, mut olga) = crew::posts().await;
    let gate = crew::post(&test.crew().await, "gate and materials");
    let mut people = Vec::new();
    for (name, mail) in [("Wren Ibarra", "wren@example.org"), ("Lena Ashby", "lena@example.org")] {
        let person = test.person(name, mail).await;
        assert_eq!(crew::assign(&mut olga, gate, person, &[]).await.status, 303);
        people.push(person);
    }
    crew::ask(&mut olga).await;
    let mayor = test.person("Marguerite Vance", "mayor@example.org").await;
    let guest = test.guest(mayor, guests::Details::of(Side::Official, Level::Local)).await;
    let form = olga.get("/events/1/guests/invite").await.form().without("guest").and("guest", &guest.to_string());
    assert_eq!(olga.submit("/events/1/guests/invite", &form.with("act", "invite")).await.status, 303);
    test.clock().await;
    let form = olga.get("/events/1/loans/1/ask").await.form().and("act", "ask");
    assert_eq!(olga.submit("/events/1/loans/1/ask", &form).await.status, 303);
    let editor = test.person("Nadia Broussard", "nadia@example.org").await;
    let form = olga.get("/events/1/replies/new?kind=coverage").await.form().and("person", &editor.to_string());
    assert_eq!(olga.submit("/events/1/replies/new", &form.and("act", "ask")).await.status, 303);
    assert_eq!(count_outdated(&test).await, 0);

    // Lena was told another time.
    let hours = test.crew().await.post(gate).unwrap().details.hours.says();
    let [lenas] = rows::<1>(&test, &format!("select id from request where person_id = {}", people[1])).remove(0);
    test.sql(&format!(
        "update statement set content = replace(content, '{hours}', '07:00 to 08:00') where request_id = {lenas}"
    ));
    assert_eq!(count_outdated(&test).await, 1);
    let (before, all) = (told(&test), "select (select count(*) from mail), (select count(*) from journal)");
    let counted = rows::<2>(&test, all);

    for (kind, old) in OLD_LINES {
        put_old_lines(&test, kind, old);
    }
    test.sql("update wording set version = 1");
    assert_ne!(told(&test), before);
    drop(olga);
    let test = opened_again(test).await;
    assert_eq!(told(&test), before, "the same lines under the same labels");
    assert_eq!(rows::<2>(&test, all), counted, "no one is emailed, and nothing was changed");
    let mut olga = test.olga().await;
    let list = olga.get("/events/1/replies").await;
    let lena = format!("/events/1/replies/{lenas}/told");
    assert_eq!(list.attributes("#tell form[action$='/told']", "action"), [lena.as_str()]);
    // The lines are those that a position that is saved without a change gets.
    let edit = format!("/events/1/crew/positions/{gate}/edit");
    let form = olga.get(&edit).await.form();
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    assert_eq!(count_outdated(&test).await, 1);
}

#[tokio::test]
async fn an_override_in_old_words_still_counts() {
    let (test, mut olga) = crew::posts().await;
    let snapshot = test.crew().await;
    let [pumps, parking, safety] =
        ["pump operator", "parking", "safety officer"].map(|duty| crew::post(&snapshot, duty));
    let mut people = Vec::new();
    for name in ["Ray Ortiz", "Ada Lund", "Dov Aldine", "Dele Aldous", "Wren Ibarra", "Imre Kovalenko"] {
        people.push(test.person(name, "").await);
    }
    let [ray, ada, dov, dele, wren, imre] = people[..] else { panic!("six people") };
    crew::qualify(&mut olga, &snapshot, ada, "Driver/operator", "2027-05-31").await;
    crew::qualify(&mut olga, &snapshot, dele, "Safety officer", "").await;
    let hours = [("on", "2027-06-05"), ("from", "09:30"), ("until", "12:00")];
    assert_eq!(olga.post(&format!("/events/1/crew/people/{dov}/hours"), &hours).await.status, 303);
    assert_eq!(crew::assign(&mut olga, safety, dele, &[]).await.status, 303);
    // Wren has the second of two positions that are called the same.
    let second = crew::position(&mut olga, "Parking", "parking", ("08:30", "11:00")).await;
    assert_eq!(crew::assign(&mut olga, second, wren, &[]).await.status, 303);
    let times = crew::post(&snapshot, "timekeeper");

    let (there, needed) = (&snapshot.post(safety).unwrap().details, &snapshot.post(parking).unwrap().details);
    let expired = ["Sat 5 Jun 2027", "Sat 12 Jun 2027"]
        .map(|on| format!("“Driver/operator” is needed and holds until Mon 31 May 2027, not on {on}."));
    let overridden = [
        (pumps, ray, "“Driver/operator” is needed and not recorded.".to_owned()),
        (pumps, ada, expired.join("\n")),
        (parking, dov, format!("Can be there 09:30 to 12:00 on Sat 5 Jun 2027; the post is {}.", needed.hours.says())),
        (
            parking,
            dele,
            format!("The safety officer holds no other duty. Also: {}, {}.", there.name, there.hours.says()),
        ),
        (times, wren, "A timekeeper watches one room and nothing else. Also: Parking, 08:30 to 11:00.".to_owned()),
        (pumps, imre, "“Driver/operator” is not on the list.".to_owned()),
    ];
    let broken = async |test: &TestApp| {
        let snapshot = test.crew().await;
        let is_broken = |(post, person, _): &(i64, i64, String)| {
            let one = snapshot.assigned.iter().find(|one| (one.post_id, one.person_id) == (*post, *person)).unwrap();
            snapshot.dates().any(|on| !snapshot.broken(one, on).is_empty())
        };
        overridden.iter().map(is_broken).collect::<Vec<_>>()
    };
    for (post, person, _) in &overridden {
        let assigned = crew::assign(&mut olga, *post, *person, &[("reason", "Certificate seen")]).await;
        assert_eq!(assigned.status, 303, "{}", assigned.text("main"));
    }
    assert_eq!(broken(&test).await, [false; 6]);

    for (post, person, rules) in &overridden {
        test.sql(&format!(
            "update assignment set override_rules = '{rules}', override_keys = ''
             where post_id = {post} and person_id = {person}"
        ));
    }
    test.sql("update wording set version = 1");
    drop(olga);
    let test = opened_again(test).await;
    assert_eq!(broken(&test).await, [false, false, false, false, false, true], "but for one that is no rule");

    // The version that gave rules their keys took the first position that is called so.
    let first = test.crew().await.posts.iter().find(|post| post.details.name == "Parking").unwrap().id;
    let wrong = format!("set override_keys = replace(override_keys, ' {second} ', ' {first} ')");
    test.sql(&format!("update assignment {wrong} where post_id = {times}; update wording set version = 2"));
    assert_eq!(broken(&test).await, [false, false, false, false, true, true]);
    let test = opened_again(test).await;
    assert_eq!(broken(&test).await, [false, false, false, false, false, true], "now it is the right one");
}

/// The lines of a call sheet for the gate, as a version worded them in November.
fn old_sheet<'a>(version: i64, spot: &'a str, with: &'a str) -> Vec<[&'a str; 2]> {
    let [day, position, hours, postponed, rain] = if version == 1 {
        [
            "Sat 5 Jun 2027",
            "Post",
            "08:30 to 11:00",
            "If it is called off",
            "Sat 12 Jun 2027, same hours; you said yes to that day too. You hear it by mail. If unsure, ring before you \
             set off.",
        ]
    } else {
        [
            "Sat, Jun 5, 2027",
            "Position",
            "8:30 a.m. to 11 a.m. (08:30–11:00)",
            "If postponed",
            "Sat, Jun 12, 2027, same hours. You said yes to that day too. We will let you know. If you aren't sure, call \
             before you leave home.",
        ]
    };
    vec![
        ["Day", day],
        ["Site", "Alder Bend fairground, east lot"],
        [position, "Gate, survey cards and materials"],
        ["Hours", hours],
        ["Where", spot],
        ["Reports to", "education officer"],
        ["Wear", "volunteer shirt"],
        ["Bring", "pencils, survey cards, boxes"],
        ["With you", with],
        [postponed, rain],
    ]
}

/// The key of the email with such a sheet.
fn old_key(person: i64, lines: &[[&str; 2]]) -> String {
    let digest = Sha256::digest(json!(lines).to_string());
    let first: [u8; 8] = digest[..8].try_into().unwrap();
    format!("call-sheet/1/{person}/{:016x}", u64::from_be_bytes(first))
}

#[tokio::test]
async fn a_call_sheet_in_old_words_goes_out_again_only_if_it_changed() {
    let (test, mut olga) = crew::posts().await;
    let gate = crew::post(&test.crew().await, "gate and materials");
    let names = ["Wren Ibarra", "Dov Aldine", "Ida Quill", "Lena Ashby"];
    let mut people = Vec::new();
    for (number, name) in names.iter().enumerate() {
        let person = test.person(name, &format!("crew{number}@example.org")).await;
        assert_eq!(crew::assign(&mut olga, gate, person, &[]).await.status, 303);
        people.push(person);
    }
    crew::ask(&mut olga).await;
    for one in &test.crew().await.assigned {
        crew::answer(&test, one.request_id.unwrap(), &["yes", "yes"], &[]).await;
    }
    assert_eq!(olga.post("/events/1/burn-day/call-sheets", &[]).await.status, 303);
    let mails = "select id from mail where dedup glob 'call-sheet/*' order by person_id";
    let ids: Vec<String> = rows::<1>(&test, mails).into_iter().flatten().collect();
    assert_eq!(ids.len(), 4);

    // Two of them have it from one version each, one has it with another place, and one got
    // it as scheduled.
    let with = |name: &str| names.into_iter().filter(|other| *other != name).collect::<Vec<_>>().join(", ");
    let with: Vec<String> = names.into_iter().map(with).collect();
    put(&test, "mail", "dedup", &ids[0], &old_key(people[0], &old_sheet(1, "Entrance", &with[0])));
    put(&test, "mail", "dedup", &ids[1], &old_key(people[1], &old_sheet(2, "Entrance", &with[1])));
    put(&test, "mail", "dedup", &ids[2], &old_key(people[2], &old_sheet(2, "Side entrance", &with[2])));
    let lines = old_sheet(1, "Entrance", &with[3]).iter().map(|line| line.join(": ")).collect::<Vec<_>>().join("\n");
    put(&test, "mail", "dedup", &ids[3], "reminder/4/ask/4/2/1");
    put(&test, "mail", "kind", &ids[3], "reminder");
    put(&test, "mail", "text", &ids[3], &format!("Hello Lena,\n\nHere is what you need.\n\n{lines}\n\nOlga Wren\n"));
    test.sql(
        "update mail set state = 'sent', settled_at = created_at; delete from sent_sheet;
         update wording set version = 2",
    );
    drop(olga);
    let test = opened_again(test).await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/burn-day/call-sheets").await;
    let became = |person: &i64| page.mark(&format!("tr[data-person='{person}']"), "sent");
    assert_eq!(people.iter().map(became).collect::<Vec<_>>(), ["sent", "sent", "changed", "sent"]);
    assert_eq!(olga.post("/events/1/burn-day/call-sheets", &[]).await.status, 303);
    let waiting = rows::<1>(&test, "select person_id from mail where state = 'waiting'");
    assert_eq!(waiting, [[people[2].to_string()]], "no one else gets a sheet again");
}

#[tokio::test]
async fn a_receipt_in_old_words_is_out_of_date_only_if_the_gift_changed() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "").await;
    let mut olga = test.olga().await;
    let stands = GiftStatus::Received { on: date!(2026 - 11 - 24), taken_by: "Olga Wren".to_owned() };
    for quantity in ["40", "30"] {
        let gift = test.gift(wren, "folding chairs", stands.clone()).await;
        let receipt = format!("/events/1/guests/gifts/{gift}/receipt");
        assert_eq!(olga.post(&receipt, &[("act", "on paper")]).await.status, 303);
        let words = format!(
            "Thank you for your gift, which we received on Tue 24 Nov 2026.\nReceived by: Alder Bend Fire \
             District\nGiven by: Wren Ibarra\nReceived on: Tue 24 Nov 2026\nGiven: folding chairs\nQuantity: \
             {quantity}\nGiven in return: No goods or services were given in return for this gift.\nA receipt \
             describes what was given and puts no value on it; that is for the giver to do."
        );
        test.sql(&format!("update receipt set text = '{words}', made_from = null where gift_id = {gift}"));
    }
    test.sql("update wording set version = 1");
    drop(olga);
    let test = opened_again(test).await;
    let mut olga = test.olga().await;
    for (gift, is_outdated) in [(1, false), (2, true)] {
        let page = olga.get(&format!("/events/1/guests/gifts/{gift}")).await;
        assert_eq!(page.has("[data-note=outdated]"), is_outdated, "{gift}");
    }
}

#[tokio::test]
async fn the_hold_of_a_copy_is_known_in_its_old_words() {
    let test = TestApp::set_up().await;
    test.sql(&format!("update mail_hold set held = 1, why = '{OLD_COPY_HELD}', held_at = 1"));
    test.app.db.write(|tx| Box::pin(async move { outbox::hold_copy(tx, NOW).await })).await.unwrap();
    let hold = outbox::hold(test.app.db.read()).await.unwrap();
    assert!(hold.is_of_copy() && hold.why == OLD_COPY_HELD, "{}", hold.why);
    assert_eq!(rows::<1>(&test, "select copies from mail_hold"), [["2"]], "each time, everyone is in doubt");
}

/// A line may be behind its facts when the program is replaced: a day that is closed since
/// moves a return, and nobody has been told.
#[tokio::test]
async fn new_words_tell_no_one_what_they_were_not_told() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/loans/1/ask").await.form().and("act", "ask");
    assert_eq!(olga.submit("/events/1/loans/1/ask", &form).await.status, 303);
    let (_, old) = OLD_LINES.iter().find(|(kind, _)| *kind == "loan").unwrap();
    let old = old.iter().map(|(label, text)| match *label {
        "We bring it back" => (*label, Some("Fri 4 Jun 2027")),
        _ => (*label, *text),
    });
    put_old_lines(&test, "loan", &old.collect::<Vec<_>>());
    test.sql("update wording set version = 1");
    drop(olga);
    let test = opened_again(test).await;
    assert_eq!(count_outdated(&test).await, 1);
    let page = test.olga().await.get("/events/1/replies").await;
    let changes = page.text("#tell");
    assert!(
        changes.contains("Return") && changes.contains("June 4, 2027") || changes.contains("4 Jun 2027"),
        "{changes}"
    );
    assert!(!changes.contains("We bring it back"), "{changes}");
}

/// Four texts that Gideon was asked to read. Olga was the last to edit them: one without an
/// embargo, two whose embargo has the words of version 1 and of version 2, and one whose
/// embargo has changed since.
const READINGS: &str = "
    insert into paper (id, event_id, kind, headline, text, has_marks, embargo_on, embargo_at, edited_by, edited_at,
                       created_at)
        values (1, 1, 'media advisory', 'Two rooms burn', 'At {time} {burn day}.', 1, null, null, 1, 1, 1),
               (2, 1, 'media advisory', 'Two rooms burn', 'At {time} {burn day}.', 1, '2027-06-05', '12:00', 1, 1, 1);
    insert into paper_reading (id, paper_id, person_id, headline, text, embargo, marked_headline, marked_text, facts,
                               date_revision, edited_by, asked_by, asked_at, expires_at)
        select value ->> 0, value ->> 1, 2, 'Two rooms burn', 'At 10:00 Saturday 5 June 2027.', value ->> 2,
               'Two rooms burn', 'At {time} {burn day}.', '{\"burn day\":\"2027-06-05\",\"time\":\"10:00\"}', 1, 1,
               1, 1, 9999999999
        from json_each('[[1, 1, \"\"],
            [2, 2, \"Please hold until Sat 5 Jun 2027, 12:00, Central Time (UTC-05:00). This is a request.\"],
            [3, 2, \"EMBARGO REQUEST: Please hold until noon Saturday, June 5, 2027, Central Time.\"],
            [4, 2, \"Please hold until Sat 5 Jun 2027, 13:00, Central Time (UTC-05:00). This is a request.\"]]');";

#[tokio::test]
async fn until_when_a_text_is_held_is_known_of_those_who_were_asked_before() {
    let folder = tempfile::tempdir().unwrap();
    old(folder.path()).await;
    let path = folder.path().join(FILE);
    sql(&path, ROWS);
    sql(&path, READINGS);
    let db = Db::open(folder.path()).await.unwrap();
    db.write(|tx| Box::pin(async move { burnday::press::keep_open_readings(tx).await })).await.unwrap();
    let noon = "2027-06-05 12:00 America/Chicago";
    let holds = sql(&path, "select coalesce(hold, 'unknown') from paper_reading order by id");
    assert_eq!(holds, ["", noon, noon, "unknown"].join("\n").trim());
    db.close().await;
}

#[tokio::test]
async fn a_link_to_a_text_in_old_words_still_approves_it_unless_the_text_changed() {
    let (test, mut olga, _) = press::desk().await;
    for (number, name) in [(1, "Ada Quick"), (2, "Ben Hall")] {
        press::done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
        let paper = format!("{}/releases/{number}", press::PRESS);
        let form = olga.get(&paper).await.form().with("embargo_on", "2027-06-05").with("embargo_at", "12:00");
        assert_eq!(olga.submit(&paper, &form).await.status, 303);
        let mail = format!("{}@example.org", &name[..3]);
        let reader = [("reader", name), ("reader_mail", mail.as_str())];
        press::done(&mut olga, &format!("/releases/{number}/readings"), &reader).await;
    }
    // As a store of before has them: the text and the embargo in other words.
    test.sql(
        "update paper_reading set hold = null, text = 'WHEN: Saturday 5 June 2027, 10:00',
                embargo = 'Please hold until Sat 5 Jun 2027, 12:00, Central Time (UTC-05:00). This is a request.';
         update paper set text = text || ' Come early.', version = version + 1 where id = 2;
         update wording set version = 1",
    );
    drop(olga);
    let test = opened_again(test).await;
    let mut phone = test.stranger();
    for (asked, is_open) in [(1, true), (2, false)] {
        let path = format!("/read-paper/{}", test.app.link_key.secret(Opens::PaperReading, asked, 1).reveal());
        assert_eq!(!phone.get(&path).await.has("[data-note=past]"), is_open, "{asked}");
        assert_eq!(phone.post(&path, &[("say", "approved")]).await.status, 303);
        let versions = rows::<1>(&test, &format!("select count(*) from paper_version where paper_id = {asked}"));
        assert_eq!(versions, [[if is_open { "1" } else { "0" }]], "{asked}");
    }
}
