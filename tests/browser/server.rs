//! The real program, on a free port and with its own folder.

use burnday::clock::Clock;
use burnday::web::link::{LinkKey, Opens};
use burnday::web::words;
use burnday::zone::Zone;
use serde_json::Value;
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::Mutex;
use tempfile::TempDir;
use time::Duration;

/// An email it has written.
#[derive(Debug, Clone)]
pub struct Mail {
    id: i64,
    /// Its kind: the first word of its key.
    pub what: String,
    pub to: String,
    pub subject: String,
    pub text: String,
    /// The paths of its links.
    pub links: BTreeSet<String>,
    /// The program writes these when they are due, no matter what a test does.
    is_reminder: bool,
}

pub struct Server {
    process: Child,
    /// Its address, without a slash at the end.
    pub base: String,
    /// What it printed when it started.
    printed: Vec<String>,
    /// The emails the test has read, and those that were there at the start.
    read: Mutex<BTreeSet<i64>>,
    folder: TempDir,
}

impl Server {
    /// A server that isn't set up yet.
    pub fn fresh(program: impl AsRef<Path>) -> Self {
        Self::start(program.as_ref(), &["serve", "--data"])
    }

    /// The demo.
    pub fn demo(program: impl AsRef<Path>) -> Self {
        Self::start(program.as_ref(), &["demo", "--folder"])
    }

