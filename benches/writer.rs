//! The writer, compared with a bare loop of commits on one connection on the same disk.

mod ratio;

use burnday::db::journal::{Actor, Entry, record};
use burnday::db::{Db, FILE, Tx};
use serde_json::json;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{ConnectOptions, SqliteConnection};
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};
use time::OffsetDateTime;
use time::macros::datetime;
use tokio::runtime::Runtime;
use tokio::sync::Mutex;
use tokio::task::JoinSet;

#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const NOW: OffsetDateTime = datetime!(2027-06-01 12:00 UTC);
/// Many short rounds, so that other work on the disk affects both.
const ROUNDS: usize = 41;
const COMMITS: u32 = 32;
const TITLE: &str = "Ask the county for the burn permit";
const CHANGE: &str = "update department set version = version + 1";

type Bare = Arc<Mutex<SqliteConnection>>;

fn main() -> anyhow::Result<()> {
    let runtime = Runtime::new()?;
    // In the build's folder, since the system's temporary folder may be in memory, where a
    // commit waits for nothing.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let (db, bare) = runtime.block_on(open(folder.path()))?;
    for (callers, each, least) in [(1, COMMITS, 0.8), (64, COMMITS / 4, 8.0)] {
        ratio::compare(
            &format!("entries from {callers} at once"),
            "/s",
            &(least..=f64::INFINITY),
            ROUNDS,
            |_| runtime.block_on(one_by_one(&bare, false)),
            |_| runtime.block_on(at_once(&db, callers, each, false)),
        );
    }
    // Without a goal: a separate statement in each write is a trip to the connection's thread,
    // which sharing a commit can't save.
    ratio::compare(
        "changes with their entry from 64 at once",
        "/s",
        &(0.0..=f64::INFINITY),
        ROUNDS,
        |_| runtime.block_on(one_by_one(&bare, true)),
        |_| runtime.block_on(at_once(&db, 64, COMMITS / 4, true)),
    );
    let per_second = runtime.block_on(uncommitted(&bare)).expect("a new store takes entries");
    println!("bare statements without commits: {per_second:.0} /s");
    runtime.block_on(db.close());
    Ok(())
}

/// Our store, and a separate connection to another store with the same schema, opened the
/// same way.
async fn open(folder: &Path) -> anyhow::Result<(Db, Bare)> {
    let beside = folder.join("bare");
    Db::open(&beside).await?.close().await;
    let bare = SqliteConnectOptions::new()
        .filename(beside.join(FILE))
        .foreign_keys(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .busy_timeout(Duration::from_secs(5))
        .pragma("journal_size_limit", "67108864")
        .log_statements(tracing::log::LevelFilter::Trace);
    Ok((Db::open(&folder.join("ours")).await?, Arc::new(Mutex::new(bare.connect().await?))))
}

/// What is written each time: a journal entry about a change to a task, and before it the
/// change itself if asked for.
async fn write(tx: &mut Tx, with_change: bool) -> burnday::error::Result<()> {
    if with_change {
        run(tx, CHANGE).await?;
    }
    let entry = Entry {
        actor: Actor::System,
        verb: "changed",
        subject: "task",
        subject_id: Some(17),
        event_id: Some(1),
        title: TITLE,
        before: Some(json!({"state": "to do", "waiting for": ""})),
        after: Some(json!({"state": "waiting", "waiting for": "the county's air office"})),
    };
    record(tx, NOW, entry);
    Ok(())
}

/// The same on a separate connection.
async fn write_bare(connection: &mut SqliteConnection, with_change: bool) -> sqlx::Result<()> {
    if with_change {
        run(connection, CHANGE).await?;
    }
    #[expect(clippy::disallowed_methods, reason = "the reference should be what anyone would write")]
    sqlx::query(
        "insert into journal (at, actor, account_id, verb, subject, subject_id, event_id, title, before, after)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )
    .bind(NOW.unix_timestamp())
    .bind("system")
    .bind(None::<i64>)
    .bind("changed")
    .bind("task")
    .bind(17)
    .bind(1)
    .bind(TITLE)
    .bind(json!({"state": "to do", "waiting for": ""}).to_string())
    .bind(json!({"state": "waiting", "waiting for": "the county's air office"}).to_string())
    .execute(connection)
    .await?;
    Ok(())
}

/// Writes per second of a bare loop, each with its own commit, in a task like a handler's.
async fn one_by_one(bare: &Bare, with_change: bool) -> f64 {
    let bare = Arc::clone(bare);
    let task = tokio::spawn(async move {
        let mut connection = bare.lock().await;
        let began = Instant::now();
        for _ in 0..COMMITS {
            run(&mut connection, "begin immediate").await?;
            write_bare(&mut connection, with_change).await?;
            run(&mut connection, "commit").await?;
        }
        sqlx::Result::<f64>::Ok(f64::from(COMMITS) / began.elapsed().as_secs_f64())
    });
    task.await.expect("no write panics").expect("a new store takes entries")
}

/// Statements per second in one transaction: the cost of the statement alone.
async fn uncommitted(bare: &Bare) -> sqlx::Result<f64> {
    const WRITES: u32 = 5_000;
    let mut connection = bare.lock().await;
    run(&mut connection, "begin immediate").await?;
    let began = Instant::now();
    for _ in 0..WRITES {
        write_bare(&mut connection, false).await?;
    }
    let took = began.elapsed().as_secs_f64();
    run(&mut connection, "commit").await?;
    Ok(f64::from(WRITES) / took)
}

#[expect(clippy::disallowed_methods, reason = "neither transaction control nor this change has columns to check")]
async fn run(connection: &mut SqliteConnection, sql: &'static str) -> sqlx::Result<()> {
    sqlx::query(sql).execute(connection).await.map(|_| ())
}

/// Writes per second of callers that each wait for one write before the next.
async fn at_once(db: &Db, callers: u32, each: u32, with_change: bool) -> f64 {
    let began = Instant::now();
    let mut all = JoinSet::new();
    for _ in 0..callers {
        let db = db.clone();
        all.spawn(async move {
            for _ in 0..each {
                db.write(move |tx| Box::pin(write(tx, with_change))).await.expect("a new store takes entries");
            }
        });
    }
    all.join_all().await;
    f64::from(callers * each) / began.elapsed().as_secs_f64()
}
