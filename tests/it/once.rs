//! A form that is sent twice does its work once, in whatever way it is sent twice.

use crate::pages::addresses;
use crate::support::{Answer, Browser, Filled, NOW, TestApp, open, picture};
use axum::Router;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::post;
use burnday::accounts::Role;
use burnday::closed_days::{self, ClosedDay};
use burnday::db::journal::Actor;
use burnday::error::Error;
use burnday::web::kept;
use burnday::web::link::hex;
use burnday::web::once::{self, Once};
use std::sync::Arc;
use time::macros::date;
use tokio::task::JoinSet;

const KEY: &str = burnday::web::form_key::FIELD;

/// What whoever pressed is shown: the status, the next page and what it says there.
fn shown(answer: &Answer) -> (u16, String, String) {
    let said = answer.headers.get_all("set-cookie").iter().map(|value| value.to_str().unwrap());
    let said =
        said.filter(|cookie| cookie.starts_with("burnday-said=") && !cookie.contains("Max-Age=0")).collect::<String>();
    (answer.status, answer.location().to_owned(), said)
}

#[expect(clippy::disallowed_methods, reason = "the macro checks the queries of the app alone")]
async fn count(test: &TestApp, table: &str) -> i64 {
    let query = format!("select count(*) from {table}");
    sqlx::query_scalar(sqlx::AssertSqlSafe(query)).fetch_one(test.app.db.read()).await.unwrap()
}

/// Fills a form in.
type Fill = fn(Filled) -> Filled;

/// The same form, five times at once.
async fn at_once(browser: &Browser, path: &str, form: &Filled) -> Vec<Answer> {
    let mut all = JoinSet::new();
    for _ in 0..5 {
        let (mut browser, path, form) = (browser.clone(), path.to_owned(), form.clone());
        all.spawn(async move { browser.submit(&path, &form).await });
    }
    all.join_all().await
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn sent_five_times_at_once_it_does_its_work_once() {
    let test = TestApp::walked().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let event = |form: Filled| form.with("name", "Two Rooms again").with("burn_on", "2027-06-05");
    let person = |form: Filled| form.with("given_name", "Nell Adair").with("mail", "nell@example.org");
    let item = |form: Filled| form.with("what", "a reading lamp");
    let permit = |form: Filled| form.with("title", "Parking by the river").with("authority", "Alder Bend");
    let letter =
        |form: Filled| form.with("about", "its condition").with("text", "It is scratched.").with("act", "mail");
    let cases: [(&str, &str, i64, Fill); 5] = [
        ("/events/new", "event", 1, event),
        ("/people/new", "person", 1, person),
        ("/events/1/rooms/new", "room_thing", 2, item),
        ("/events/1/permits/new", "permit", 1, permit),
        ("/events/1/loans/1/letter", "mail", 1, letter),
    ];
    // A thing is listed for both rooms.
    for (path, table, adds, fill) in cases {
        let form = fill(olga.get(path).await.keyed_form());
        let before = count(&test, table).await;
        let answers = at_once(&olga, path, &form).await;
        assert_eq!(answers[0].status, 303, "{path}: {}", answers[0].text("main"));
        for answer in &answers {
            assert_eq!(shown(answer), shown(&answers[0]), "{path}");
        }
        assert_eq!(count(&test, table).await, before + adds, "{path}");
    }
}

#[tokio::test]
async fn an_answer_recorded_twice_counts_once() {
    let test = TestApp::asked().await;
    let path = test.answer_path(1);
    let mut wren = test.stranger();
    let (action, _, form) = wren.get(&path).await.presses(&path).into_iter().next().unwrap();
    let first = wren.submit(&action, &form).await;
    assert_eq!(first.status, 303);
    let before = test.dump();
    assert_eq!(shown(&wren.submit(&action, &form).await), shown(&first));
    assert!(test.dump() == before);
}

/// A slip of the thumb on a slow line: what was tapped last counts, and no tap twice.
#[tokio::test]
async fn another_button_of_the_same_answer_page_is_a_tap_of_its_own() {
    let test = TestApp::asked().await;
    let path = test.answer_path(1);
    let mut wren = test.stranger();
    let (action, _, form) = wren.get(&path).await.presses(&path).into_iter().next().unwrap();
    let yes = form.value("say").to_owned();
    let no = yes.replace("yes", "no");
    assert_ne!(yes, no);
    for say in [&yes, &no, &no] {
        assert_eq!(wren.submit(&action, &form.clone().with("say", say)).await.status, 303);
    }
    assert_eq!(count(&test, "answer").await, 2);
    assert_eq!(count(&test, "answer where said = 'no' and id = (select max(id) from answer)").await, 1);
}

#[tokio::test]
async fn something_else_under_the_same_key_is_shown_and_can_be_sent_too() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/people/new").await.keyed_form().with("given_name", "Nell Adair");
    assert_eq!(olga.submit("/people/new", &form).await.status, 303);
    let other = olga.submit("/people/new", &form.clone().with("given_name", "Nell Adair-Quist")).await;
    assert_eq!(other.status, 409);
    assert!(other.has("form[data-kept]:not([data-keyed])") && other.says("Nell Adair-Quist"));
    assert_eq!(count(&test, "person where name = 'Nell Adair-Quist'").await, 0);
    let again = other.keyed_form_at("form[data-kept]");
    assert!(again.value(KEY) != form.value(KEY) && !again.value(KEY).is_empty());
    assert_eq!(olga.submit("/people/new", &again).await.status, 303);
    assert_eq!(count(&test, "person where name = 'Nell Adair-Quist'").await, 1);
    // It was somebody else's form.
    let mut second = test.somebody(Role::InformationOfficer).await;
    assert_eq!(second.submit("/people/new", &form).await.status, 409);
    assert_eq!(count(&test, "person where name = 'Nell Adair'").await, 1);
}

