//! Conversations with a relay over TLS: what may be sent in the clear, and what the officer
//! reads when it isn't the right relay. Tested with the program itself, which learns from
//! the environment whom to trust.

use crate::crash::prepare;
use crate::mail_kill::states;
use crate::program::{PATIENCE, Serving, ask, start};
use crate::support::post::letter;
use crate::support::{self, Answer, Authority, Heard, Relay, Reply, Tls};
use axum::http::HeaderMap;
use burnday::clock::Clock;
use burnday::mail::{Letter, queue};
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;
use tempfile::TempDir;

const HOST: &str = "127.0.0.1";
const USER: &str = "burn";
const PASSWORD: &str = "hunter2canary";

/// A store with one letter that is due, and a file with trusted certificates.
struct House {
    folder: TempDir,
    cookie: String,
}

impl House {
    async fn trusting(authority: &Authority) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let house = Self { cookie: prepare(&folder.path().join("data")).await.0, folder };
        std::fs::write(house.at("trusted.pem"), &authority.pem).unwrap();
        let app = support::open(&house.at("data"), &[]).await;
        let now = Clock::System.now();
        // Urgent, since this test may run at night.
        let due = Letter { urgent: true, due_at: now, not_after: now + time::Duration::DAY, ..letter(1) };
        app.db.write(move |tx| Box::pin(async move { queue(tx, &due, now).await })).await.unwrap().unwrap();
        app.db.close().await;
        house
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The program, sending through this relay.
    fn serve(&self, url: &str) -> Serving {
        let mut command = Command::new(env!("CARGO_BIN_EXE_burnday"));
        command.env("SSL_CERT_FILE", self.at("trusted.pem")).env_remove("SSL_CERT_DIR");
        command.env("BURNDAY_MAIL_URL", url).args(["--mail-from", "burn@example.org", "--log", "trace"]);
        start(command, &self.at("data"), &self.at("log"))
    }

    async fn until_sent(&self) {
        let begun = Instant::now();
        while states(&self.at("data")).get("sent") != Some(&1) {
            let log = || std::fs::read_to_string(self.at("log")).unwrap();
            assert!(begun.elapsed() < PATIENCE, "{:?}\n{}", states(&self.at("data")), log());
            tokio::time::sleep(std::time::Duration::from_millis(20)).await;
        }
    }

