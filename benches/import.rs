//! Imports twenty thousand people from a file with all our rules while others write. Compared
//! with a bare loop of inserts in one transaction on the same disk.

mod ratio;

use burnday::db::journal::{Actor, Entry, record};
use burnday::db::{Db, FILE};
use burnday::directory::{csv, decode, pairs, read};
use burnday::people::{self, Details};
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{ConnectOptions, SqliteConnection};
use std::collections::HashSet;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};
use time::OffsetDateTime;
use time::macros::datetime;
use tokio::runtime::Runtime;

#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const NOW: OffsetDateTime = datetime!(2027-06-01 12:00 UTC);
const PEOPLE: u32 = 20_000;
const ROUNDS: usize = 7;

fn main() -> anyhow::Result<()> {
    let runtime = Runtime::new()?;
    // In the build's folder, since the system's temporary folder may be in memory.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let people = Arc::new(people());
    let (db, mut bare) = runtime.block_on(open(folder.path()))?;
    let mut waits = Vec::new();
    ratio::compare(
        "20,000 people",
        "/s",
        &(0.5..=f64::INFINITY),
        ROUNDS,
        |_| runtime.block_on(one_by_one(&mut bare, &people)).expect("a new store takes people"),
        |_| {
            let (rate, wait) = runtime.block_on(ours(&db, &people)).expect("a new store takes people");
            waits.push(wait);
            rate
        },
    );
    waits.sort();
    println!(
        "others' writes waited at most {:?} during the import (median of the rounds {:?})",
        waits[waits.len() - 1],
        waits[waits.len() / 2]
    );
    let file = csv(&people)?;
    let began = Instant::now();
    let checked = read(&decode(file.as_bytes()).map_err(anyhow::Error::msg)?, None).map_err(anyhow::Error::msg)?;
    println!(
        "read from {} kB, with all rules: {:?}, {} people",
        file.len() / 1024,
        began.elapsed(),
        checked.people.len()
    );
    runtime.block_on(others(&db))?;
    runtime.block_on(db.close());
    Ok(())
}

/// What else is done with so many people: looking one up, finding duplicates.
async fn others(db: &Db) -> anyhow::Result<()> {
    let add = db.write(|tx| Box::pin(async { people::add_all(tx, 1, &people(), NOW).await }));
    add.await.map_err(|error| anyhow::anyhow!("{error:?}"))?;
    let mut reader = db.read().acquire().await?;
    let began = Instant::now();
    let found = people::look_up(&mut reader, "organization 77", 0, 100).await;
    let found = found.map_err(|error| anyhow::anyhow!("{error:?}"))?.1;
    println!("looked up among {PEOPLE}: {:?}, {found} found", began.elapsed());
    let all = people::everyone(&mut reader).await.map_err(|error| anyhow::anyhow!("{error:?}"))?;
    let began = Instant::now();
    let pairs = pairs(&all, &HashSet::new(), || false).expect("nothing stops it");
    println!("duplicates among {}: {:?}, {} pairs", all.len(), began.elapsed(), pairs.len());
    Ok(())
}

fn people() -> Vec<Details> {
    let syllables = ["ba", "de", "ki", "lo", "mu", "ra", "se", "ti", "vo", "zu", "an", "el"];
    let word = |n: usize| [n, n / 12, n / 144].map(|n| syllables[n % 12]).concat();
    let one = |n: usize| Details {
        organization: format!("Organization {}", n % 300),
        mail: format!("person.{n}@example.org"),
        phone: format!("555-{n:05}"),
        notes: "Met at the county fair.".to_owned(),
        ..Details::of_name(&format!("{} {}", word(n * 7 % 1_728), word(n * 13 % 1_719)))
    };
    (0..PEOPLE as usize).map(one).collect()
}

async fn open(folder: &Path) -> anyhow::Result<(Db, SqliteConnection)> {
    let beside = folder.join("bare");
    Db::open(&beside).await?.close().await;
    let bare = SqliteConnectOptions::new()
        .filename(beside.join(FILE))
        .foreign_keys(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .log_statements(tracing::log::LevelFilter::Trace)
        .connect()
        .await?;
    let db = Db::open(&folder.join("ours")).await?;
    let imports = db.write(|tx| {
        Box::pin(async move {
            run(tx, "insert into person (name, created_at) values ('Olga Wren', 1)").await?;
            run(tx, "insert into account (person_id, mail, role, created_at) values (1, 'o@example.org', 'reader', 1)")
                .await?;
            run(tx, "insert into import (account_id, key, file_name, created_at) values (1, 'a', 'a', 1)").await?;
            Ok(())
        })
    });
    imports.await.map_err(|error| anyhow::anyhow!("{error:?}"))?;
    Ok((db, bare))
}

#[expect(clippy::disallowed_methods, reason = "these queries don't need to be checked")]
async fn run(connection: &mut SqliteConnection, sql: &'static str) -> sqlx::Result<()> {
    sqlx::query(sql).execute(connection).await.map(|_| ())
}

/// People per second of a loop that anyone would write.
async fn one_by_one(bare: &mut SqliteConnection, people: &[Details]) -> sqlx::Result<f64> {
    let began = Instant::now();
    run(bare, "begin immediate").await?;
    for person in people {
        #[expect(clippy::disallowed_methods, reason = "the reference should be what anyone would write")]
        sqlx::query(
            "insert into person (name, said, office, jurisdiction, mail, phone, channel, notes, access_needs, no_mail,
                                 search, created_at) values (?, '', '', '', ?, ?, 'mail', ?, '', 0, ?, 1)",
        )
        .bind(&person.name)
        .bind(&person.mail)
        .bind(&person.phone)
        .bind(&person.notes)
        .bind(person.search())
        .execute(&mut *bare)
        .await?;
    }
    run(bare, "commit").await?;
    let rate = f64::from(PEOPLE) / began.elapsed().as_secs_f64();
    run(bare, "delete from person").await?;
    Ok(rate)
}

/// People per second with our import, and the longest wait of another write.
async fn ours(db: &Db, people: &Arc<Vec<Details>>) -> burnday::error::Result<(f64, Duration)> {
    let done = Arc::new(AtomicBool::new(false));
    let others = tokio::spawn(write_meanwhile(db.clone(), Arc::clone(&done)));
    let began = Instant::now();
    let all = Arc::clone(people);
    db.write(move |tx| Box::pin(async move { people::add_all(tx, 1, &all, NOW).await })).await?;
    let rate = f64::from(PEOPLE) / began.elapsed().as_secs_f64();
    done.store(true, Ordering::Relaxed);
    let waited = others.await??;
    db.write(|tx| Box::pin(async move { people::remove_all(tx, 1).await })).await?;
    Ok((rate, waited))
}

async fn write_meanwhile(db: Db, done: Arc<AtomicBool>) -> burnday::error::Result<Duration> {
    let mut longest = Duration::ZERO;
    while !done.load(Ordering::Relaxed) {
        let began = Instant::now();
        let write = db.write(|tx| {
            Box::pin(async move {
                let entry = Entry {
                    actor: Actor::System,
                    verb: "changed",
                    subject: "task",
                    subject_id: Some(17),
                    event_id: None,
                    title: "Ask the county for the burn permit",
                    before: None,
                    after: None,
                };
                record(tx, NOW, entry);
                Ok(())
            })
        });
        write.await?;
        longest = longest.max(began.elapsed());
    }
    Ok(longest)
}
