//! A disk that takes nothing more, and a store that something else holds: pages
//! are read, nothing that was typed is lost, and all is well again by itself. By
//! the program itself, whose files the system lets grow no further.

use crate::crash::prepare;
use crate::program::{Serving, ask, serve_by};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

const BURNDAY: &str = env!("CARGO_BIN_EXE_burnday");
const TYPED: &str = "The+gate+code+is+on+the+board";

/// A store with an event and a session, served.
struct Place {
    folder: TempDir,
    serving: Serving,
    cookie: String,
    task: i64,
}

/// The program, which a file that may not grow doesn't end: a write fails instead,
/// as on a full disk.
fn unlimited() -> Command {
    let mut command = Command::new("sh");
    command.args(["-c", "trap '' XFSZ; exec \"$0\" \"$@\"", BURNDAY]);
    command
}

impl Place {
    async fn served() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (cookie, tasks) = prepare(&folder.path().join("data")).await;
        let serving = serve_by(unlimited(), &folder.path().join("data"), &folder.path().join("log"));
        Self { folder, serving, cookie, task: tasks[0] }
    }

    fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    fn get(&self, path: &str) -> String {
        let Self { serving, cookie, .. } = self;
        let host = serving.address;
        ask(host, &format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nConnection: close\r\n\r\n"))
    }

    /// Adds a note to the task.
    fn note(&self) -> String {
        let Self { serving, cookie, task, .. } = self;
        let (host, body) = (serving.address, format!("text={TYPED}"));
        let request = format!(
            "POST /events/1/tasks/{task}/notes HTTP/1.1\r\nHost: {host}\r\nSec-Fetch-Site: same-origin\r\n\
             Cookie: {cookie}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\n\
             Content-Length: {}\r\n\r\n{body}",
            body.len()
        );
        ask(host, &request)
    }

    /// No file of the program may be longer than this.
    fn limit(&self, bytes: &str) {
        let pid = self.serving.child.id().to_string();
        let done = Command::new("prlimit").args(["--pid", &pid, &format!("--fsize={bytes}:unlimited")]).status();
        assert!(done.unwrap().success());
    }

    fn sql(&self, sql: &str) -> String {
        sql_in(&self.data(), sql)
    }
}

fn sql_in(data: &Path, sql: &str) -> String {
    let path = data.join(burnday::db::FILE);
    let done = Command::new("sqlite3").args(["-cmd", ".timeout 5000"]).arg(path).arg(sql).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).unwrap().trim().to_owned()
}

fn is(answer: &str, status: u16) -> bool {
    answer.starts_with(&format!("HTTP/1.1 {status}"))
}

fn wait_for(what: &str, mut holds: impl FnMut() -> bool) {
    let until = Instant::now() + Duration::from_mins(1);
    while !holds() {
        assert!(Instant::now() < until, "{what}");
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[tokio::test]
async fn on_a_full_disk_pages_are_read_and_what_was_typed_is_kept() {
    let place = Place::served().await;
    assert!(is(&place.note(), 303));
    assert!(is(&place.get("/health"), 200));
    let reserve = place.data().join("reserve");
    wait_for("the reserve is made", || reserve.exists());
    // Idle for an hour: that somebody was here is to be noted again.
    place.sql("update session set seen_at = seen_at - 3600");
    let log = place.data().join("burnday.db-wal");
    place.limit(&std::fs::metadata(log).unwrap().len().to_string());

    let page = place.get("/events/1");
    assert!(is(&page, 200), "{page}");
    let kept = place.note();
    assert!(is(&kept, 503) && kept.to_lowercase().contains("retry-after: 60"), "{kept}");
    assert!(kept.contains("The gate code is on the board") && kept.contains("data-kept"), "{kept}");
    assert!(place.get("/events/1").contains("id=\"trouble\""), "a banner says so");
    let health = place.get("/health");
    assert!(is(&health, 503) && health.contains("failing"), "{health}");
    assert_eq!(place.sql("select count(*) from task_note"), "1");
    assert!(!reserve.exists(), "it was given up first");

    place.limit("unlimited");
    assert!(is(&place.note(), 303));
    wait_for("all is well by itself", || is(&place.get("/health"), 200));
    assert!(reserve.exists());
    assert!(!place.get("/events/1").contains("id=\"trouble\""));
    assert_eq!(place.sql("select count(*) from task_note"), "2");
}

#[tokio::test]
async fn a_copy_that_fails_leaves_nothing_that_could_pass_for_one() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    prepare(&data).await;
    let into = folder.path().join("copy");
    let half = std::fs::metadata(data.join(burnday::db::FILE)).unwrap().len() / 2;
    let backup = |command: &mut Command| command.args(["backup", into.to_str().unwrap(), "--data"]).arg(&data).output();
    let limited = format!("trap '' XFSZ; exec prlimit --fsize={half} \"$0\" \"$@\"");
    let made = backup(Command::new("sh").args(["-c", &limited, BURNDAY])).unwrap();
    assert!(!made.status.success());
    assert!(!into.exists(), "{:?}", std::fs::read_dir(&into).unwrap().collect::<Vec<_>>());
    assert!(backup(&mut Command::new(BURNDAY)).unwrap().status.success());
}

#[tokio::test]
async fn while_something_else_holds_the_store_pages_are_read_and_a_press_is_told_to_wait() {
    let place = Place::served().await;
    place.sql("update session set seen_at = seen_at - 3600");
    let path = place.data().join(burnday::db::FILE);
    let mut other = Command::new("sqlite3").arg(path).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    let mut shell = other.stdin.take().unwrap();
    writeln!(shell, "begin immediate; select 'held';").unwrap();
    shell.flush().unwrap();
    let mut said = [0; 4];
    std::io::Read::read_exact(other.stdout.as_mut().unwrap(), &mut said).unwrap();

    assert!(is(&place.get("/events/1"), 200));
    let told = place.note();
    assert!(is(&told, 503) && told.to_lowercase().contains("retry-after: 5"), "{told}");
    assert!(is(&place.get("/events/1"), 200), "the session goes on");
    drop(shell);
    other.wait().unwrap();
    assert!(is(&place.note(), 303));
}
