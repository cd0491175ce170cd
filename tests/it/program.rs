//! The program, started from a shell.

use crate::support::{self, OFFICER, TestApp};
use burnday::accounts::Role;
use std::fs::File;
use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, Command, Output};
use std::time::{Duration, Instant};

/// What should happen right away happens within this time, even on a busy machine.
pub const PATIENCE: Duration = Duration::from_mins(1);

pub fn burnday(folder: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_burnday")).args(words).arg("--data").arg(folder).output().unwrap()
}

pub fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// The problems `check` found.
fn wrong(check: &Output) -> Vec<String> {
    text(&check.stdout).lines().filter(|line| line.starts_with("WRONG")).map(str::to_owned).collect()
}

/// Whether a text has this number, and not as part of a larger one.
fn holds(text: &str, number: usize) -> bool {
    let number = number.to_string();
    text.split(|c: char| !c.is_ascii_digit()).any(|part| part == number)
}

pub async fn store() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("data");
    let app = support::open(&path, &[]).await;
    support::set_up(&app).await;
    app.db.close().await;
    folder
}

#[tokio::test]
async fn accounts_are_listed_reset_and_signed_out() {
    let folder = store().await;
    let data = folder.path().join("data");
    let listed = burnday(&data, &["account", "list"]);
    let line = text(&listed.stdout);
    assert!(line.contains(OFFICER) && line.contains(Role::EducationOfficer.as_str()), "{line}");

    let reset = text(&burnday(&data, &["account", "reset-password", "Olga@example.org"]).stdout);
    let printed = reset.lines().find(|line| line.contains("/new-password/")).unwrap().trim().to_owned();
    let app = support::open(&data, &[]).await;
    app.clock.set(burnday::clock::Clock::System.now());
    let mut olga = support::Browser::new(app.clone());
    let path = printed.strip_prefix("http://127.0.0.1:8080").unwrap();
    assert_eq!(olga.post(path, &[("password", "seven brisk otters")]).await.status, 303);
    assert_eq!(olga.get("/events").await.status, 200);

    // While the program is running.
    let ended = text(&burnday(&data, &["account", "end-sign-ins", OFFICER]).stdout);
    assert!(ended.contains(OFFICER) && holds(&ended, 1), "{ended}");
    assert_eq!(olga.get("/events").await.status, 303);

    let unknown = burnday(&data, &["account", "reset-password", "nobody@example.org"]);
    assert!(!unknown.status.success());
    assert!(text(&unknown.stderr).contains("nobody@example.org"));
}

/// Anything saved there would be gone with the next demo.
#[tokio::test]
async fn nothing_real_is_served_from_the_folder_of_a_demo() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("data");
    burnday::demo::clear(&data).unwrap();
    let app = support::open(&data, &[]).await;
    support::set_up(&app).await;
    app.db.close().await;
    drop(app);
    let refused = burnday(&data, &["--listen", "127.0.0.1:0"]);
    assert!(!refused.status.success());
    let (says, why) = (text(&refused.stderr), burnday::demo::refuse(&data).unwrap_err().to_string());
    assert!(says.contains(&why), "{says}");
    assert!(why.contains(data.to_str().unwrap()) && why.contains("--data"), "{why}");
}

#[tokio::test]
async fn check_finds_what_is_wrong() {
    let folder = store().await;
    let data = folder.path().join("data");
    let well = burnday(&data, &["check"]);
    assert!(well.status.success(), "{}", text(&well.stderr));
    assert_eq!(wrong(&well), Vec::<String>::new());

    std::fs::set_permissions(&data, std::fs::Permissions::from_mode(0o755)).unwrap();
    let open = burnday(&data, &["check"]);
    assert!(!open.status.success());
    let found = wrong(&open);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains(data.to_str().unwrap()) && holds(&found[0], 755), "{found:?}");
    std::fs::set_permissions(&data, std::fs::Permissions::from_mode(0o700)).unwrap();

    let orphan =
        "pragma foreign_keys = off; insert into task_note (task_id, account_id, at, text) values (9, 9, 0, 'x')";
    assert!(Command::new("sqlite3").arg(data.join("burnday.db")).arg(orphan).status().unwrap().success());
    let broken = burnday(&data, &["check"]);
    assert!(!broken.status.success());
    // The note refers to a task and to an account.
    let found = wrong(&broken);
    assert!(found.len() == 1 && holds(&found[0], 2), "{found:?}");

    let exposed = burnday(&data, &["check", "--listen", "0.0.0.0:8080"]);
    let found = wrong(&exposed);
    assert!(found.len() == 2 && found[0].contains("https"), "{found:?}");
    let nothing = burnday(&folder.path().join("none"), &["check"]);
    assert!(!nothing.status.success());
}