#[tokio::test]
async fn after_a_new_start_it_still_counts_once_and_says_that_it_is_saved() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/people/new").await.keyed_form().with("given_name", "Nell Adair");
    assert_eq!(olga.submit("/people/new", &form).await.location(), "/people/2");
    drop(olga);
    let folder = test.close().await;
    let app = open(folder.path(), &[]).await;
    let test = TestApp::of(app, folder);
    let mut olga = test.olga().await;
    let before = test.dump();
    let again = olga.submit("/people/new", &form).await;
    assert_eq!(again.status, 200);
    assert!(!again.text("main h1").is_empty() && !again.has("form"), "it is said, and nothing can be sent once more");
    assert!(test.dump() == before);
}

#[tokio::test]
async fn a_form_saved_at_its_old_address_is_known_at_the_new_one() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (path, old) = ("/events/1/crew/positions/new", "/events/1/crew/posts/new");
    let form = olga.get(path).await.keyed_form();
    let form = form.with("name", "Cars").with("duty", "parking").with("from", "08:00").with("until", "12:00");
    let first = olga.submit(path, &form).await;
    assert_eq!(first.status, 303, "{}", first.text("main"));
    // As the version before saved it.
    let fields = form.pairs().into_iter().flat_map(|(name, value)| [name, value]);
    let digest = hex(&test.app.link_key.digest(["1", old].into_iter().chain(fields)));
    test.sql(&format!("update form_key set digest = x'{digest}' where key = '{}'", form.value(KEY)));
    let before = test.dump();
    assert!(before.to_lowercase().contains(&digest), "it is saved like that");
    let led = olga.submit(old, &form).await;
    assert_eq!((led.status, led.location()), (308, path));
    assert_eq!(shown(&olga.submit(path, &form).await), shown(&first));
    assert_eq!(olga.submit(path, &form.with("name", "Buses")).await.status, 409);
    assert!(test.dump() == before);
}

#[tokio::test]
async fn what_was_not_kept_can_be_sent_again() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/people/new").await.keyed_form();
    assert_eq!(olga.submit("/people/new", &form).await.status, 422);
    assert_eq!(olga.submit("/people/new", &form.with("given_name", "Nell Adair")).await.status, 303);
    // Somebody else changed it first: each press shows both texts.
    let path = "/people/2/edit";
    let mine = olga.get(path).await.keyed_form().with("organization", "Library");
    let theirs = olga.get(path).await.keyed_form().with("organization", "School");
    assert_eq!(olga.submit(path, &theirs).await.status, 303);
    for _ in 0..2 {
        let shown = olga.submit(path, &mine).await;
        assert_eq!(shown.status, 409);
        assert_eq!(shown.all("main td"), ["School", "Library"], "what stands, and what was typed");
    }
}

#[tokio::test]
async fn a_form_with_a_photo_is_taken_once() {
    let test = TestApp::walked().await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/rooms/items/1").await;
    let forms = page.presses("/events/1/rooms/items/1");
    let (path, _, form) = forms.into_iter().find(|(_, has_files, _)| *has_files).unwrap();
    let photo = |color| [("photo", "lamp.jpg", picture(color))];
    let first = olga.post_files(&path, &form.pairs(), &photo([9, 90, 200])).await;
    assert_eq!(first.status, 303);
    let before = test.dump();
    let again = olga.post_files(&path, &form.pairs(), &photo([9, 90, 200])).await;
    assert_eq!(shown(&again), shown(&first));
    assert_eq!(olga.post_files(&path, &form.pairs(), &photo([200, 9, 9])).await.status, 409);
    assert!(test.dump() == before);
}

