//! The store itself: one writer, many readers, one process.

use crate::support::{self, TestApp};
use burnday::db::journal::{Actor, Entry, record};
use burnday::db::once::Form;
use burnday::db::{Db, FILE};
use burnday::error::Error;
use burnday::people;
use std::collections::BTreeSet;
use std::os::unix::fs::PermissionsExt;
use std::sync::Arc;
use std::time::Duration;

async fn add(db: &Db, name: String) -> Result<i64, Error> {
    db.write(move |tx| Box::pin(async move { people::named(tx, &name, support::NOW).await })).await
}

/// Who is stored; nobody twice.
async fn names(db: &Db) -> BTreeSet<String> {
    let everyone = people::everyone(&mut db.read().acquire().await.unwrap()).await.unwrap();
    let mut names = BTreeSet::new();
    for person in everyone {
        assert!(names.insert(person.details.name.clone()), "{} is stored twice", person.details.name);
    }
    names
}

#[tokio::test]
async fn a_failed_write_undoes_itself_and_no_other() {
    let test = TestApp::empty().await;
    let db = test.app.db.clone();
    let mut writes = tokio::task::JoinSet::new();
    for n in 0..200 {
        let db = db.clone();
        writes.spawn(async move {
            let name = format!("Person {n:03}");
            let written = name.clone();
            let write = db.write(move |tx| {
                Box::pin(async move {
                    people::named(tx, &written, support::NOW).await?;
                    match n % 4 {
                        0 => Err(Error::NotFound),
                        1 if n % 8 == 1 => panic!("a write may be wrong"),
                        _ => Ok(()),
                    }
                })
            });
            write.await.is_ok().then_some(name)
        });
    }
    let kept: BTreeSet<String> = writes.join_all().await.into_iter().flatten().collect();
    let right = (0..200).filter(|n| n % 4 != 0 && n % 8 != 1).map(|n| format!("Person {n:03}"));
    assert_eq!(kept, right.collect::<BTreeSet<_>>(), "exactly those that went well are told so");
    assert_eq!(names(&db).await, kept);
    assert!(add(&db, "After".to_owned()).await.is_ok(), "the writer lives on");
}

#[tokio::test]
async fn who_hangs_up_harms_nobody() {
    let test = TestApp::empty().await;
    let db = test.app.db.clone();
    let mut callers = tokio::task::JoinSet::new();
    for n in 0..2_000_u64 {
        let db = db.clone();
        callers.spawn(async move {
            let (wait, name) = (Duration::from_micros(n % 120 * 25), format!("Person {n}"));
            let added = tokio::time::timeout(wait, add(&db, name.clone())).await.ok()?;
            added.unwrap();
            Some(name)
        });
    }
    let mut answered: BTreeSet<String> = callers.join_all().await.into_iter().flatten().collect();
    add(&db, "The last".to_owned()).await.unwrap();
    answered.insert("The last".to_owned());
    let stored = names(&db).await;
    // Of those who hung up, some are stored and some not, each wholly or not at all.
    let lost: Vec<_> = answered.difference(&stored).collect();
    assert!(lost.is_empty(), "answered and not stored: {lost:?}");
    let came: BTreeSet<String> = (0..2_000).map(|n| format!("Person {n}")).chain(["The last".to_owned()]).collect();
    let strange: Vec<_> = stored.difference(&came).collect();
    assert!(strange.is_empty(), "stored and never written: {strange:?}");
    assert_eq!(db.check().await.unwrap(), Vec::<String>::new());
}

#[tokio::test]
async fn a_reader_can_not_write() {
    let test = TestApp::empty().await;
    #[expect(clippy::disallowed_methods, reason = "an unchecked write is what is tried")]
    let tried = sqlx::query("delete from person").execute(test.app.db.read()).await;
    assert!(tried.unwrap_err().to_string().contains("readonly"));
}

