//! A page takes the same number of SQL statements whether there is little in the store or
//! much, and a save reads the same few rows.

use crate::support::{Browser, NOW, TestApp};
use burnday::background;
use burnday::demo;
use sqlx::AssertSqlSafe;
use std::collections::BTreeMap;
use std::fmt::{self, Debug};
use std::future::Future;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, Once};
use std::thread::ThreadId;
use tracing::field::{Field, Visit};
use tracing::subscriber::Interest;
use tracing::{Event, Metadata, Subscriber};
use tracing_subscriber::Layer;
use tracing_subscriber::layer::{Context, SubscriberExt};

/// As many connections as the store reads with.
const READERS: usize = 4;
/// The tables that get long.
const LONG: [&str; 26] = [
    "person",
    "task",
    "task_note",
    "request",
    "ask",
    "answer",
    "statement",
    "post",
    "holding",
    "assignment",
    "guest",
    "gift",
    "loan",
    "loan_span",
    "loan_step",
    "loan_condition",
    "room_thing",
    "room_ruling",
    "donation_request",
    "outlet",
    "outlet_contact",
    "press_listing",
    "outreach",
    "press_visit",
    "story",
    "permit",
];
/// Each of their rows is there this many times in the end.
const TIMES: i64 = 10;

/// A statement that ran: on which connection, what, and how many rows it gave.
#[derive(Debug, Clone)]
struct Ran {
    thread: ThreadId,
    sql: String,
    rows: u64,
}

/// What all stores of this process ran while someone counts. A connection has a thread of its
/// own.
static RAN: Mutex<Vec<Ran>> = Mutex::new(Vec::new());
static COUNTING: AtomicBool = AtomicBool::new(false);
/// One counts at a time.
static TURN: tokio::sync::Mutex<()> = tokio::sync::Mutex::const_new(());
/// What frames every write.
const FRAME: [&str; 2] = ["begin immediate", "commit"];

/// Hears the log events of statements.
struct Listener;

impl<S: Subscriber> Layer<S> for Listener {
    fn register_callsite(&self, metadata: &'static Metadata<'static>) -> Interest {
        if metadata.target() == "sqlx::query" { Interest::sometimes() } else { Interest::never() }
    }

    fn enabled(&self, _: &Metadata<'_>, _: Context<'_, S>) -> bool {
        COUNTING.load(Ordering::SeqCst)
    }

    fn on_event(&self, event: &Event<'_>, _: Context<'_, S>) {
        let mut ran = Ran { thread: std::thread::current().id(), sql: String::new(), rows: 0 };
        event.record(&mut ran);
        RAN.lock().unwrap().push(ran);
    }
}

impl Visit for Ran {
    fn record_u64(&mut self, field: &Field, value: u64) {
        if field.name() == "rows_returned" {
            self.rows = value;
        }
    }

    /// A short statement is its own summary.
    fn record_str(&mut self, field: &Field, value: &str) {
        if field.name() == "summary" || (field.name() == "db.statement" && !value.is_empty()) {
            self.sql = value.split_whitespace().collect::<Vec<_>>().join(" ");
        }
    }

    fn record_debug(&mut self, _: &Field, _: &dyn Debug) {}
}

/// Statements and rows: all, and those of the writer.
#[derive(Debug, Clone, Default)]
struct Count {
    all: BTreeMap<String, (usize, u64)>,
    written: BTreeMap<String, (usize, u64)>,
}

fn sum(of: &BTreeMap<String, (usize, u64)>) -> (usize, u64) {
    of.values().fold((0, 0), |(statements, rows), (more, others)| (statements + more, rows + others))
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ((all, rows), (written, read)) = (sum(&self.all), sum(&self.written));
        write!(f, "{all} statements and {rows} rows, {written} and {read} of them in the writer")
    }
}

impl Count {
    /// The statements that run more often in the other.
    fn grown(&self, other: &Self) -> Vec<String> {
        let times = |sql: &str| self.all.get(sql).map_or(0, |(times, _)| *times);
        let more = other.all.iter().filter(|(sql, (more, _))| *more > times(sql));
        more.map(|(sql, (more, _))| format!("{} to {more}: {sql}", times(sql))).collect()
    }
}

