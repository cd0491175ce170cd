//! The pages where people begin, with the demo and under load, each compared with a bare handler
//! that runs the same statements and answers with the same bytes.

mod ratio;

use anyhow::{Context, anyhow};
use axum::Router;
use axum::body::Bytes;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderName, HeaderValue};
use axum::routing::get;
use burnday::clock::Clock;
use burnday::config::{Cli, Config};
use burnday::db::Db;
use burnday::state::App;
use burnday::web::link::Secret;
use burnday::{demo, server};
use clap::Parser;
use sqlx::{AssertSqlSafe, SqlitePool};
use std::ffi::OsStr;
use std::fmt::Debug;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Instant;
use time::OffsetDateTime;
use time::macros::datetime;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::Runtime;
use tokio::task::JoinSet;
use tracing::field::{Field, Visit};
use tracing::subscriber::Interest;
use tracing::{Event, Metadata, Subscriber};
use tracing_subscriber::Layer;
use tracing_subscriber::layer::{Context as Heard, SubscriberExt};

#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const NOW: OffsetDateTime = datetime!(2027-06-01 15:00 UTC);
const CLIENTS: u32 = 32;
/// Requests per client in each round.
const REQUESTS: u32 = 10;
const ROUNDS: usize = 31;

/// The pages where people begin.
const PAGES: [(&str, &str); 5] = [
    ("Countdown", "/events/1"),
    ("Guests", "/events/1/guests"),
    ("Press", "/events/1/press"),
    ("Crew", "/events/1/crew"),
    ("Replies", "/events/1/replies"),
];

/// The statements that ran while someone listened.
static RAN: Mutex<Vec<String>> = Mutex::new(Vec::new());
static LISTENS: AtomicBool = AtomicBool::new(false);

/// Hears the log events of statements.
struct Listener;

impl<S: Subscriber> Layer<S> for Listener {
    fn register_callsite(&self, metadata: &'static Metadata<'static>) -> Interest {
        if metadata.target() == "sqlx::query" { Interest::sometimes() } else { Interest::never() }
    }

    fn enabled(&self, _: &Metadata<'_>, _: Heard<'_, S>) -> bool {
        LISTENS.load(Ordering::SeqCst)
    }

    fn on_event(&self, event: &Event<'_>, _: Heard<'_, S>) {
        let mut statement = Statement::default();
        event.record(&mut statement);
        RAN.lock().expect("no listener panics").push(statement.0);
    }
}

#[derive(Default)]
struct Statement(String);

impl Visit for Statement {
    /// A short statement is its own summary.
    fn record_str(&mut self, field: &Field, value: &str) {
        if field.name() == "summary" || (field.name() == "db.statement" && !value.trim().is_empty()) {
            value.clone_into(&mut self.0);
        }
    }

    fn record_debug(&mut self, _: &Field, _: &dyn Debug) {}
}

fn main() -> anyhow::Result<()> {
    tracing::subscriber::set_global_default(tracing_subscriber::registry().with(Listener))?;
    let runtime = Runtime::new()?;
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let site = runtime.block_on(Site::start(folder.path()))?;
    for (name, path) in PAGES {
        let (ours, bare) = runtime.block_on(site.page(path))?;
        let (mut ours, mut bare) = (Some(ours), Some(bare));
        ratio::compare(
            &format!("{name} to {CLIENTS} clients"),
            "/s",
            &(0.8..=f64::INFINITY),
            ROUNDS,
            |_| runtime.block_on(load(&mut bare)),
            |_| runtime.block_on(load(&mut ours)),
        );
    }
    Ok(())
}

/// The clients of one server, and their request.
struct Load {
    clients: Vec<TcpStream>,
    request: Arc<str>,
}

impl Load {
    async fn on(address: SocketAddr, request: &Arc<str>) -> anyhow::Result<Self> {
        let mut clients = Vec::new();
        for _ in 0..CLIENTS {
            let client = TcpStream::connect(address).await?;
            client.set_nodelay(true)?;
            clients.push(client);
        }
        Ok(Self { clients, request: Arc::clone(request) })
    }
}

/// The app with the demo, and a browser of its education officer.
struct Site {
    address: SocketAddr,
    db: SqlitePool,
    cookie: String,
}

impl Site {
    async fn start(folder: &Path) -> anyhow::Result<Self> {
        let listener = TcpListener::bind("127.0.0.1:0").await?;
        let address = listener.local_addr()?;
        let words = [OsStr::new("burnday"), OsStr::new("--log=off"), OsStr::new("--data"), folder.as_os_str()];
        let config = Config { listen: address, ..Cli::try_parse_from(words)?.config };
        let db = Db::open(folder).await?;
        let app = App::new(db.clone(), Clock::standing_at(NOW), config)?;
        let links = demo::fill(&app, NOW).await.map_err(|error| anyhow!("fill the demo: {error:?}"))?;
        let (_, secret) = links.first().context("the demo has a link for each role")?;
        let service = server::router(app).into_make_service_with_connect_info::<SocketAddr>();
        tokio::spawn(async move { axum::serve(listener, service).await });

        // Signs in as a browser does, with the demo's own link.
        let mut browser = TcpStream::connect(address).await?;
        let enter = format!(
            "POST /enter/{} HTTP/1.1\r\nhost: {address}\r\nsec-fetch-site: same-origin\r\ncontent-length: 0\r\n\r\n",
            secret.reveal()
        );
        let (head, _) = ask(&mut browser, &enter, &mut Vec::new()).await?;
        let cookie =
            header(&head, "set-cookie").and_then(|cookie| cookie.split(';').next()).context("no cookie came")?;
        Ok(Self { address, db: db.read().clone(), cookie: cookie.to_owned() })
    }