/// Begins or ends a sign-in: each press makes one, or none is left.
fn ends(action: &str) -> bool {
    action == "/sign-out"
        || action.ends_with("/end-sign-ins")
        || action.ends_with("/sign-out-everywhere")
        || action.starts_with("/enter/")
}

/// Whatever stands on a page: pressed again, it changes nothing more and says the same.
#[tokio::test]
async fn every_form_of_every_page_is_pressed_twice() {
    let test = TestApp::walked().await;
    let mut kept = 0;
    let mut olga = test.olga().await;
    for (route, path) in addresses(&test).await {
        for (action, has_files, form) in olga.get(&path).await.presses(&path) {
            assert_eq!(
                form.pairs().iter().filter(|(name, _)| [KEY, "tap-key"].contains(name)).count(),
                1,
                "{}: {action}",
                route.path
            );
            // What ends the sign-in would end this walk. A password is typed again; of
            // it not even a digest is kept.
            let is_secret = |(name, _): &(&str, &str)| ["password", "old", "own", "own-link"].contains(name);
            if ends(&action) || form.pairs().iter().any(is_secret) {
                continue;
            }
            let before = test.dump();
            let first = send(&mut olga, &action, has_files, &form).await;
            let after = test.dump();
            let again = send(&mut olga, &action, has_files, &form).await;
            assert!(test.dump() == after, "{}: {action} changed something again: {form:?}", route.path);
            assert_eq!(shown(&again), shown(&first), "{}: {action}", route.path);
            kept += usize::from(before != after);
        }
    }
    assert!(kept >= 60, "only {kept} forms changed something");
}

async fn send(browser: &mut Browser, action: &str, has_files: bool, form: &Filled) -> Answer {
    if has_files { browser.post_files(action, &form.pairs(), &[]).await } else { browser.submit(action, form).await }
}

/// How a handler ends after its write, or before it.
#[derive(Clone, Copy)]
enum Ends {
    WithAnError,
    InAPanic,
    WhileReading,
}

/// What a form is answered with that a handler fails on.
async fn failing(test: &TestApp, is_written: bool, ends: Ends, key: &str) -> Answer {
    let app = test.app.clone();
    let handler = move || async move {
        if is_written {
            let day = ClosedDay { on: date!(2027 - 02 - 01), reason: "Founders' Day".to_owned() };
            let add = app.db.write(move |tx| {
                Box::pin(async move { closed_days::add(tx, Actor::System, &day, NOW).await.map(|_| ()) })
            });
            add.await?;
        }
        match ends {
            Ends::WithAnError => Err::<(), _>(Error::Internal(anyhow::anyhow!("no page"))),
            Ends::InAPanic => panic!("no page"),
            Ends::WhileReading => Err(Error::Internal(sqlx::Error::PoolTimedOut.into())),
        }
    };
    let once = Once {
        db: test.app.db.clone(),
        answers: Arc::clone(&test.app.answers),
        key: test.app.link_key.clone(),
        who: |_| 0,
    };
    let router = Router::new()
        .route("/keyed", post(handler.clone()))
        .layer(from_fn_with_state(once, once::once))
        .layer(from_fn(kept::keep))
        .merge(Router::new().route("/secret", post(handler)).layer(from_fn(once::saved)));
    let mut browser = Browser::of(router);
    if key.is_empty() {
        browser.post("/secret", &[("note", "by the gate")]).await
    } else {
        browser.post("/keyed", &[(KEY, key), ("note", "by the gate")]).await
    }
}

#[tokio::test]
async fn after_a_commit_no_page_says_that_nothing_was_changed() {
    for ends in [Ends::WithAnError, Ends::InAPanic, Ends::WhileReading] {
        for has_key in [true, false] {
            let test = TestApp::set_up().await;
            let key = if has_key {
                test.olga().await.get("/people/new").await.keyed_form().value(KEY).to_owned()
            } else {
                String::new()
            };
            let before = count(&test, "closed_day").await;
            let refused = failing(&test, false, ends, &key).await;
            assert!(refused.status >= 500, "{}", refused.status);
            assert_eq!(count(&test, "closed_day").await, before);

            let saved = failing(&test, true, ends, &key).await;
            assert_eq!(count(&test, "closed_day").await, before + 1);
            assert_eq!(saved.status, 200);
            assert!(saved.text("h1").contains("saved") && !saved.says("Nothing was changed"), "{}", saved.body);
            assert!(!saved.has("form"), "there is nothing to send again");
            // Sent once more, it does nothing and says so.
            if has_key {
                let again = failing(&test, true, ends, &key).await;
                assert_eq!((again.status, count(&test, "closed_day").await), (200, before + 1));
                assert!(again.text("h1").contains("saved"));
            }
        }
    }
}