#[test]
fn help_tells_a_stranger_what_to_do() {
    let help = Command::new(env!("CARGO_BIN_EXE_burnday")).arg("--help").output().unwrap();
    let help = text(&help.stdout);
    for word in ["demo", "account", "backup", "check", "BURNDAY_BASE_URL", "_FILE", "--data"] {
        assert!(help.contains(word), "{word}");
    }
    let wrong = Command::new(env!("CARGO_BIN_EXE_burnday")).args(["--base-url", "nonsense"]).output().unwrap();
    assert!(!wrong.status.success());
    let says = text(&wrong.stderr);
    assert!(says.contains("--base-url") && says.contains("https://"), "{says}");
}

/// Each command with what it prints, for people to read.
#[tokio::test]
async fn commands_say_what_they_did_and_what_to_do_next() {
    let folder = store().await;
    let data = folder.path().join("data");
    let (demo, copy) = (folder.path().join("demo"), folder.path().join("copy"));
    burnday::demo::clear(&demo).unwrap();
    let copy = copy.to_str().unwrap();
    let commands: [(&Path, &[&str]); 13] = [
        (&data, &["--help"]),
        (&data, &["account", "list"]),
        (&data, &["account", "reset-password", OFFICER]),
        (&data, &["account", "reset-password", "nobody@example.org"]),
        (&data, &["account", "end-sign-ins", OFFICER]),
        (&data, &["hold"]),
        (&data, &["hold"]),
        (&data, &["check"]),
        (&data, &["check", "--listen", "0.0.0.0:8080"]),
        (&data, &["backup", copy]),
        (&data, &["backup", copy]),
        (&data, &["--base-url", "nonsense"]),
        (&demo, &["--listen", "127.0.0.1:0"]),
    ];
    let mut all = Vec::new();
    for (folder, words) in commands {
        let mut command = Command::new(env!("CARGO_BIN_EXE_burnday"));
        // The help would print the settings of whoever runs this test.
        let done = command.env_clear().args(words).arg("--data").arg(folder).output().unwrap();
        all.push(format!("$ burnday {}\n{}{}", words.join(" "), text(&done.stdout), text(&done.stderr)));
    }
    insta::assert_snapshot!("commands", plain(&all.join("\n"), folder.path()));
}

/// The same on every run: without the folder's path, the secrets in links, and the number of
/// files, which doesn't matter here.
fn plain(printed: &str, folder: &Path) -> String {
    let printed = printed.replace(folder.to_str().unwrap(), "FOLDER");
    let mut lines = Vec::new();
    for line in printed.lines() {
        lines.push(match line.split_once("/new-password/") {
            Some((before, _)) => format!("{before}/new-password/SECRET"),
            None if line.starts_with("folder ") => line.chars().filter(|c| !c.is_ascii_digit()).collect(),
            None => line.to_owned(),
        });
    }
    lines.join("\n")
}

/// The running program; killed when it goes out of scope.
pub struct Serving {
    pub child: Child,
    pub address: SocketAddr,
}

impl Serving {
    /// Asks it to stop, and waits until it has.
    pub fn stop(mut self) {
        let pid = self.child.id().to_string();
        assert!(Command::new("kill").args(["-TERM", &pid]).status().unwrap().success());
        assert!(self.child.wait().unwrap().success(), "a requested stop is not a failure");
    }
}

