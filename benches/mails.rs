//! Email through the outbox to a server on loopback, each message claimed, checked once more,
//! and settled on disk. Compared with a bare loop of lettre that sends the same bytes to the
//! same server and saves nothing.
#![expect(clippy::unwrap_used, reason = "a measurement ends where its server can't go on")]

mod ratio;
#[path = "../tests/it/support/relay.rs"]
#[expect(dead_code, reason = "the tests use more of it")]
mod relay;

use burnday::background::OUTSIDE;
use burnday::clock::Clock;
use burnday::config::{Cli, Config};
use burnday::db::Db;
use burnday::mail::{self, Kind, Letter, Mailbox, Mailer, Pace, Parts, Patience};
use burnday::state::App;
use clap::Parser;
use lettre::address::Envelope;
use lettre::{AsyncSmtpTransport, AsyncTransport, Tokio1Executor};
use relay::Relay;
use std::ffi::OsStr;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};
use time::OffsetDateTime;
use time::macros::datetime;
use tokio::runtime::Runtime;

#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// During the day, when email goes out.
const NOW: OffsetDateTime = datetime!(2027-06-01 15:00 UTC);
const ROUNDS: usize = 11;
const MAILS: u32 = 40;

fn main() -> anyhow::Result<()> {
    let runtime = Runtime::new()?;
    // In the build's folder, since the system's temporary folder may be in memory, where a
    // commit waits for nothing.
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR"))?;
    let relay = runtime.block_on(Relay::kind());
    let app = runtime.block_on(ours(folder.path(), &relay))?;
    ratio::compare(
        "emails to a server on loopback",
        "/s",
        &(0.9..=f64::INFINITY),
        ROUNDS,
        |_| runtime.block_on(bare(&relay)),
        |round| runtime.block_on(through(&app, round)),
    );
    println!("{} messages were taken", relay.taken().len());
    runtime.block_on(app.db.close());
    Ok(())
}

async fn ours(folder: &Path, relay: &Relay) -> anyhow::Result<App> {
    let url = format!("--mail-url={}", relay.url());
    let words = ["burnday", "--log=off", url.as_str(), "--mail-from=burn@example.org", "--data"];
    let words = words.map(OsStr::new).into_iter().chain([folder.as_os_str()]);
    let config: Config = Cli::try_parse_from(words)?.config;
    let span = Duration::from_secs(10);
    let pace = Pace {
        patience: Patience { command: span, text: span, after_dot: span, at_stop: span },
        connections: 4,
        // As fast as possible.
        rate: 1e6,
        burst: 1e6,
    };
    let mailer = Arc::new(Mailer::new(&config, pace).map_err(|why| anyhow::anyhow!("{why}"))?);
    let mut app = App::new(Db::open(folder).await?, Clock::standing_at(NOW), config)?;
    app.mailer = mailer;
    Ok(app)
}

/// Emails per second from the outbox, without queueing them.
async fn through(app: &App, round: usize) -> f64 {
    let letters: Vec<Letter> = (0..MAILS).map(|number| letter(&format!("{round} {number}"))).collect();
    let queue = app.db.write(move |tx| {
        Box::pin(async move {
            for letter in &letters {
                mail::queue(tx, letter, NOW).await?;
            }
            Ok(())
        })
    });
    queue.await.unwrap();
    let began = Instant::now();
    let sent = mail::pass(app, &OUTSIDE).await.unwrap();
    assert_eq!(sent, MAILS as usize);
    f64::from(MAILS) / began.elapsed().as_secs_f64()
}

fn letter(dedup: &str) -> Letter {
    let words = ["The engine bay doors stay shut.".to_owned()];
    let parts = Parts { hello: "Wren", lead: "The walk-through is on Friday", words: &words, ..Parts::default() };
    let olga = Mailbox { name: "Olga Wren".to_owned(), address: "olga@example.org".to_owned() };
    Letter {
        kind: Kind::Notice,
        event_id: None,
        person_id: None,
        request_id: None,
        facts_revision: None,
        dedup: dedup.to_owned(),
        to: Mailbox { name: "Wren Ibarra".to_owned(), address: "wren@example.org".to_owned() },
        reply_to: olga,
        subject: "Walk-through".to_owned(),
        body: mail::body(&parts).unwrap(),
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: NOW,
        not_after: NOW + Duration::from_hours(24),
    }
}

/// Emails per second of lettre alone, with its own pool, one after another.
async fn bare(relay: &Relay) -> f64 {
    let (host, port) = (relay.address.ip().to_string(), relay.address.port());
    let transport = AsyncSmtpTransport::<Tokio1Executor>::builder_dangerous(host).port(port).build();
    let from = "burn@example.org".parse().unwrap();
    let envelope = Envelope::new(Some(from), vec!["wren@example.org".parse().unwrap()]).unwrap();
    // Ours has sent first, except in the warm-up round.
    let written = relay.taken().first().map(|taken| taken.text.clone());
    let text = written.unwrap_or_else(|| b"Subject: Walk-through\r\n\r\nFriday.\r\n".to_vec());
    let began = Instant::now();
    for _ in 0..MAILS {
        transport.send_raw(&envelope, &text).await.unwrap();
    }
    f64::from(MAILS) / began.elapsed().as_secs_f64()
}