    /// Clients of a page, and of a bare handler that runs the statements the page runs.
    async fn page(&self, path: &str) -> anyhow::Result<(Load, Load)> {
        let Self { address, db, cookie } = self;
        let mut browser = TcpStream::connect(address).await?;
        let request: Arc<str> = format!("GET {path} HTTP/1.1\r\nhost: {address}\r\ncookie: {cookie}\r\n\r\n").into();
        let mut body = Vec::new();
        ask(&mut browser, &request, &mut body).await?;
        LISTENS.store(true, Ordering::SeqCst);
        let (head, length) = ask(&mut browser, &request, &mut body).await?;
        LISTENS.store(false, Ordering::SeqCst);
        let statements = std::mem::take(&mut *RAN.lock().expect("no listener panics"));
        println!(
            "{path}: {length} bytes, {} statements, {}",
            statements.len(),
            head.lines().next().unwrap_or_default()
        );

        let (_, value) = cookie.split_once('=').context("a cookie has a value")?;
        let session = Secret::read(value).context("the cookie holds a secret")?.hash();
        let bare = Bare { db: db.clone(), session, statements, headers: headers(&head)?, page: body.into() };
        let listener = TcpListener::bind("127.0.0.1:0").await?;
        let beside = listener.local_addr()?;
        let router = Router::new().route("/{*path}", get(answer)).with_state(Arc::new(bare));
        tokio::spawn(async move { axum::serve(listener, router).await });
        Ok((Load::on(*address, &request).await?, Load::on(beside, &request).await?))
    }
}

/// What the bare handler knows in advance.
struct Bare {
    db: SqlitePool,
    session: Vec<u8>,
    statements: Vec<String>,
    headers: HeaderMap,
    page: Bytes,
}

async fn answer(State(bare): State<Arc<Bare>>) -> (HeaderMap, Bytes) {
    select(&bare).await.expect("the app has run the same");
    (bare.headers.clone(), bare.page.clone())
}

/// Reads the rows and drops them. What the app bound isn't known: the session is looked up
/// with its digest, and everything else with the event's number, 1. Where the app binds
/// a list, this reads less, which favors the bare handler.
#[expect(
    clippy::disallowed_methods,
    reason = "the checked macros would decode the rows, and this should only read them"
)]
async fn select(bare: &Bare) -> sqlx::Result<()> {
    let mut one = bare.db.acquire().await?;
    for statement in &bare.statements {
        let values = statement.matches('?').count();
        let mut query = sqlx::query(AssertSqlSafe(statement.as_str()));
        for value in 0..values {
            query = if value == 0 && statement.contains("secret_hash") {
                query.bind(&bare.session)
            } else {
                query.bind(1_i64)
            };
        }
        query.fetch_all(&mut *one).await?;
    }
    Ok(())
}

/// Pages per second.
async fn load(of: &mut Option<Load>) -> f64 {
    let Load { clients, request } = of.take().expect("put back below");
    let began = Instant::now();
    let mut all = JoinSet::new();
    for mut client in clients {
        let request = Arc::clone(&request);
        all.spawn(async move {
            let mut body = Vec::new();
            for _ in 0..REQUESTS {
                let (head, _) = ask(&mut client, &request, &mut body).await.expect("the server answers");
                assert!(head.starts_with("HTTP/1.1 200"), "{head}");
            }
            client
        });
    }
    let clients = all.join_all().await;
    let rate = f64::from(CLIENTS * REQUESTS) / began.elapsed().as_secs_f64();
    *of = Some(Load { clients, request });
    rate
}

/// Sends a request on a connection that stays open. Returns the head of the answer and the
/// length of its body, which is left in `body`.
async fn ask(client: &mut TcpStream, request: &str, body: &mut Vec<u8>) -> anyhow::Result<(String, usize)> {
    client.write_all(request.as_bytes()).await?;
    body.clear();
    let (head, length) = loop {
        if client.read_buf(body).await? == 0 {
            return Err(anyhow!("the server hung up"));
        }
        if let Some(end) = body.windows(4).position(|four| four == b"\r\n\r\n") {
            let head = String::from_utf8_lossy(&body[..end]).into_owned();
            body.drain(..end + 4);
            let length = header(&head, "content-length").context("an answer says its length")?.parse()?;
            break (head, length);
        }
    };
    while body.len() < length {
        if client.read_buf(body).await? == 0 {
            return Err(anyhow!("the server hung up"));
        }
    }
    Ok((head, length))
}

fn header<'a>(head: &'a str, name: &str) -> Option<&'a str> {
    head.lines().filter_map(|line| line.split_once(": ")).find(|(key, _)| *key == name).map(|(_, value)| value)
}

/// The headers of an answer, without those the server adds.
fn headers(head: &str) -> anyhow::Result<HeaderMap> {
    let mut headers = HeaderMap::new();
    for (name, value) in head.lines().filter_map(|line| line.split_once(": ")) {
        if !["date", "content-length"].contains(&name) {
            headers.append(HeaderName::from_bytes(name.as_bytes())?, HeaderValue::from_str(value)?);
        }
    }
    Ok(headers)
}
