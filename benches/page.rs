//! The Countdown page under load, against a bare axum handler that runs the
//! same selects through the same kind of pool and returns the same bytes.

mod ratio;

use anyhow::{Context, anyhow};
use axum::Router;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::{HeaderMap, Request, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use burnday::accounts::Role;
use burnday::clock::Clock;
use burnday::config::Cli;
use burnday::db::Db;
use burnday::demo;
use burnday::server;
use burnday::state::App;
use clap::Parser;
use http_body_util::BodyExt;
use sqlx::SqlitePool;
use std::net::SocketAddr;
use std::sync::Arc;
use std::time::{Duration, Instant};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::Runtime;
use tokio::task::JoinSet;
use tower::ServiceExt;

const ROUNDS: usize = 21;
const CLIENTS: usize = 16;
const PAGES_EACH: usize = 12;

fn main() -> anyhow::Result<()> {
    let runtime = Runtime::new()?;
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let (app, cookie) = runtime.block_on(demo_app(folder.path().to_str().context("a path of text")?))?;
    let page = runtime.block_on(capture(&app, &cookie))?;
    println!("the page has {} bytes; {CLIENTS} clients on loopback in the same process", page.body.len());

    let (ours, bare) = runtime.block_on(serve(app, page))?;
    ratio::compare(
        "Countdown pages",
        "/s",
        &(0.8..=f64::INFINITY),
        ROUNDS,
        |_| runtime.block_on(load(bare, &cookie)).expect("the bare handler answers"),
        |_| runtime.block_on(load(ours, &cookie)).expect("the app answers"),
    );
    Ok(())
}

/// The demo, and the cookie of its education officer.
async fn demo_app(folder: &str) -> anyhow::Result<(App, String)> {
    let db = Db::open(folder.as_ref()).await?;
    let config = Cli::parse_from(["burnday", "--data", folder]).config;
    let app = App::new(db, Clock::System, config);
    let links = demo::fill(&app, app.clock.now()).await.map_err(|error| anyhow!("{error:?}"))?;
    let (_, secret) = links.iter().find(|(role, _)| *role == Role::EducationOfficer).context("an officer's link")?;
    let enter = Request::post(format!("/enter/{}", secret.reveal()))
        .header("sec-fetch-site", "same-origin")
        .header(header::HOST, "127.0.0.1")
        .body(Body::empty())?;
    let answer = server::router(app.clone()).oneshot(enter).await?;
    let cookie = answer.headers().get(header::SET_COOKIE).context("a sign-in")?.to_str()?;
    let cookie = cookie.split(';').next().unwrap_or_default().to_owned();
    Ok((app, cookie))
}

/// The page as the app answers it.
#[derive(Clone)]
struct Page {
    headers: HeaderMap,
    body: Bytes,
}

async fn capture(app: &App, cookie: &str) -> anyhow::Result<Page> {
    let request = Request::get("/events/1").header(header::COOKIE, cookie).body(Body::empty())?;
    let (parts, body) = server::router(app.clone()).oneshot(request).await?.into_parts();
    let body = body.collect().await?.to_bytes();
    anyhow::ensure!(parts.status.is_success() && body.len() > 10_000, "no countdown: {}", parts.status);
    Ok(Page { headers: parts.headers, body })
}

/// Serves both; the address of ours and of the bare one.
async fn serve(app: App, page: Page) -> anyhow::Result<(SocketAddr, SocketAddr)> {
    let (ours, bare) = (TcpListener::bind("127.0.0.1:0").await?, TcpListener::bind("127.0.0.1:0").await?);
    let addresses = (ours.local_addr()?, bare.local_addr()?);
    let pool = app.db.read().clone();
    tokio::spawn(server::run(app, ours, std::future::pending()));
    let handler = Router::new().route("/events/1", get(same_selects)).with_state(Arc::new((pool, page)));
    tokio::spawn(async move { axum::serve(bare, handler).await });
    Ok(addresses)
}

/// The selects of a request for the page, in their order; see the stores of
/// accounts, events, `closed_days` and countdown.
const SELECTS: [&str; 5] = [
    "select a.id, a.person_id, p.name, a.role, s.seen_at, d.name, d.zone, d.phone, d.version
     from session s join account a on a.id = s.account_id join person p on p.id = a.person_id join department d
     where s.secret_hash = ? and s.expires_at > ? and s.seen_at > ? and a.disabled_at is null",
    "select id, name, site, zone, burn_on, burn_time, rain_on, format, audience, weekdays, date_revision, is_current,
            version from event where id = ?",
    "select closed_on, reason from closed_day order by closed_on",
    "select t.id, t.key, t.strand, t.title, t.takes, t.owner_role, t.owner_id, o.name, t.lead_days, t.lead_basis,
            t.lead_notice, t.duration, t.duration_basis, t.rain, t.state, t.waiting_for, t.started_on, t.done_on,
            t.state_at, b.name, t.is_burn, t.version
     from task t left join person o on o.id = t.owner_id left join account a on a.id = t.state_by
          left join person b on b.id = a.person_id
     where t.event_id = ? order by t.id",
    "select l.later_id, l.earlier_id, l.lag_days, l.lag_basis from task_link l join task t on t.id = l.later_id
     where t.event_id = ? order by l.later_id, l.earlier_id",
];

#[expect(clippy::disallowed_methods, reason = "the bare handler doesn't use our stores")]
async fn same_selects(State(state): State<Arc<(SqlitePool, Page)>>, headers: HeaderMap) -> Response {
    let (pool, page) = &*state;
    let cookie = headers.get(header::COOKIE).and_then(|cookie| cookie.to_str().ok()).unwrap_or_default();
    let secret = cookie.split('=').nth(1).and_then(burnday::web::link::Secret::read);
    let hash = secret.map(|secret| secret.hash()).unwrap_or_default();
    let session = sqlx::query(SELECTS[0]).bind(hash).bind(0).bind(0).fetch_one(pool).await;
    let event = sqlx::query(SELECTS[1]).bind(1).fetch_one(pool).await;
    let closed = sqlx::query(SELECTS[2]).fetch_all(pool).await;
    let tasks = sqlx::query(SELECTS[3]).bind(1).fetch_all(pool).await;
    let links = sqlx::query(SELECTS[4]).bind(1).fetch_all(pool).await;
    let complete = session.is_ok()
        && event.is_ok()
        && closed.is_ok_and(|rows| rows.len() == 1)
        && tasks.is_ok_and(|rows| rows.len() == 91)
        && links.is_ok_and(|rows| rows.len() > 140);
    assert!(complete, "the selects find what the app's find");
    (page.headers.clone(), page.body.clone()).into_response()
}

/// Pages a second.
async fn load(address: SocketAddr, cookie: &str) -> anyhow::Result<f64> {
    let request = format!("GET /events/1 HTTP/1.1\r\nHost: {address}\r\nCookie: {cookie}\r\n\r\n");
    let began = Instant::now();
    let mut clients = JoinSet::new();
    for _ in 0..CLIENTS {
        let request = request.clone();
        clients.spawn(async move {
            let mut stream = TcpStream::connect(address).await?;
            stream.set_nodelay(true)?;
            let mut buffer = vec![0; 256 * 1024];
            for _ in 0..PAGES_EACH {
                stream.write_all(request.as_bytes()).await?;
                read_page(&mut stream, &mut buffer).await?;
            }
            anyhow::Ok(())
        });
    }
    for client in clients.join_all().await {
        client?;
    }
    let pages = u32::try_from(CLIENTS * PAGES_EACH)?;
    Ok(f64::from(pages) / began.elapsed().max(Duration::from_nanos(1)).as_secs_f64())
}

/// Reads one answer to its end, which its Content-Length tells.
async fn read_page(stream: &mut TcpStream, buffer: &mut [u8]) -> anyhow::Result<()> {
    let mut filled = 0;
    loop {
        let read = stream.read(&mut buffer[filled..]).await?;
        anyhow::ensure!(read > 0, "the connection ended early");
        filled += read;
        let Some(head) = buffer[..filled].windows(4).position(|four| four == b"\r\n\r\n") else { continue };
        let text = std::str::from_utf8(&buffer[..head])?.to_ascii_lowercase();
        anyhow::ensure!(text.starts_with("http/1.1 200"), "{text}");
        let length = text.lines().find_map(|line| line.strip_prefix("content-length: ")).context("a length")?;
        if filled >= head + 4 + length.trim().parse::<usize>()? {
            return Ok(());
        }
    }
}
