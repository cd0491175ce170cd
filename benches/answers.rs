//! Answers through the whole app, each on disk, in the journal, and with its confirmation
//! queued. Compared with a bare loop that commits the same three rows.

mod ratio;

use anyhow::{Context, anyhow, bail};
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{Request, StatusCode, header};
use burnday::asks::{self, Kind, NewQuestion};
use burnday::clock::Clock;
use burnday::config::{Cli, Config};
use burnday::db::journal::Actor;
use burnday::db::{Db, FILE, Tx};
use burnday::events::{self, Event};
use burnday::people::{self, Details};
use burnday::state::App;
use burnday::web::link::{LinkKey, Opens};
use burnday::{demo, server};
use clap::Parser;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqliteSynchronous};
use sqlx::{ConnectOptions, SqliteConnection};
use std::ffi::OsStr;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};
use time::OffsetDateTime;
use time::macros::datetime;
use tokio::runtime::Runtime;
use tokio::sync::Mutex;
use tokio::task::JoinSet;
use tower::ServiceExt;

#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const NOW: OffsetDateTime = datetime!(2027-06-01 15:00 UTC);
const ROUNDS: usize = 31;
const ANSWERS: u32 = 64;
const ASKED: usize = 2_000;
const QUESTION: &str = "Can you walk the spectator line?";

/// A question that someone answers again and again.
#[derive(Clone)]
struct Asked {
    path: String,
    form: String,
}

type Bare = Arc<Mutex<SqliteConnection>>;

/// No one is slowed down: each answer comes from its own address.
static PRESSES: AtomicU32 = AtomicU32::new(1);

fn main() -> anyhow::Result<()> {
    let runtime = Runtime::new()?;
    // In the build's folder, since the system's temporary folder may be in memory, where a
    // commit waits for nothing.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let (app, asked) = runtime.block_on(ours(&folder.path().join("ours")))?;
    let bare = runtime.block_on(bare(&folder.path().join("bare")))?;
    for (callers, least) in [(1, 0.8), (64, 5.0)] {
        ratio::compare(
            &format!("answers from {callers} at once"),
            "/s",
            &(least..=f64::INFINITY),
            ROUNDS,
            |_| runtime.block_on(one_by_one(&bare)),
            |_| runtime.block_on(at_once(&app, &asked, callers)),
        );
    }
    runtime.block_on(app.db.close());
    Ok(())
}

/// The demo's app, and those of its questions that can be answered.
async fn ours(folder: &Path) -> anyhow::Result<(App, Arc<Vec<Asked>>)> {
    let words = [OsStr::new("burnday"), OsStr::new("--log=off"), OsStr::new("--data"), folder.as_os_str()];
    let config: Config = Cli::try_parse_from(words)?.config;
    let app = App::new(Db::open(folder).await?, Clock::standing_at(NOW), config)?;
    demo::fill(&app, NOW).await.map_err(|error| anyhow!("fill the demo: {error:?}"))?;
    let event = events::find(app.db.read(), 1).await.map_err(|error| anyhow!("read the event: {error:?}"))?;
    let event = event.context("the demo has an event")?;
    let key = app.link_key.clone();
    let ask = app.db.write(move |tx| Box::pin(async move { ask_many(tx, &event, &key).await }));
    ask.await.map_err(|error| anyhow!("ask people: {error:?}"))?;
    let requests = asks::of_event(&mut *app.db.read().acquire().await?, 1).await;
    let requests = requests.map_err(|error| anyhow!("read the questions: {error:?}"))?;
    // The demo's questions have a history.
    let asked = requests.iter().filter(|request| request.question == QUESTION).filter_map(|request| {
        let ask = request.asks.first()?.id;
        let secret = app.link_key.secret(Opens::Question, request.id, 1);
        Some(Asked { path: format!("/answer/{}", secret.reveal()), form: format!("say={ask}+yes&note=") })
    });
    let asked = Arc::new(asked.collect());
    Ok((app, asked))
}

/// Enough questions that each is answered only a few times.
async fn ask_many(tx: &mut Tx, event: &Event, key: &LinkKey) -> burnday::error::Result<()> {
    let question = NewQuestion {
        kind: Kind::Post,
        question: QUESTION.to_owned(),
        facts: vec![("Bring".to_owned(), "Boots".to_owned())],
        words: String::new(),
        closes_at: asks::Closings::default().last(asks::Kind::Post, event, NOW),
        dates: vec![event.details.burn_on],
    };
    for number in 0..ASKED {
        let mail = format!("someone{number}@example.org");
        let details = Details { mail, ..Details::of_name(&format!("Someone {number}")) };
        let person = people::add(tx, Actor::Account(1), &details, NOW).await?;
        asks::ask(tx, 1, event, person, &question, key, NOW).await?;
    }
    Ok(())
}