#[expect(clippy::disallowed_methods, reason = "the macro checks the queries of the app alone")]
async fn run(db: &mut sqlx::SqliteConnection, sql: String) -> sqlx::Result<()> {
    sqlx::query(AssertSqlSafe(sql)).execute(db).await.map(|_| ())
}

/// Runs it in a write.
async fn write(test: &TestApp, sql: String) {
    let write = test.app.db.write(move |tx| Box::pin(async move { Ok(run(tx, sql).await?) }));
    write.await.unwrap();
}

/// Leaves a mark in what each connection of a store ran, after everything it ran so far.
async fn mark(test: &TestApp, mark: &str) {
    let mut readers = Vec::new();
    for _ in 0..READERS {
        readers.push(test.app.db.read().acquire().await.unwrap());
    }
    for reader in &mut readers {
        run(reader, format!("select '{mark} read'")).await.unwrap();
    }
    write(test, format!("select '{mark} written'")).await;
}

/// Counts what a store runs meanwhile.
async fn count<T>(test: &TestApp, name: &str, work: impl Future<Output = T>) -> (T, Count) {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        tracing::subscriber::set_global_default(tracing_subscriber::registry().with(Listener)).unwrap();
    });
    let _turn = TURN.lock().await;
    // What is kept until the store changes has to be found out again.
    write(test, "update event set version = version".to_owned()).await;
    COUNTING.store(true, Ordering::SeqCst);
    let (begin, end) = (format!("begin {name}"), format!("end {name}"));
    mark(test, &begin).await;
    let done = work.await;
    mark(test, &end).await;
    COUNTING.store(false, Ordering::SeqCst);
    let all = std::mem::take(&mut *RAN.lock().unwrap());
    let mut count = Count::default();
    for last in all.iter().filter(|ran| ran.sql.contains(&end)) {
        let own: Vec<&Ran> = all.iter().filter(|ran| ran.thread == last.thread).collect();
        let from = own.iter().position(|ran| ran.sql.contains(&begin)).expect("a reader was opened meanwhile");
        let until = own.iter().position(|ran| ran.sql.contains(&end)).unwrap();
        let is_writer = last.sql.contains("written");
        for ran in own[from + 1..until].iter().filter(|ran| !FRAME.contains(&ran.sql.as_str())) {
            for kept in std::iter::once(&mut count.all).chain(is_writer.then_some(&mut count.written)) {
                let (times, rows) = kept.entry(ran.sql.clone()).or_default();
                (*times, *rows) = (*times + 1, *rows + ran.rows);
            }
        }
    }
    (done, count)
}

/// The names in a column of what a pragma lists.
#[expect(clippy::disallowed_methods, reason = "a pragma has no columns to check")]
async fn listed(db: &mut sqlx::SqliteConnection, sql: String) -> Vec<String> {
    sqlx::query_scalar(AssertSqlSafe(sql)).fetch_all(db).await.unwrap()
}

