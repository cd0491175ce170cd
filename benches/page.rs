//! The demo's Countdown under load, compared with a bare handler that runs the same SELECTs
//! and answers with the same bytes.

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
use burnday::{demo, events, server};
use clap::Parser;
use sqlx::SqlitePool;
use std::ffi::OsStr;
use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;
use time::OffsetDateTime;
use time::macros::datetime;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::runtime::Runtime;
use tokio::task::JoinSet;

#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const NOW: OffsetDateTime = datetime!(2027-06-01 15:00 UTC);
const CLIENTS: u32 = 16;
/// Requests per client in each round.
const REQUESTS: u32 = 10;
const ROUNDS: usize = 61;

/// The queries the app runs for this page, with the file each is in.
const SELECTS: [(&str, &str); 7] = [
    (
        r#"select a.id as "account_id!", a.person_id, p.name, a.role, s.seen_at, d.name as "department!",
                  d.zone as "zone!", d.phone as "phone!", d.version as "department_version!"
           from session s join account a on a.id = s.account_id join person p on p.id = a.person_id join department d
           where s.secret_hash = ? and s.expires_at > ? and s.seen_at > ? and a.disabled_at is null"#,
        include_str!("../src/accounts/session/store.rs"),
    ),
    (
        r#"select id, name, site, zone, burn_on as "burn_on: Date", burn_time, rain_on as "rain_on: Date", format,
                  audience, weekdays, date_revision, is_current, version from event where id = ?"#,
        include_str!("../src/events/store/reading.rs"),
    ),
    (
        r#"select closed_on as "on: Date", reason from closed_day order by closed_on"#,
        include_str!("../src/closed_days/store.rs"),
    ),
    (
        r#"select t.id as "id!", t.key, t.strand, t.title, t.takes, t.owner_role, t.owner_id, o.name as "person?",
                  t.lead_days, t.lead_basis, t.duration, t.duration_basis, t.rain, t.state,
                  t.waiting_for, t.started_on as "started_on: Date", t.done_on as "done_on: Date", t.state_at,
                  b.name as "state_by?", t.is_burn, t.version
           from task t left join person o on o.id = t.owner_id left join account a on a.id = t.state_by
                left join person b on b.id = a.person_id
           where t.event_id = ? order by t.id"#,
        include_str!("../src/countdown/store/reading.rs"),
    ),
    (
        "select l.later_id, l.earlier_id, l.lag_days, l.lag_basis from task_link l join task t on t.id = l.later_id
         where t.event_id = ? order by l.later_id, l.earlier_id",
        include_str!("../src/countdown/store/reading.rs"),
    ),
    (
        r#"select p.id as "id!", p.event_id, p.task_id, p.key, p.kind, p.title, p.authority, p.person_id,
                  c.name as "person?", p.phone, p.mail, p.number, p.rule, p.notice_days, p.notice_basis, p.counted_when, p.delivery_days,
                  p.dates_on_it, p.learned_by, p.learned_on as "learned_on: Date",
                  p.granted_on as "granted_on: Date", p.expires_on as "expires_on: Date", p.conditions,
                  p.read_back_on as "read_back_on: Date", b.name as "read_back_by?", p.notes, p.version
           from permit p left join account a on a.id = p.read_back_by left join person b on b.id = a.person_id
                left join person c on c.id = p.person_id
           where p.event_id = ? order by p.id"#,
        include_str!("../src/permit_records/store/reading.rs"),
    ),
    (
        r#"select s.id as "id!", s.permit_id, s.sent_on as "sent_on: Date", s.received_on as "received_on: Date", s.site,
                  s.burn_time, d.named_on as "named_on: Date"
           from permit_sending s join permit p on p.id = s.permit_id left join permit_date d on d.sending_id = s.id
           where p.event_id = ? order by s.id, d.named_on"#,
        include_str!("../src/permit_records/store/reading.rs"),
    ),
];

