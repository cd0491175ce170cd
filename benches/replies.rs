//! The list of replies for 5,000 questions, compared with the same list for 100. A page shows
//! as many lines of either, so it should take about as long.

mod ratio;

use anyhow::{Context, anyhow, ensure};
use axum::Router;
use axum::body::{Body, to_bytes};
use axum::extract::ConnectInfo;
use axum::http::{Request, StatusCode, header};
use burnday::asks::{self, Kind, NewQuestion};
use burnday::clock::Clock;
use burnday::config::{Cli, Config};
use burnday::db::journal::Actor;
use burnday::db::{Db, Tx};
use burnday::events::{self, Event};
use burnday::people::{self, Details};
use burnday::state::App;
use burnday::web::link::LinkKey;
use burnday::{demo, server};
use clap::Parser;
use std::cell::Cell;
use std::ffi::OsStr;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use std::time::Instant;
use time::OffsetDateTime;
use time::macros::datetime;
use tokio::runtime::Runtime;
use tower::ServiceExt;

#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

const NOW: OffsetDateTime = datetime!(2027-06-01 15:00 UTC);
const ROUNDS: usize = 41;
const FEW: usize = 100;
const MANY: usize = 5_000;
const LIST: &str = "/events/1/replies";
const QUESTION: &str = "Can you walk the spectator line?";

fn main() -> anyhow::Result<()> {
    let runtime = Runtime::new()?;
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let few = runtime.block_on(Site::with(&folder.path().join("few"), FEW))?;
    let many = runtime.block_on(Site::with(&folder.path().join("many"), MANY))?;
    for site in [&few, &many] {
        println!("A page of {} questions has {} bytes", site.asks.len(), runtime.block_on(site.look())?.1);
    }
    let look = |site: &Site| runtime.block_on(site.look()).expect("the list answers").0;
    ratio::compare("replies: 5,000 asks to 100", "ms", &(0.0..=3.0), ROUNDS, |_| look(&few), |_| look(&many));
    // After a change, all of it is read again.
    let press = |site: &Site| {
        runtime.block_on(site.press()).expect("an answer is taken");
        look(site)
    };
    let growth = 0.0..=f64::INFINITY;
    ratio::compare("the same after an answer", "ms", &growth, ROUNDS / 4, |_| press(&few), |_| press(&many));
    runtime.block_on(few.app.db.close());
    runtime.block_on(many.app.db.close());
    Ok(())
}

/// The demo's app with more questions, and a browser of its education officer.
struct Site {
    app: App,
    service: Router,
    cookie: String,
    /// Questions and their asks.
    asks: Vec<(i64, i64)>,
    pressed: Cell<usize>,
}

impl Site {
    async fn with(folder: &Path, questions: usize) -> anyhow::Result<Self> {
        let words = [OsStr::new("burnday"), OsStr::new("--log=off"), OsStr::new("--data"), folder.as_os_str()];
        let config: Config = Cli::try_parse_from(words)?.config;
        let app = App::new(Db::open(folder).await?, Clock::standing_at(NOW), config)?;
        let links = demo::fill(&app, NOW).await.map_err(|error| anyhow!("fill the demo: {error:?}"))?;
        let event = events::find(app.db.read(), 1).await.map_err(|error| anyhow!("read the event: {error:?}"))?;
        let (event, key) = (event.context("the demo has an event")?, app.link_key.clone());
        let ask = app.db.write(move |tx| Box::pin(async move { ask_many(tx, &event, questions, &key).await }));
        ask.await.map_err(|error| anyhow!("ask people: {error:?}"))?;
        let requests = asks::of_event(&mut *app.db.read().acquire().await?, 1).await;
        let requests = requests.map_err(|error| anyhow!("read the questions: {error:?}"))?;
        let asked = requests.iter().filter(|request| request.question == QUESTION);
        let asks = asked.filter_map(|request| Some((request.id, request.asks.first()?.id))).collect();
        let (_, secret) = links.first().context("the demo has a link for each role")?;
        let service = server::router(app.clone());
        let mut site = Self { app, service, cookie: String::new(), asks, pressed: Cell::new(0) };
        let entered = site.send("POST", &format!("/enter/{}", secret.reveal()), String::new()).await?;
        let cookie = entered.headers().get(header::SET_COOKIE).context("no cookie came")?.to_str()?;
        cookie.split(';').next().unwrap_or_default().clone_into(&mut site.cookie);
        Ok(site)
    }

    async fn send(&self, method: &str, path: &str, body: String) -> anyhow::Result<axum::response::Response> {
        let mut request = Request::builder()
            .method(method)
            .uri(path)
            .header(header::HOST, "127.0.0.1:8080")
            .header("sec-fetch-site", "same-origin")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .header(header::COOKIE, &self.cookie)
            .body(Body::from(body))?;
        request.extensions_mut().insert(ConnectInfo(SocketAddr::from((Ipv4Addr::LOCALHOST, 4000))));
        self.service.clone().oneshot(request).await.context("the app answers")
    }

    /// Loads the list. Returns the milliseconds it took and its length.
    async fn look(&self) -> anyhow::Result<(f64, usize)> {
        let began = Instant::now();
        let page = self.send("GET", LIST, String::new()).await?;
        ensure!(page.status() == StatusCode::OK, "{}", page.status());
        let body = to_bytes(page.into_body(), usize::MAX).await?;
        Ok((began.elapsed().as_secs_f64() * 1e3, body.len()))
    }

    /// Presses a button of the next question.
    async fn press(&self) -> anyhow::Result<()> {
        let turn = self.pressed.get();
        self.pressed.set(turn + 1);
        let (request, ask) = self.asks[turn % self.asks.len()];
        let answer = self.send("POST", &format!("{LIST}/{request}/answers"), format!("say={ask}+yes")).await?;
        ensure!(answer.status() == StatusCode::SEE_OTHER, "{}", answer.status());
        Ok(())
    }
}

/// A third of the people have no email, so they are to be called.
async fn ask_many(tx: &mut Tx, event: &Event, questions: usize, key: &LinkKey) -> burnday::error::Result<()> {
    let question = NewQuestion {
        kind: Kind::Post,
        question: QUESTION.to_owned(),
        facts: vec![("Time".to_owned(), "07:00 to 13:00".to_owned())],
        words: String::new(),
        closes_at: asks::Closings::default().last(Kind::Post, event, NOW),
        dates: [Some(event.details.burn_on), event.details.rain_on].into_iter().flatten().collect(),
    };
    for number in 0..questions {
        let mail = if number % 3 == 0 { String::new() } else { format!("someone{number}@example.org") };
        let details =
            Details { mail, phone: "(555) 555-0133".to_owned(), ..Details::of_name(&format!("Someone {number}")) };
        let person = people::add(tx, Actor::Account(1), &details, NOW).await?;
        asks::ask(tx, 1, event, person, &question, key, NOW).await?;
    }
    Ok(())
}