impl Drop for Serving {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub fn serve(folder: &Path, log: &Path) -> Serving {
    serve_by(Command::new(env!("CARGO_BIN_EXE_burnday")), folder, log)
}

/// The same, started with this command.
pub fn serve_by(mut command: Command, folder: &Path, log: &Path) -> Serving {
    command.args(["--log", "trace"]);
    start(command, folder, log)
}

/// The program on this folder, once it is serving. It picks a free port and prints it: a
/// port picked for it could be taken before it listens.
pub fn start(mut command: Command, folder: &Path, log: &Path) -> Serving {
    let says = log.with_extension("out");
    let child = command
        .args(["--listen", "127.0.0.1:0", "--data"])
        .arg(folder)
        .stdout(File::create(&says).unwrap())
        .stderr(File::create(log).unwrap())
        .spawn()
        .unwrap();
    let mut serving = Serving { child, address: SocketAddr::from(([127, 0, 0, 1], 0)) };
    let until = Instant::now() + PATIENCE;
    while Instant::now() < until && serving.child.try_wait().unwrap().is_none() {
        let said = std::fs::read_to_string(&says).unwrap();
        if said.contains("Ctrl+C") {
            let (_, rest) = said.split_once("http://").unwrap();
            serving.address = rest.split(['/', '\n']).next().unwrap().parse().unwrap();
            return serving;
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    panic!("the program did not start: {}", std::fs::read_to_string(log).unwrap());
}

pub fn ask(address: SocketAddr, request: &str) -> String {
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).unwrap();
    answer
}

#[test]
fn a_first_start_prints_a_link_that_no_log_holds_and_a_stop_is_clean() {
    let folder = tempfile::tempdir().unwrap();
    let (data, log) = (folder.path().join("data"), folder.path().join("log"));
    let serving = serve(&data, &log);
    let address = serving.address;
    let printed = std::fs::read_to_string(log.with_extension("out")).unwrap();
    let link = printed.lines().find(|line| line.contains("/set-up/")).unwrap().trim();
    let path = link.strip_prefix(&format!("http://{address}")).unwrap();
    let secret = path.rsplit('/').next().unwrap();
    let page = ask(address, &format!("GET {path} HTTP/1.1\r\nHost: {address}\r\nConnection: close\r\n\r\n"));
    assert!(page.starts_with("HTTP/1.1 200") && page.contains("name=\"department\""), "{page}");

    let body = "department=Alder+Bend&zone=America%2FChicago&name=Olga&mail=olga%40example.org\
                &password=four+quiet+grey+herons";
    let post = format!(
        "POST {path} HTTP/1.1\r\nHost: {address}\r\nSec-Fetch-Site: same-origin\r\nConnection: close\r\n\
         Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    );
    let answer = ask(address, &post);
    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    let cookie = answer.split("burnday=").nth(1).unwrap().split(';').next().unwrap().to_owned();

    let second = burnday(&data, &["--listen", "127.0.0.1:0"]);
    assert!(!second.status.success());
    let says = text(&second.stderr);
    assert!(says.contains(data.to_str().unwrap()) && says.contains("--data"), "{says}");

    serving.stop();
    let logged = std::fs::read_to_string(&log).unwrap();
    assert!(logged.contains("/set-up/{secret}") && logged.contains("stopping"), "{logged}");
    for private in [secret, &cookie, "olga@example.org", "herons"] {
        assert!(!logged.contains(private), "the log holds {private}");
    }
}

#[tokio::test]
async fn a_backup_holds_the_store_and_its_photos() {
    let test = TestApp::set_up().await;
    let data = test.folder.path().to_owned();
    let id = test.photo([20, 60, 200]).await;
    let signed_in = test.olga().await;
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("copy");
    let backup = || burnday(&data, &["backup", into.to_str().unwrap()]);

    let made = backup();
    assert!(made.status.success(), "{}", text(&made.stderr));
    let says = text(&made.stdout);
    let (rest, named) = (says.replace(into.to_str().unwrap(), ""), says.contains(into.to_str().unwrap()));
    assert!(named && holds(&rest, 1), "{says}");
    let again = backup();
    assert!(!again.status.success() && text(&again.stderr).contains(into.to_str().unwrap()));

    let checked = burnday(&into, &["check"]);
    assert!(checked.status.success(), "{}{}", text(&checked.stdout), text(&checked.stderr));
    let copy = support::open(&into, &[]).await;
    let mut olga = support::Browser::new(copy.clone());
    olga.cookies = signed_in.cookies;
    assert_eq!(olga.get(&format!("/photos/{id}")).await.status, 200);
    copy.db.close().await;

    std::fs::remove_dir_all(into.join(burnday::photos::FOLDER)).unwrap();
    let checked = burnday(&into, &["check"]);
    assert!(!checked.status.success());
    let found = wrong(&checked);
    assert!(found.len() == 1 && holds(&found[0], 1) && found[0].contains(burnday::photos::FOLDER), "{found:?}");
}
