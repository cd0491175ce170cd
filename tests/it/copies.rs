//! A store that is a copy sends nothing until someone releases it; the original keeps
//! sending. Tested with the program itself, on real folders.

use crate::program::{Serving, burnday, serve, store, text};
use crate::support::TestApp;
use burnday::db::FILE;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

/// A store with a department, and the folder around it.
struct Place {
    around: tempfile::TempDir,
}

impl Place {
    async fn new() -> Self {
        Self { around: store().await }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.around.path().join(name)
    }

    fn data(&self) -> PathBuf {
        self.path("data")
    }

    fn serve(&self, name: &str) -> Serving {
        serve(&self.path(name), &self.path("log"))
    }

    /// Starts the program there and kills it right away, like a power cut.
    fn start(&self, name: &str) {
        drop(self.serve(name));
    }

    /// Starts the program there and asks it to stop.
    fn start_and_stop(&self, name: &str) {
        self.serve(name).stop();
    }

    fn printed(&self) -> String {
        std::fs::read_to_string(self.path("log.out")).unwrap()
    }
}

fn shell(words: &[&str]) {
    let done = Command::new(words[0]).args(&words[1..]).output().unwrap();
    assert!(done.status.success(), "{words:?}: {}", text(&done.stderr));
}

/// Copies like `cp` with these flags.
fn copy(flags: &str, from: &Path, to: &Path) {
    shell(&["cp", flags, from.to_str().unwrap(), to.to_str().unwrap()]);
}

fn sql(data: &Path, sql: &str) -> String {
    let done = Command::new("sqlite3").arg(data.join(FILE)).arg(sql).output().unwrap();
    assert!(done.status.success(), "{}", text(&done.stderr));
    text(&done.stdout).trim().to_owned()
}

fn is_held(data: &Path) -> bool {
    sql(data, "select held from mail_hold") == "1"
}

/// Why its email is on hold.
fn why(data: &Path) -> String {
    sql(data, "select why from mail_hold")
}

/// The log of a store isn't part of a copy that is laid over it.
fn drop_log(data: &Path) {
    for side in ["burnday.db-wal", "burnday.db-shm"] {
        std::fs::remove_file(data.join(side)).ok();
    }
}

/// Releases email, as the education officer does on the page.
fn release(data: &Path) {
    sql(data, "update mail_hold set held = 0, why = '', held_at = null");
}

/// Queues a message that goes out right away, at any hour.
fn queue(data: &Path) {
    sql(
        data,
        "insert into mail (kind, dedup, to_name, to_address, reply_name, reply_address, subject, text, html,
                           message_id, urgent, due_at, not_after, next_try_at, created_at)
         select 'notice', 'n' || count(*), 'Wren', 'wren@example.org', 'Olga', 'olga@example.org', 'Gates', 'Gate B.',
                '<p>Gate B.</p>', 'n' || count(*) || '@example.org', 1, 0, 9999999999, 0, 0 from mail",
    );
}

fn waiting(data: &Path) -> String {
    sql(data, "select count(*) from mail where state = 'waiting'")
}

/// What is waiting goes out within seconds.
fn goes_out(data: &Path) {
    for _ in 0..200 {
        if waiting(data) == "0" {
            return;
        }
        std::thread::sleep(Duration::from_millis(50));
    }
    panic!("{} messages still wait", waiting(data));
}

#[tokio::test]
async fn an_original_is_started_again_and_again_and_sends() {
    let place = Place::new().await;
    for _ in 0..2 {
        place.start("data");
        place.start_and_stop("data");
    }
    queue(&place.data());
    let served = place.serve("data");
    goes_out(&place.data());
    let printed = place.printed();
    assert!(!is_held(&place.data()));
    drop(served);
    // It prints nothing of what a copy prints when it starts.
    let copied = place.path("copy");
    copy("-r", &place.data(), &copied);
    place.start("copy");
    let why = why(&copied);
    assert!(!why.is_empty() && place.printed().contains(&why) && !printed.contains(&why), "{printed}");
    let marks = std::fs::read_dir(place.data()).unwrap();
    let marks = marks.filter(|one| one.as_ref().unwrap().file_name().to_string_lossy().starts_with("place-")).count();
    assert_eq!(marks, 1, "old marks are swept up");
}

#[tokio::test]
async fn a_folder_copied_whole_is_a_copy_whatever_comes_along() {
    let place = Place::new().await;
    place.start_and_stop("data");
    queue(&place.data());
    for (flags, name) in [("-r", "plain"), ("-a", "with-all-it-has")] {
        let copied = place.path(name);
        copy(flags, &place.data(), &copied);
        assert!(copied.join("lock").exists());
        place.start(name);
        assert!(is_held(&copied), "cp {flags}");
        let why = why(&copied);
        assert!(!why.is_empty() && place.printed().contains(&why), "{}", place.printed());
        place.start(name);
        assert!(is_held(&copied), "starting again doesn't release it");
        assert_eq!(waiting(&copied), "1");
    }
    let packed = place.path("packed.tar");
    let (tar, from) = (packed.to_str().unwrap(), place.around.path().to_str().unwrap().to_owned());
    shell(&["tar", "-C", &from, "-cf", tar, "data"]);
    shell(&["mv", &format!("{from}/data"), &format!("{from}/aside")]);
    shell(&["tar", "-C", &from, "-xf", tar]);
    place.start("data");
    assert!(is_held(&place.data()), "unpacked at the place of the original");
}

#[tokio::test]
async fn a_copy_that_is_laid_over_the_original_is_one() {
    let place = Place::new().await;
    place.start_and_stop("data");
    let aside = place.path("aside");
    copy("-a", &place.data(), &aside);
    // The original lives on, and then the old state is laid over it, file by file.
    place.start("data");
    drop_log(&place.data());
    copy("-rT", &aside, &place.data());
    place.start("data");
    assert!(is_held(&place.data()));
}

