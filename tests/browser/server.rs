//! The real program, on a free port and in a folder of its own.

use burnday::web::link::{LinkKey, Opens};
use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

pub struct Server {
    process: Child,
    /// Where it serves, without a slash at the end.
    pub base: String,
    /// What it printed at the start.
    printed: Vec<String>,
    folder: TempDir,
}

impl Server {
    /// One that waits to be set up.
    pub fn fresh(program: impl AsRef<Path>) -> Self {
        Self::start(program.as_ref(), &["serve", "--data"])
    }

    /// The demo.
    pub fn demo(program: impl AsRef<Path>) -> Self {
        Self::start(program.as_ref(), &["demo", "--folder"])
    }

    /// The last word is the flag that takes the folder.
    fn start(program: &Path, words: &[&str]) -> Self {
        // Between choosing a free port and listening on it, another test may
        // have taken it.
        let started = (0..5).find_map(|_| Self::try_start(program, words));
        started.unwrap_or_else(|| panic!("{} {words:?} doesn't start", program.display()))
    }

    fn try_start(program: &Path, words: &[&str]) -> Option<Self> {
        let folder = TempDir::new().unwrap();
        let address = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap();
        let mut process = Command::new(program)
            // No setting of whoever runs the tests.
            .env_clear()
            .args(words)
            .arg(folder.path())
            .args(["--listen", &address.to_string(), "--log", "warn"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut printed = Vec::new();
        for line in BufReader::new(process.stdout.take().unwrap()).lines() {
            let line = line.unwrap();
            if line.starts_with("Stop with") {
                return Some(Self { process, base: format!("http://{address}"), printed, folder });
            }
            printed.push(line);
        }
        process.wait().unwrap();
        None
    }

    /// Where the emailed link of the first question of a kind leads.
    pub fn answer(&self, kind: &str) -> String {
        let request: i64 =
            self.ask_store(&format!("select min(id) from request where kind = '{kind}'")).parse().unwrap();
        let key = LinkKey::of(self.folder.path()).unwrap();
        format!("/answer/{}", key.secret(Opens::Question, request, 1).reveal())
    }

    /// Where the emailed link of a call sheet leads.
    pub fn call_sheet(&self, number: i64) -> String {
        let key = LinkKey::of(self.folder.path()).unwrap();
        format!("/call-sheet/{}", key.secret(Opens::CallSheet, number, 1).reveal())
    }

    /// The address of every link in every mail it has written.
    pub fn mailed_links(&self) -> Vec<String> {
        let store = self.folder.path().join(burnday::db::FILE);
        let words = ["-readonly", store.to_str().unwrap(), "select text, html from mail"];
        let out = Command::new("sqlite3").args(words).output().unwrap();
        let key = LinkKey::of(self.folder.path()).unwrap();
        let all = key.fill(&String::from_utf8(out.stdout).unwrap(), &self.base);
        let address = |rest: &str| -> String {
            rest.chars().take_while(|c| c.is_ascii_alphanumeric() || "/-_".contains(*c)).collect()
        };
        let mut links: Vec<String> = all.split(&self.base).skip(1).map(address).collect();
        links.sort();
        links.dedup();
        links
    }

    /// Everything in its store, as text.
    pub fn dump(&self) -> String {
        let store = self.folder.path().join(burnday::db::FILE);
        let out = Command::new("sqlite3").arg("-readonly").arg(store).arg(".dump").output().unwrap();
        String::from_utf8(out.stdout).unwrap()
    }

    /// What its store says.
    fn ask_store(&self, query: &str) -> String {
        let store = self.folder.path().join(burnday::db::FILE);
        let out = Command::new("sqlite3").arg("-readonly").arg(store).arg(query).output().unwrap();
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
        String::from_utf8(out.stdout).unwrap().trim().to_owned()
    }

    /// Changes its store beside it.
    pub fn sql(&self, sql: &str) {
        let store = self.folder.path().join(burnday::db::FILE);
        let out =
            Command::new("sqlite3").args(["-bail", "-cmd", ".timeout 5000"]).arg(store).arg(sql).output().unwrap();
        assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    }

    /// From now on the burn was yesterday, and everybody who was asked about it
    /// was asked about that day.
    pub fn burned_yesterday(&self) {
        self.sql(
            "update ask set for_on = date('now', '-1 day')
             where for_on = (select burn_on from event where id = 1);
             update event set burn_on = date('now', '-1 day'), rain_on = null where id = 1;",
        );
    }

    /// The link it printed for somebody; the only one for "".
    pub fn link(&self, whose: &str) -> &str {
        let line = self.printed.iter().find(|line| line.trim().starts_with(whose) && line.contains(&self.base));
        let line = line.unwrap_or_else(|| panic!("no link for {whose:?} in {:#?}", self.printed));
        line.split_whitespace().last().unwrap()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}