fn main() -> anyhow::Result<()> {
    for (select, source) in SELECTS {
        if !source.contains(select) {
            println!("The app no longer has this query, so the bare handler runs an older form of it: {select}");
        }
    }
    let runtime = Runtime::new()?;
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let (ours, bare) = runtime.block_on(start(folder.path()))?;
    let (mut ours, mut bare) = (Some(ours), Some(bare));
    ratio::compare(
        &format!("countdown to {CLIENTS} clients"),
        "/s",
        &(0.8..=f64::INFINITY),
        ROUNDS,
        |_| runtime.block_on(load(&mut bare)),
        |_| runtime.block_on(load(&mut ours)),
    );
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

/// The app with the demo, the bare handler, and clients of both.
async fn start(folder: &Path) -> anyhow::Result<(Load, Load)> {
    let listener = TcpListener::bind("127.0.0.1:0").await?;
    let address = listener.local_addr()?;
    let words = [OsStr::new("burnday"), OsStr::new("--log=off"), OsStr::new("--data"), folder.as_os_str()];
    let config = Config { listen: address, ..Cli::try_parse_from(words)?.config };
    let db = Db::open(folder).await?;
    let app = App::new(db.clone(), Clock::standing_at(NOW), config)?;
    let links = demo::fill(&app, NOW).await.map_err(|error| anyhow!("fill the demo: {error:?}"))?;
    let (_, secret) = links.first().context("the demo has a link for each role")?;
    let event = events::current(db.read()).await.map_err(|error| anyhow!("find the event: {error:?}"))?;
    let event = event.context("the demo has an event")?;
    let service = server::router(app).into_make_service_with_connect_info::<SocketAddr>();
    tokio::spawn(async move { axum::serve(listener, service).await });

    // Signs in as a browser does, with the demo's own link.
    let mut browser = TcpStream::connect(address).await?;
    let enter = format!(
        "POST /enter/{} HTTP/1.1\r\nhost: {address}\r\nsec-fetch-site: same-origin\r\ncontent-length: 0\r\n\r\n",
        secret.reveal()
    );
    let (head, _) = ask(&mut browser, &enter, &mut Vec::new()).await?;
    let cookie = header(&head, "set-cookie").and_then(|cookie| cookie.split(';').next()).context("no cookie came")?;
    let request = format!("GET {} HTTP/1.1\r\nhost: {address}\r\ncookie: {cookie}\r\n\r\n", event.href());
    let request: Arc<str> = request.into();
    let mut body = Vec::new();
    let (head, length) = ask(&mut browser, &request, &mut body).await?;
    println!("The page is {length} bytes long, and its answer begins: {}", head.lines().next().unwrap_or_default());

    let (_, value) = cookie.split_once('=').context("a cookie has a value")?;
    let bare = Bare {
        db: db.read().clone(),
        session: Secret::read(value).context("the cookie holds a secret")?.hash(),
        event: event.id,
        headers: headers(&head)?,
        page: body.into(),
    };
    let listener = TcpListener::bind("127.0.0.1:0").await?;
    let beside = listener.local_addr()?;
    let router = Router::new().route("/events/{id}", get(answer)).with_state(Arc::new(bare));
    tokio::spawn(async move { axum::serve(listener, router).await });
    Ok((Load::on(address, &request).await?, Load::on(beside, &request).await?))
}

/// What the bare handler knows in advance.
struct Bare {
    db: SqlitePool,
    session: Vec<u8>,
    event: i64,
    headers: HeaderMap,
    page: Bytes,
}

async fn answer(State(bare): State<Arc<Bare>>) -> (HeaderMap, Bytes) {
    select(&bare).await.expect("the app has run the same");
    (bare.headers.clone(), bare.page.clone())
}

/// Reads the rows and drops them.
#[expect(
    clippy::disallowed_methods,
    reason = "the checked macros would decode the rows, and this should only read them"
)]
async fn select(bare: &Bare) -> sqlx::Result<()> {
    let [session, event, closed_days, tasks, links, permits, sendings] = SELECTS.map(|(select, _)| select);
    let (at, idle_since) = (NOW.unix_timestamp(), 0);
    sqlx::query(session).bind(&bare.session).bind(at).bind(idle_since).fetch_optional(&bare.db).await?;
    sqlx::query(event).bind(bare.event).fetch_optional(&bare.db).await?;
    sqlx::query(closed_days).fetch_all(&bare.db).await?;
    let mut one = bare.db.acquire().await?;
    sqlx::query(tasks).bind(bare.event).fetch_all(&mut *one).await?;
    sqlx::query(links).bind(bare.event).fetch_all(&mut *one).await?;
    sqlx::query(permits).bind(bare.event).fetch_all(&mut *one).await?;
    sqlx::query(sendings).bind(bare.event).fetch_all(&mut *one).await?;
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