#[tokio::test]
async fn a_copy_made_while_it_is_served_is_known_after_a_stop() {
    let place = Place::new().await;
    let served = place.serve("data");
    let store = place.path("beside.db");
    shell(&["sqlite3", place.data().join(FILE).to_str().unwrap(), &format!(".backup {}", store.display())]);
    served.stop();
    drop_log(&place.data());
    copy("-r", &store, &place.data().join(FILE));
    place.start("data");
    assert!(is_held(&place.data()));
}

#[tokio::test]
async fn a_start_that_fails_does_not_let_mail_go() {
    let place = Place::new().await;
    place.start_and_stop("data");
    queue(&place.data());
    let copied = place.path("copy");
    copy("-r", &place.data(), &copied);
    std::fs::remove_file(copied.join("lock")).unwrap();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    for _ in 0..2 {
        let failed = burnday(&copied, &["--listen", &taken.local_addr().unwrap().to_string()]);
        let address = taken.local_addr().unwrap().to_string();
        assert!(!failed.status.success() && text(&failed.stderr).contains(&address), "{}", text(&failed.stderr));
        assert!(is_held(&copied));
    }
    drop(taken);
    let served = place.serve("copy");
    std::thread::sleep(Duration::from_secs(2));
    assert_eq!(waiting(&copied), "1", "nothing went");
    assert!(is_held(&copied));
    release(&copied);
    goes_out(&copied);
    drop(served);
    place.start("copy");
    assert!(!is_held(&copied), "once released, it stays so");
}

#[tokio::test]
async fn each_restore_of_a_backup_starts_held_and_the_original_does_not() {
    let place = Place::new().await;
    queue(&place.data());
    let served = place.serve("data");
    goes_out(&place.data());
    let kept = place.path("kept");
    let made = burnday(&place.data(), &["backup", kept.to_str().unwrap()]);
    assert!(made.status.success(), "{}", text(&made.stderr));
    served.stop();
    assert_eq!(std::fs::read_dir(&kept).unwrap().count(), 1, "one file, no log beside it");
    assert!(is_held(&kept), "in the copy itself");

    // As the README says, to two machines.
    for name in ["first", "second"] {
        let restored = place.path(name);
        copy("-r", &kept, &restored);
        std::fs::copy(place.data().join("link-key"), restored.join("link-key")).unwrap();
        let checked = burnday(&restored, &["check"]);
        assert!(checked.status.success(), "{}{}", text(&checked.stdout), text(&checked.stderr));
        place.start(name);
        assert!(is_held(&restored));
        let why = why(&restored);
        assert!(!why.is_empty() && why == self::why(&kept), "the one reason: {why}");
        let told = sql(&restored, "select count(*) from journal where verb = 'held'");
        assert_eq!(told, "1");
    }
    // Once released, the first one is an original.
    release(&place.path("first"));
    place.start("first");
    assert!(!is_held(&place.path("first")));

    queue(&place.data());
    let served = place.serve("data");
    goes_out(&place.data());
    served.stop();

    // Over the original.
    drop_log(&place.data());
    copy("-rT", &kept, &place.data());
    place.start("data");
    assert!(is_held(&place.data()));
}

#[tokio::test]
async fn a_folder_that_was_renamed_is_held_and_another_reason_is_kept() {
    let place = Place::new().await;
    place.start_and_stop("data");
    copy("-r", &place.data(), &place.path("copy"));
    place.start("copy");
    let of_copy = why(&place.path("copy"));
    sql(&place.data(), "update mail_hold set held = 1, why = 'The relay is moved.', held_at = 1");
    std::fs::rename(place.data(), place.path("moved")).unwrap();
    place.start("moved");
    let why = why(&place.path("moved"));
    assert!(!of_copy.is_empty() && why.starts_with(&of_copy) && why.ends_with("The relay is moved."), "{why}");
}

#[tokio::test]
async fn a_store_of_before_this_was_noted_is_held() {
    let place = Place::new().await;
    place.start_and_stop("data");
    sql(&place.data(), "delete from served_place");
    place.start("data");
    assert!(is_held(&place.data()));
}

#[tokio::test]
async fn mail_is_held_from_the_command_line() {
    let place = Place::new().await;
    let held = burnday(&place.data(), &["hold"]);
    assert!(held.status.success() && !held.stdout.is_empty());
    assert!(is_held(&place.data()));
    let copies = || sql(&place.data(), "select copies from mail_hold");
    assert_eq!(copies(), "1");
    // If it is already on hold, it may have been restored once more.
    let again = burnday(&place.data(), &["hold"]);
    assert!(again.status.success() && !again.stdout.is_empty());
    assert_ne!(text(&again.stdout), text(&held.stdout), "it says so");
    assert_eq!(copies(), "2");
}

/// Numbers given since the copy was made are not given again in it, or one person's links
/// would open another's pages.
#[tokio::test]
async fn what_a_link_is_made_with_begins_higher_in_a_copy() {
    let test = TestApp::planned().await;
    let before = test.person("Wren Ibarra", "wren@example.org").await;
    test.sql("update mail_hold set copies = copies + 1");
    let added = test.person("Lena Ashby", "lena@example.org").await;
    assert!(before < 1_000_000 && added > 1_000_000, "{before} {added}");
    let next = test.person("Gideon Astley", "gideon@example.org").await;
    assert_eq!(next, added + 1);
    let mut olga = test.olga().await;
    assert_eq!(olga.post("/events/1/replies/calendar", &[("act", "new")]).await.status, 303);
    assert!(test.dump().contains("INSERT INTO feed VALUES(1,NULL,1,1001,"), "{}", test.dump());
}