/// Adds copies of the rows of the long tables, which refer to one another as the rows do.
async fn multiply(test: &TestApp) {
    let mut db = test.app.db.read().acquire().await.unwrap();
    let mut copies = vec!["pragma defer_foreign_keys = on".to_owned()];
    for table in LONG {
        let columns = listed(&mut db, format!("select name from pragma_table_info('{table}')")).await;
        let long = LONG.map(|name| format!("'{name}'")).join(", ");
        let moved = listed(
            &mut db,
            format!(
                "select name from pragma_table_info('{table}') where name = 'id' union
                 select \"from\" from pragma_foreign_key_list('{table}') where \"table\" in ({long})"
            ),
        );
        let moved = moved.await;
        // Texts that must differ.
        let unique = listed(
            &mut db,
            format!(
                "select c.name from pragma_index_list('{table}') i, pragma_index_info(i.name) c
                 where i.\"unique\" and i.origin <> 'pk'"
            ),
        );
        let unique = unique.await;
        let number = moved.iter().find(|name| *name == "id").unwrap_or(&moved[0]);
        for copy in 1..TIMES {
            let values = columns.iter().map(|name| match name {
                name if moved.contains(name) => format!("{name} + {copy} * 1000000"),
                // One of a few words; what it is about makes the row unique.
                name if name == "hazard" => name.clone(),
                name if unique.contains(name) => format!(
                    "iif(typeof({name}) = 'text' and {name} not glob '20??-??-??', {name} || ' {copy}', {name})"
                ),
                name => name.clone(),
            });
            let values = values.collect::<Vec<_>>().join(", ");
            // An event has one task that is its burn.
            copies.push(format!(
                "insert or ignore into {table} ({}) select {values} from {table} where {number} < 1000000",
                columns.join(", ")
            ));
        }
    }
    drop(db);
    let all = test.app.db.write(move |tx| {
        Box::pin(async move {
            for copy in copies {
                run(tx, copy.clone()).await.map_err(|error| panic!("{error}: {copy}")).unwrap();
            }
            Ok(())
        })
    });
    all.await.unwrap();
}

/// The pages where people begin, and the page of a link.
const PAGES: [(&str, &str); 10] = [
    ("Countdown", "/events/1"),
    ("Guests", "/events/1/guests"),
    ("Press", "/events/1/press"),
    ("Crew", "/events/1/crew"),
    ("Replies", "/events/1/replies"),
    ("Loans", "/events/1/loans"),
    ("Rooms", "/events/1/rooms"),
    ("Permits", "/events/1/permits"),
    ("The talk", "/events/1/burn-day/talk"),
    ("The site", "/events/1/rooms/site"),
];

#[tokio::test]
async fn statements_do_not_grow_with_the_data() {
    let test = TestApp::empty().await;
    let links = demo::fill(&test.app, NOW).await.unwrap();
    let mut priya = test.stranger();
    priya.post(&format!("/enter/{}", links[0].1.reveal()), &[]).await;
    // What is due goes out before anyone counts.
    background::tick(&test.app).await.unwrap();
    let few = measure(&test, &mut priya).await;
    multiply(&test).await;
    background::tick(&test.app).await.unwrap();
    let many = measure(&test, &mut priya).await;
    let mut grown = Vec::new();
    for ((name, few), (_, many)) in few.iter().zip(&many) {
        eprintln!("{name}: {few}; then {many}");
        let ((before, rows), (after, more)) = (sum(&few.written), sum(&many.written));
        if sum(&many.all).0 > sum(&few.all).0 || after > before || more > rows {
            grown
                .push(format!("{name}: {few}; with {TIMES} times as much, {many}\n  {}", few.grown(many).join("\n  ")));
        }
    }
    assert!(grown.is_empty(), "{}", grown.join("\n"));
}

/// Counts each page, what the program does on its own, and a save of a loan.
async fn measure(test: &TestApp, priya: &mut Browser) -> Vec<(&'static str, Count)> {
    let mut counts = Vec::new();
    for (name, path) in PAGES {
        let (page, count) = count(test, name, priya.get(path)).await;
        assert_eq!(page.status, 200, "{name}");
        counts.push((name, count));
    }
    let path = test.answer_path(1);
    let (page, answer) = count(test, "The page of a link", async { test.stranger().get(&path).await }).await;
    assert_eq!(page.status, 200);
    counts.push(("The page of a link", answer));
    let (done, tick) = count(test, "What the program does on its own", background::tick(&test.app)).await;
    done.unwrap();
    counts.push(("What the program does on its own", tick));
    // The clock was asked for with a request.
    let edit = "/events/1/loans/2/edit";
    let form = priya.get(edit).await.form().with("collect_place", &format!("Door {}", counts.len()));
    let (saved, save) = count(test, "A save of a loan", priya.submit(edit, &form)).await;
    assert_eq!(saved.status, 303, "{}", saved.body);
    counts.push(("A save of a loan", save));
    counts
}