#[tokio::test]
async fn the_folder_is_private_and_taken_by_one_process() {
    let test = TestApp::planned().await;
    let folder = test.folder.path().join("inner");
    let db = Db::open(&folder).await.unwrap();
    add(&db, "Somebody".to_owned()).await.unwrap();
    let mode = |path: &std::path::Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&folder), 0o700);
    for file in std::fs::read_dir(&folder).unwrap() {
        let path = file.unwrap().path();
        assert_eq!(mode(&path), 0o600, "{}", path.display());
    }
    let second = Db::open(&folder).await.err().unwrap().to_string();
    assert!(second.contains(&folder.display().to_string()) && second.contains("--data"), "{second}");
    db.close().await;
    drop(db);
    assert!(Db::open(&folder).await.is_ok());
}

#[tokio::test]
async fn a_folder_that_is_open_to_others_is_closed_to_them() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path().join("inner");
    std::fs::create_dir(&folder).unwrap();
    std::fs::set_permissions(&folder, std::fs::Permissions::from_mode(0o755)).unwrap();
    let _db = Db::open(&folder).await.unwrap();
    assert_eq!(std::fs::metadata(&folder).unwrap().permissions().mode() & 0o777, 0o700);
}

#[tokio::test]
async fn a_newer_store_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let db = Db::open(folder.path()).await.unwrap();
    db.close().await;
    drop(db);
    let path = folder.path().join(FILE);
    let newer = "insert into _sqlx_migrations (version, description, success, checksum, execution_time) \
                 values (9999, 'later', 1, x'00', 0)";
    let shell = std::process::Command::new("sqlite3").arg(&path).arg(newer).status().unwrap();
    assert!(shell.success());
    let refused = Db::open(folder.path()).await.err().unwrap().to_string();
    assert!(refused.contains("9999"), "{refused}");
}

#[tokio::test]
async fn the_settings_of_the_store_are_what_the_promise_needs() {
    let test = TestApp::empty().await;
    let pragma = |name: &'static str| {
        let db = test.app.db.clone();
        async move {
            db.write(move |tx| {
                Box::pin(async move {
                    let sql = sqlx::AssertSqlSafe(format!("pragma {name}"));
                    #[expect(clippy::disallowed_methods, reason = "a pragma has no columns to check")]
                    let value: i64 = sqlx::query_scalar(sql).fetch_one(&mut **tx).await?;
                    Ok(value)
                })
            })
            .await
            .unwrap()
        }
    };
    assert_eq!(pragma("synchronous").await, 2, "FULL");
    assert_eq!(pragma("foreign_keys").await, 1);
}

#[tokio::test]
async fn a_change_by_whomever_is_seen_at_once() {
    let test = TestApp::set_up().await;
    let version = async || test.app.db.version().await.unwrap();
    let first = version().await;
    test.dump();
    assert_eq!(version().await, first, "looking changes nothing");
    test.person("Wren Ibarra", "wren@example.org").await;
    let second = version().await;
    assert_ne!(second, first);
    let path = test.folder.path().join(FILE);
    let elsewhere =
        std::process::Command::new("sqlite3").arg(path).arg("update person set phone = '555-0101'").status();
    assert!(elsewhere.unwrap().success());
    assert_ne!(version().await, second, "by another process too");
}

#[tokio::test]
async fn a_write_that_changes_nothing_keeps_no_form_whoever_shares_its_commit() {
    let test = TestApp::planned().await;
    let (kept, none) = (Arc::new(Form::default()), Arc::new(Form::default()));
    kept.is("first".to_owned(), vec![1]);
    none.is("second".to_owned(), vec![2]);
    // What it tells the journal waits for the commit of both.
    let write = Arc::clone(&kept).answer(test.app.db.write(|tx| {
        Box::pin(async move {
            let (actor, title) = (Actor::System, "a note");
            let entry = Entry {
                actor,
                verb: "noted",
                subject: "event",
                subject_id: Some(1),
                event_id: Some(1),
                title,
                before: None,
                after: None,
            };
            record(tx, support::NOW, entry);
            Ok(())
        })
    }));
    let nothing = Arc::clone(&none).answer(test.app.db.write(|_| Box::pin(async { Ok(()) })));
    let (write, nothing) = tokio::join!(write, nothing);
    assert!(write.is_ok() && nothing.is_ok());
    assert!(kept.is_kept() && !none.is_kept());
    assert_eq!(test.app.db.digest_of_form("first").await.unwrap(), Some(vec![1]));
    assert_eq!(test.app.db.digest_of_form("second").await.unwrap(), None);
}