/// Another store with the same schema and one question.
async fn bare(folder: &Path) -> anyhow::Result<Bare> {
    let (app, _) = ours(folder).await?;
    app.db.close().await;
    let options = SqliteConnectOptions::new()
        .filename(folder.join(FILE))
        .foreign_keys(true)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .busy_timeout(Duration::from_secs(5))
        .log_statements(tracing::log::LevelFilter::Trace);
    Ok(Arc::new(Mutex::new(options.connect().await?)))
}

/// Answers per second of a bare loop, each with its own commit, in a task like a handler's.
async fn one_by_one(bare: &Bare) -> f64 {
    let bare = Arc::clone(bare);
    let task = tokio::spawn(async move {
        let mut connection = bare.lock().await;
        let began = Instant::now();
        for _ in 0..ANSWERS {
            commit(&mut connection).await?;
        }
        sqlx::Result::<f64>::Ok(f64::from(ANSWERS) / began.elapsed().as_secs_f64())
    });
    task.await.expect("no answer panics").expect("a store takes answers")
}

#[expect(clippy::disallowed_methods, reason = "the reference should be what anyone would write")]
async fn commit(connection: &mut SqliteConnection) -> sqlx::Result<()> {
    let number = PRESSES.fetch_add(1, Ordering::Relaxed);
    sqlx::query("begin immediate").execute(&mut *connection).await?;
    sqlx::query("insert into answer (ask_id, said, channel, at) values (1, 'yes', 'link', ?)")
        .bind(NOW.unix_timestamp())
        .execute(&mut *connection)
        .await?;
    sqlx::query(
        "insert into journal (at, actor, verb, subject, subject_id, event_id, title, after)
         values (?, 'link', 'answered', 'question', 1, 1, 'Can you walk the spectator line on burn day?', '{}')",
    )
    .bind(NOW.unix_timestamp())
    .execute(&mut *connection)
    .await?;
    sqlx::query(
        "insert into mail (kind, event_id, person_id, request_id, date_revision, dedup, to_name, to_address, reply_name,
                           reply_address, subject, text, html, message_id, due_at, not_after, next_try_at, created_at)
         select 'notice', 1, person_id, 1, 1, 'bare/' || ?1, to_name, to_address, reply_name, reply_address, subject,
                text, html, 'bare.' || ?1, 1, 1, 1, 1 from mail order by id limit 1",
    )
    .bind(number)
    .execute(&mut *connection)
    .await?;
    sqlx::query("commit").execute(connection).await.map(|_| ())
}

/// Answers per second of callers that each wait for one before the next.
async fn at_once(app: &App, asked: &Arc<Vec<Asked>>, callers: u32) -> f64 {
    let service = server::router(app.clone());
    let began = Instant::now();
    let mut all = JoinSet::new();
    for caller in 0..callers {
        let (service, asked) = (service.clone(), Arc::clone(asked));
        all.spawn(async move {
            for turn in 0..ANSWERS / callers.min(16) {
                let place = PRESSES.load(Ordering::Relaxed).wrapping_mul(7).wrapping_add(turn + caller);
                press(service.clone(), &asked[place as usize % asked.len()]).await.expect("an answer is taken");
            }
        });
    }
    all.join_all().await;
    f64::from(callers * (ANSWERS / callers.min(16))) / began.elapsed().as_secs_f64()
}

async fn press(service: axum::Router, asked: &Asked) -> anyhow::Result<()> {
    let from = SocketAddr::from((Ipv4Addr::from(PRESSES.fetch_add(1, Ordering::Relaxed)), 4000));
    let mut request = Request::post(&asked.path)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .header(header::HOST, "127.0.0.1:8080")
        .body(Body::from(asked.form.clone()))?;
    request.extensions_mut().insert(ConnectInfo(from));
    let answer = service.oneshot(request).await.context("the app answers")?;
    if answer.status() == StatusCode::SEE_OTHER { Ok(()) } else { bail!("{}", answer.status()) }
}
