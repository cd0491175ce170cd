//! The program is killed in the middle of changes, again and again, on a real
//! file: what was answered is there.

use crate::program::{PATIENCE, start};
use crate::support::{self, Browser, OFFICER};
use burnday::accounts::{self, Purpose};
use burnday::db::journal::Actor;
use std::collections::HashMap;
use std::net::SocketAddr;
use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::time::timeout;

const KILLS: u64 = 50;
const WRITERS: usize = 4;
/// In each life, at least this many changes are answered.
const ANSWERS: usize = 12;

/// What the writers know: the last answered state of their task, the one under
/// way, and every note that was answered.
#[derive(Default)]
struct Known {
    answered: HashMap<i64, &'static str>,
    under_way: HashMap<i64, &'static str>,
    notes: Vec<String>,
    /// Answers so far.
    answers: usize,
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn fifty_kills_lose_no_change_that_was_answered() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    let (cookie, tasks) = prepare(&data).await;
    let known = Arc::new(Mutex::new(Known::default()));
    for kill in 0..KILLS {
        let mut server = start(Command::new(env!("CARGO_BIN_EXE_burnday")), &data, &folder.path().join("log"));
        let address = server.address;
        let stop = Arc::new(AtomicBool::new(false));
        let mut writers = tokio::task::JoinSet::new();
        for (writer, task) in tasks.iter().copied().enumerate() {
            let (known, stop, cookie) = (Arc::clone(&known), Arc::clone(&stop), cookie.clone());
            let name = format!("{kill}-{writer}");
            writers.spawn(async move { write(address, &cookie, task, &name, &known, &stop).await });
        }
        // Once changes flow, somewhere in the life of a request.
        let before = known.lock().unwrap().answers;
        let flow = async {
            while known.lock().unwrap().answers < before + ANSWERS {
                tokio::time::sleep(Duration::from_millis(1)).await;
            }
        };
        let flowed = timeout(PATIENCE, flow).await;
        let said = || std::fs::read_to_string(folder.path().join("log")).unwrap();
        assert!(flowed.is_ok(), "life {kill}: fewer than {ANSWERS} changes were answered\n{}", said());
        tokio::time::sleep(Duration::from_micros(kill * 370 % 19_000)).await;
        server.child.kill().unwrap();
        stop.store(true, Ordering::SeqCst);
        server.child.wait().unwrap();
        assert!(
            timeout(PATIENCE, writers.join_all()).await.is_ok(),
            "life {kill}: a writer waits for a killed program"
        );
        verify(&data, &mut known.lock().unwrap());
    }
    let checked = Command::new(env!("CARGO_BIN_EXE_burnday")).args(["check", "--data"]).arg(&data).output().unwrap();
    assert!(checked.status.success(), "{}", String::from_utf8_lossy(&checked.stdout));
}

pub async fn prepare(data: &Path) -> (String, Vec<i64>) {
    let app = support::open(data, &[]).await;
    app.clock.set(burnday::clock::Clock::System.now());
    support::set_up(&app).await;
    support::plan(&app).await;
    support::long_ago(&app).await;
    let account = accounts::find_by_mail(app.db.read(), OFFICER).await.unwrap().unwrap();
    let now = app.clock.now();
    let link = app.db.write(move |tx| {
        Box::pin(async move { accounts::make_link(tx, Actor::System, &account, Purpose::Demo, now).await })
    });
    let mut browser = Browser::new(app.clone());
    browser.post(&format!("/enter/{}", link.await.unwrap().reveal()), &[]).await;
    let tasks = app.db.write(|tx| Box::pin(burnday::countdown::tasks_in(tx, 1))).await.unwrap();
    app.db.close().await;
    let cookie = format!("burnday={}", browser.cookies["burnday"]);
    (cookie, tasks.iter().take(WRITERS).map(|task| task.id).collect())
}

/// Posts states and notes until the program is gone; how many were answered.
async fn write(address: SocketAddr, cookie: &str, task: i64, name: &str, known: &Mutex<Known>, stop: &AtomicBool) {
    for n in 0.. {
        if stop.load(Ordering::SeqCst) {
            break;
        }
        let state = ["waiting", "done", "to+do"][n % 3];
        let stored = ["waiting", "done", "to do"][n % 3];
        known.lock().unwrap().under_way.insert(task, stored);
        if !post(
            address,
            cookie,
            &format!("/events/1/tasks/{task}/state"),
            &format!("state={state}&waiting_for=the+county"),
        )
        .await
        {
            break;
        }
        let note = format!("note {name} {n}");
        {
            let mut known = known.lock().unwrap();
            known.under_way.remove(&task);
            known.answered.insert(task, stored);
            known.answers += 1;
        }
        let body = format!("text={}", note.replace(' ', "+"));
        if !post(address, cookie, &format!("/events/1/tasks/{task}/notes"), &body).await {
            break;
        }
        let mut known = known.lock().unwrap();
        known.notes.push(note);
        known.answers += 1;
    }
}

/// True when the program said that the change is kept.
async fn post(address: SocketAddr, cookie: &str, path: &str, body: &str) -> bool {
    let request = format!(
        "POST {path} HTTP/1.1\r\nHost: {address}\r\nCookie: {cookie}\r\nSec-Fetch-Site: same-origin\r\n\
         Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    let Ok(mut stream) = TcpStream::connect(address).await else { return false };
    if stream.write_all(request.as_bytes()).await.is_err() {
        return false;
    }
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer).await;
    let answer = String::from_utf8_lossy(&answer);
    assert!(answer.is_empty() || answer.starts_with("HTTP/1.1 303"), "{answer}");
    answer.starts_with("HTTP/1.1 303")
}

fn verify(data: &Path, known: &mut Known) {
    let query = |sql: &str| {
        let shell = Command::new("sqlite3").arg(data.join("burnday.db")).arg(sql).output().unwrap();
        assert!(shell.status.success(), "{}", String::from_utf8_lossy(&shell.stderr));
        String::from_utf8(shell.stdout).unwrap()
    };
    assert_eq!(query("pragma integrity_check").trim(), "ok");
    let states: HashMap<i64, String> = query("select id, state from task")
        .lines()
        .map(|line| line.split_once('|').unwrap())
        .map(|(id, state)| (id.parse().unwrap(), state.to_owned()))
        .collect();
    for (task, answered) in &mut known.answered {
        let stored = states[task].as_str();
        let under_way = known.under_way.remove(task);
        assert!(stored == *answered || Some(stored) == under_way, "task {task}: {stored}, answered {answered}");
        // The next life starts from what is stored, answered or not.
        *answered = if stored == *answered { answered } else { under_way.unwrap() };
    }
    let notes = query("select text from task_note");
    let mut stored: Vec<&str> = notes.lines().collect();
    let rows = stored.len();
    stored.sort_unstable();
    stored.dedup();
    assert_eq!(rows, stored.len(), "a note stands twice");
    for note in &known.notes {
        assert!(stored.binary_search(&note.as_str()).is_ok(), "{note} was answered and is gone");
    }
}