    /// The last word is the flag that takes the folder.
    fn start(program: &Path, words: &[&str]) -> Self {
        let folder = TempDir::new().unwrap();
        let mut process = Command::new(program)
            // No settings of whoever runs the tests.
            .env_clear()
            .args(words)
            .arg(folder.path())
            // It chooses a free port and prints it.
            .args(["--listen", "127.0.0.1:0", "--log", "warn"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(process.stdout.take().unwrap()).lines().map(Result::unwrap);
        let printed: Vec<String> = lines.take_while(|line| !line.contains("Ctrl+C")).collect();
        let base = printed.iter().find_map(|line| {
            let from = line.find("http://127.0.0.1:")?;
            line[from..].match_indices('/').nth(2).map(|(end, _)| line[from..from + end].to_owned())
        });
        let base = base.unwrap_or_else(|| panic!("{} {words:?} doesn't start: {printed:#?}", program.display()));
        let server = Self { process, base, printed, read: Mutex::default(), folder };
        server.new_mails();
        server
    }

    /// The path of the emailed link to the first question of a kind.
    pub fn answer(&self, kind: &str) -> String {
        let request: i64 =
            self.ask_store(&format!("select min(id) from request where kind = '{kind}'")).parse().unwrap();
        let key = LinkKey::of(self.folder.path()).unwrap();
        format!("/answer/{}", key.secret(Opens::Question, request, 1).reveal())
    }

    /// The path of the emailed link to a call sheet.
    pub fn call_sheet(&self, number: i64) -> String {
        let key = LinkKey::of(self.folder.path()).unwrap();
        format!("/call-sheet/{}", key.secret(Opens::CallSheet, number, 1).reveal())
    }

    /// Every email it has written.
    pub fn mails(&self) -> Vec<Mail> {
        let rows = self.ask_store(
            "select json_group_array(json_array(id, dedup, to_address, subject, text, html, kind = 'reminder')) from mail",
        );
        let key = LinkKey::of(self.folder.path()).unwrap();
        let rows: Vec<Value> = serde_json::from_str(&rows).unwrap();
        let mail = |row: &Value| {
            let word = |at: usize| row[at].as_str().unwrap();
            let filled = |at: usize| key.fill(word(at), &self.base);
            let both = filled(4) + &filled(5);
            let address = |rest: &str| -> String {
                rest.chars().take_while(|c| c.is_ascii_alphanumeric() || "/-_".contains(*c)).collect()
            };
            Mail {
                id: row[0].as_i64().unwrap(),
                what: word(1).split(['/', ' ']).next().unwrap().to_owned(),
                to: word(2).to_owned(),
                subject: word(3).to_owned(),
                text: filled(4),
                links: both.split(&self.base).skip(1).map(address).collect(),
                is_reminder: row[6] == 1,
            }
        };
        rows.iter().map(mail).collect()
    }

    /// The emails the test hasn't read yet, oldest first. It has to read those it causes.
    pub fn new_mails(&self) -> Vec<Mail> {
        let mut read = self.read.lock().unwrap();
        self.mails().into_iter().filter(|mail| read.insert(mail.id)).collect()
    }

    /// The same, which must be exactly these: the kind of each, and who it goes to.
    pub fn reads(&self, expected: &[(&str, &str)]) -> Vec<Mail> {
        let mut mails = self.new_mails();
        mails.retain(|mail| !mail.is_reminder);
        let mut came: Vec<(&str, &str)> = mails.iter().map(|mail| (mail.what.as_str(), mail.to.as_str())).collect();
        came.sort_unstable();
        let mut expected = expected.to_vec();
        expected.sort_unstable();
        assert_eq!(came, expected);
        mails
    }

    /// The same, which must be at least one, all of this kind.
    pub fn reads_only(&self, what: &str) -> Vec<Mail> {
        let mut mails = self.new_mails();
        mails.retain(|mail| !mail.is_reminder);
        assert!(!mails.is_empty() && mails.iter().all(|mail| mail.what == what), "{what} alone: {mails:#?}");
        mails
    }

    /// Everything in its store, as text.
    pub fn dump(&self) -> String {
        let store = self.folder.path().join(burnday::db::FILE);
        let out = Command::new("sqlite3").arg("-readonly").arg(store).arg(".dump").output().unwrap();
        String::from_utf8(out.stdout).unwrap()
    }

    /// The answer of its store to a query.
    pub fn ask_store(&self, query: &str) -> String {
        let store = self.folder.path().join(burnday::db::FILE);
        let out = Command::new("sqlite3").arg("-readonly").arg(store).arg(query).output().unwrap();
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        String::from_utf8(out.stdout).unwrap().trim().to_owned()
    }

    /// Changes its store while it runs.
    pub fn sql(&self, sql: &str) {
        let store = self.folder.path().join(burnday::db::FILE);
        let out =
            Command::new("sqlite3").args(["-bail", "-cmd", ".timeout 5000"]).arg(store).arg(sql).output().unwrap();
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    }

    /// Moves the burn to this many days from now, or ago, and everyone who was asked about
    /// it was asked about that day.
    pub fn burns_in(&self, days: i64) {
        let zone = Zone::named(&self.ask_store("select zone from event where id = 1")).unwrap();
        let day = words::iso(zone.today(Clock::System.now()) + Duration::days(days));
        self.sql(&format!(
            "update ask set for_on = '{day}' where for_on = (select burn_on from event where id = 1);
             update event set burn_on = '{day}', rain_on = null where id = 1;",
        ));
    }

    /// Moves the burn to a place where it is about noon, when email may go out.
    pub fn goes_where_it_is_noon(&self) {
        // The names of these zones count to the west.
        self.sql("update event set zone = printf('Etc/GMT%+d', strftime('%H', 'now') - 12) where id = 1");
    }

    /// The link it printed for someone; for "", the only one.
    pub fn link(&self, whose: &str) -> &str {
        let line = self.printed.iter().find(|line| line.trim().starts_with(whose) && line.contains(&self.base));
        let line = line.unwrap_or_else(|| panic!("no link for {whose:?} in {:#?}", self.printed));
        line.split_whitespace().last().unwrap()
    }
}

impl Drop for Server {
    /// An email no test reads could say anything, so it fails the test.
    fn drop(&mut self) {
        let unread = if std::thread::panicking() { Vec::new() } else { self.new_mails() };
        let _ = self.process.kill();
        let _ = self.process.wait();
        let unread = unread.iter().filter(|mail| !mail.is_reminder);
        let unread: Vec<String> =
            unread.map(|mail| format!("{} to {}: {}", mail.what, mail.to, mail.subject)).collect();
        assert!(unread.is_empty(), "the test didn't read these emails; read them with Server::new_mails: {unread:#?}");
    }
}