    /// What the Email page says about the relay, once there is trouble with it. The letter
    /// waits, and no password is shown or logged.
    async fn trouble(&self, serving: &Serving) -> String {
        let (host, cookie) = (serving.address, &self.cookie);
        let request = format!("GET /mail HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n");
        let begun = Instant::now();
        loop {
            let answer = ask(host, &request);
            let body = answer.split_once("\r\n\r\n").map_or("", |(_, body)| body).to_owned();
            let page = Answer { status: 200, headers: HeaderMap::new(), body, bytes: Vec::new() };
            if page.has("[data-note='relay trouble']") {
                assert_eq!(states(&self.at("data")).get("waiting"), Some(&1), "the letter waits");
                let log = std::fs::read_to_string(self.at("log")).unwrap();
                assert!(!page.body.contains(PASSWORD) && !log.contains(PASSWORD));
                return page.text("#relay-says");
            }
            assert!(begun.elapsed() < PATIENCE, "the Email page says nothing about the relay: {answer}");
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
    }
}

fn url(scheme: &str, password: &str, relay: &Relay) -> String {
    format!("{scheme}://{USER}:{password}@{}", relay.address)
}

/// The verbs that came in the clear.
fn in_the_clear(relay: &Relay) -> Vec<String> {
    let heard = relay.heard().into_iter().filter(|heard| !heard.is_private);
    heard.map(|heard| heard.line.split(' ').next().unwrap().to_owned()).collect()
}

fn private(relay: &Relay) -> Vec<Heard> {
    relay.heard().into_iter().filter(|heard| heard.is_private).collect()
}

/// Both ways to TLS (RFC 3207, RFC 8314), both ways to sign in.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_letter_goes_to_a_trusted_relay_and_nothing_of_it_in_the_clear() {
    let authority = Authority::named("Ours");
    for mechanism in ["PLAIN", "LOGIN"] {
        for scheme in ["smtp", "smtps"] {
            let server = authority.server(HOST);
            let tls = if scheme == "smtp" { Tls::Offered(server) } else { Tls::Wrapped(server) };
            let relay = Relay::secured(tls, Some((USER, PASSWORD, mechanism)), |_, _| None).await;
            let house = House::trusting(&authority).await;
            let serving = house.serve(&url(scheme, PASSWORD, &relay));
            house.until_sent().await;
            serving.stop();
            let clear: &[&str] = if scheme == "smtp" { &["EHLO", "STARTTLS"] } else { &[] };
            assert_eq!(in_the_clear(&relay), clear, "{scheme} {mechanism}");
            let taken = relay.taken();
            assert_eq!(taken.len(), 1);
            assert_eq!(taken[0].to, "wren1@example.org");
            assert!(String::from_utf8_lossy(&taken[0].text).contains("The walk-through is on Friday"));
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_wrong_password_is_told_and_the_right_one_sends_what_waited() {
    let authority = Authority::named("Ours");
    for mechanism in ["PLAIN", "LOGIN"] {
        let tls = Tls::Offered(authority.server(HOST));
        let relay = Relay::secured(tls, Some((USER, PASSWORD, mechanism)), |_, _| None).await;
        let house = House::trusting(&authority).await;
        let serving = house.serve(&url("smtp", "mistyped", &relay));
        let says = house.trouble(&serving).await;
        assert!(says.contains("--mail-url"), "it says where to put it right: {says}");
        assert!(says.contains("535 5.7.8 wrong user or password"), "the relay's own words follow: {says}");
        assert!(!says.contains("mistyped"));
        serving.stop();
        assert!(private(&relay).iter().all(|heard| !heard.line.starts_with("MAIL")), "{mechanism}");
        assert_eq!(relay.taken().len(), 0);
        let serving = house.serve(&url("smtp", PASSWORD, &relay));
        house.until_sent().await;
        serving.stop();
        assert_eq!(relay.taken().len(), 1, "{mechanism}");
    }
}

/// RFC 6125: it must be signed by someone trusted, for this host, and be valid now.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_relay_with_a_wrong_certificate_gets_nothing_and_the_mail_page_says_why() {
    let (trusted, unknown) = (Authority::named("Ours"), Authority::named("Somebody"));
    let house = House::trusting(&trusted).await;
    // In the library's words, which follow our own.
    let servers = [
        (unknown.server(HOST), "UnknownIssuer"),
        (trusted.server("relay.example.org"), "not valid for name"),
        (trusted.expired_server(HOST), "certificate expired"),
    ];
    let mut meanings = BTreeMap::new();
    for (server, why) in servers {
        for scheme in ["smtp", "smtps"] {
            let tls = if scheme == "smtp" { Tls::Offered(server.clone()) } else { Tls::Wrapped(server.clone()) };
            let relay = Relay::secured(tls, Some((USER, PASSWORD, "PLAIN")), |_, _| None).await;
            let serving = house.serve(&url(scheme, PASSWORD, &relay));
            let says = house.trouble(&serving).await;
            let (means, theirs) = says.split_once(" (").unwrap();
            assert!(theirs.contains(why) && !means.is_empty(), "{scheme}: {says}");
            assert_eq!(*meanings.entry(why).or_insert_with(|| means.to_owned()), means, "{scheme}");
            serving.stop();
            let clear = in_the_clear(&relay);
            assert!(clear.iter().all(|verb| verb == "EHLO" || verb == "STARTTLS"), "{scheme}: {clear:?}");
            assert_eq!(private(&relay), [], "{scheme}");
            assert_eq!(relay.taken().len(), 0);
        }
    }
    let meanings: Vec<String> = meanings.iter().map(|(why, means)| format!("{why}: {means}")).collect();
    insta::assert_snapshot!("what-a-wrong-certificate-means", meanings.join("\n"));
}

/// Someone along the way can add words before TLS starts that would be taken for the
/// relay's reply after it (RFC 3207, section 6).
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_is_said_before_tls_is_no_answer_to_what_is_said_after_it() {
    let authority = Authority::named("Ours");
    let house = House::trusting(&authority).await;
    let relay = Relay::secured(Tls::Offered(authority.server(HOST)), None, |step, _| {
        let more = "220 2.0.0 go on\r\n250-relay.example.org\r\n250 8BITMIME";
        (step == "STARTTLS").then(|| Reply::Say(more.to_owned()))
    })
    .await;
    let serving = house.serve(&format!("smtp://{}", relay.address));
    let says = house.trouble(&serving).await;
    assert!(!says.is_empty());
    serving.stop();
    let clear = in_the_clear(&relay);
    assert!(clear.iter().all(|verb| verb == "EHLO" || verb == "STARTTLS"), "{clear:?}");
    assert!(clear.iter().any(|verb| verb == "STARTTLS"), "it came that far: {clear:?}");
    assert_eq!(private(&relay), []);
    assert_eq!(relay.taken().len(), 0);
}
