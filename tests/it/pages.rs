//! What every page keeps to.

use crate::support::post::letter;
use crate::support::routes::{Route, all};
use crate::support::{Answer, NOW, OFFICER, TestApp};
use axum::body::Body;
use axum::http::Request;
use burnday::accounts::{self, Purpose};
use burnday::asks;
use burnday::mail;
use burnday::web::link::Opens;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use time::macros::datetime;
use tokio::task::JoinSet;

/// Every address that is looked at, with a link that opens it where it takes one.
/// The page that sets a department up is there only before it is set up, so it has
/// an app of its own.
pub async fn addresses(test: &TestApp) -> Vec<(Route, String)> {
    let task = test.task("burn-permit").await;
    test.queue(letter(1)).await;
    let mut olga = test.olga().await;
    let reader = [("reader", "Ada Quick"), ("reader_mail", "ada@example.org")];
    assert_eq!(olga.post("/events/1/press/releases/1/readings", &reader).await.status, 303);
    assert_eq!(olga.post("/events/1/replies/calendar", &[("act", "new")]).await.status, 303);
    let wren = asks::find(test.app.db.read(), 1).await.unwrap().unwrap().person_id;
    // Olga has a post, and a call sheet once she says yes.
    let own = test.ask(&[1], &["burn day"]).await[0];
    let yes = format!("{} yes", asks::find(test.app.db.read(), own).await.unwrap().unwrap().asks[0].id);
    assert_eq!(test.stranger().post(&test.answer_path(own), &[("say", &yes)]).await.status, 303);
    assert_eq!(olga.post("/events/1/burn-day/call-sheets", &[]).await.status, 303);
    let key = test.app.link_key.clone();
    let wish = test.app.db.write(move |tx| Box::pin(async move { mail::open_wish(tx, &key, wren, NOW).await }));
    wish.await.unwrap();
    let linked = |(opens, id)| format!("{}/{}", Opens::path(opens), test.app.link_key.secret(opens, id, 1).reveal());
    let mut links = vec![
        test.link(OFFICER, Purpose::Invitation).await,
        test.link(OFFICER, Purpose::Password).await,
        test.link(OFFICER, Purpose::Demo).await,
        format!("{}/calendar", linked((Opens::Question, 1))),
    ];
    let opens = [
        (Opens::Question, 1),
        (Opens::Calendar, wren),
        (Opens::EventCalendar, 1),
        (Opens::Announcements, wren),
        (Opens::CallSheet, 1),
        (Opens::PaperReading, 1),
    ];
    links.extend(opens.map(linked));
    let at = |route: &Route| {
        let (before, after) = route.path.split_once("{secret}").unwrap_or((&route.path, ""));
        let fits = |link: &&String| {
            let secret = link.strip_prefix(before).and_then(|rest| rest.strip_suffix(after));
            secret.is_some_and(|secret| !secret.contains('/'))
        };
        match route.path.as_str() {
            "/static/{build}/{*name}" => burnday::web::assets::url("app.css"),
            path if path.contains("{secret}") => {
                links.iter().find(fits).unwrap_or_else(|| panic!("no link leads to {path}")).clone()
            }
            _ => route.at(1, task),
        }
    };
    let looked_at = |route: &Route| route.gets && route.path != "/set-up/{secret}";
    all().into_iter().filter(looked_at).map(|route| (at(&route), route)).map(|(path, route)| (route, path)).collect()
}

/// What is there is shown; these lead to another page.
fn right(route: &Route) -> u16 {
    match route.path.as_str() {
        "/" | "/loans/{id}" => 303,
        "/favicon.ico" => 307,
        _ => 200,
    }
}

#[tokio::test]
async fn every_answer_carries_the_security_headers() {
    let test = TestApp::walked().await;
    let mut olga = test.olga().await;
    // What is shown in a frame is a letter, with styles of its own and its own
    // strict policy.
    for (route, path) in addresses(&test).await.iter().filter(|(route, _)| route.path != "/mail/{id}/reading") {
        let answer = olga.get(path).await;
        assert_eq!(answer.status, right(route), "{path}");
        let policy = answer.header("content-security-policy");
        assert!(policy.contains("default-src 'none'") && policy.contains("frame-ancestors 'none'"), "{path}: {policy}");
        assert!(!policy.contains("unsafe") && !policy.contains('*'), "{path}: {policy}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{path}");
        assert_eq!(answer.header("cross-origin-opener-policy"), "same-origin", "{path}");
        assert!(!answer.header("referrer-policy").is_empty(), "{path}");
        assert!(!answer.header("x-request-id").is_empty(), "{path}");
        if !path.starts_with("/static") {
            assert_eq!(answer.header("cache-control"), "no-store", "{path}");
        }
    }
}

#[tokio::test]
async fn every_page_has_a_title_one_heading_and_no_inline_script_or_style() {
    let test = TestApp::walked().await;
    let mut olga = test.olga().await;
    for (route, path) in addresses(&test).await {
        let answer = olga.get(&path).await;
        assert_eq!(answer.status, right(&route), "{path}");
        // A letter, with its own title and styles, in a frame.
        if route.path == "/mail/{id}/reading" {
            continue;
        }
        let kind = answer.header("content-type").split(';').next().unwrap();
        assert_eq!(kind == "text/html", answer.status == 200 && !is_file(&route), "{path} is {kind}");
        if kind == "text/html" {
            is_a_page(&answer, &path);
        }
    }
    let fresh = TestApp::empty().await;
    let link = fresh.app.db.write(|tx| Box::pin(accounts::set_up_link(tx, NOW))).await.unwrap().unwrap();
    let path = format!("/set-up/{}", link.reveal());
    let answer = fresh.stranger().get(&path).await;
    assert_eq!(answer.status, 200);
    is_a_page(&answer, &path);
}

/// Something other than a page: read by a machine, or saved.
fn is_file(route: &Route) -> bool {
    const FILES: &[&str] = &[
        "/answer/{secret}/calendar",
        "/calendar/{secret}",
        "/event-calendar/{secret}",
        "/events/{id}/rooms/site/drawing.svg",
        "/events/{id}/crew/hours/file",
        "/health",
        "/people/export.csv",
        "/people/export.vcf",
        "/people/import/sample.csv",
        "/people/choices",
        "/people/names",
        "/photos/{id}",
        "/photos/{id}/small",
        "/static/{build}/{*name}",
    ];
    FILES.contains(&route.path.as_str())
}

fn is_a_page(answer: &Answer, path: &str) {
    assert!(!answer.text("title").is_empty(), "{path}");
    assert_eq!(answer.all("h1").len(), 1, "{path}");
    assert_eq!(answer.all("script:not([src]), style, [style]"), Vec::<String>::new(), "{path}");
    assert!(!answer.body.contains(" onclick=") && !answer.body.contains("javascript:"), "{path}");
    let mut once = BTreeSet::new();
    for id in answer.attributes("[id]", "id") {
        assert!(once.insert(id.clone()), "{path}: the id {id} stands twice");
    }
}

#[tokio::test]
async fn there_is_an_icon_where_browsers_look_for_one() {
    let test = TestApp::set_up().await;
    let mut browser = test.stranger();
    let linked = browser.get("/sign-in").await.attributes("link[rel=icon]", "href");
    let to = browser.get("/favicon.ico").await;
    assert!(to.status == 307 && linked.contains(&to.location().to_owned()), "{linked:?}");
    for (path, kind) in linked.iter().zip(["image/vnd.microsoft.icon", "image/svg+xml"]) {
        let icon = browser.get(path).await;
        assert_eq!((icon.status, icon.header("content-type")), (200, kind), "{path}");
        assert!(icon.bytes.starts_with(&[0, 0, 1, 0]) || icon.body.starts_with("<svg"), "{path}");
    }
}

#[tokio::test]
async fn static_files_are_kept_for_ever_and_change_their_address() {
    let test = TestApp::set_up().await;
    let mut browser = test.stranger();
    let sheet = browser.get("/sign-in").await.attributes("link[rel=stylesheet]", "href")[0].clone();
    let answer = browser.get(&sheet).await;
    assert_eq!(answer.header("cache-control"), "public, max-age=31536000, immutable");
    assert!(answer.header("content-type").starts_with("text/css"));
    assert!(answer.body.contains("public-sans.woff2"));
    assert_eq!(browser.get("/static/0000000000ab/app.css").await.status, 404);
    let folder = sheet.rsplit_once('/').unwrap().0;
    for path in ["../Cargo.toml", "..%2f..%2fCargo.toml", "%2e%2e/Cargo.toml", "none.css", "vendor"] {
        assert_eq!(browser.get(&format!("{folder}/{path}")).await.status, 404, "{path}");
    }
}

#[tokio::test]
async fn answers_are_compressed_for_whoever_takes_it() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let plain = olga.get("/events/1").await;
    assert_eq!(plain.header("content-encoding"), "");
    for encoding in ["gzip", "br"] {
        let mut request = Request::get("/health").body(Body::empty()).unwrap();
        request.headers_mut().insert("accept-encoding", encoding.parse().unwrap());
        assert_eq!(olga.send(request).await.status, 200);
        let head = Request::head("/events/1").header("accept-encoding", encoding).body(Body::empty()).unwrap();
        assert_eq!(olga.send(head).await.header("content-encoding"), encoding);
    }
}

#[tokio::test]
async fn health_needs_no_account() {
    let test = TestApp::empty().await;
    let answer = test.stranger().get("/health").await;
    assert_eq!((answer.status, answer.body.as_str()), (200, "{\"mail\":\"ok\",\"store\":\"ok\"}"));
    test.app.db.close().await;
    assert_eq!(test.stranger().get("/health").await.status, 503);
}

#[tokio::test]
async fn when_the_store_is_gone_a_page_says_so_without_detail() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.app.db.close().await;
    let answer = olga.get("/events/1").await;
    assert_eq!(answer.status, 500);
    assert!(answer.has("#error"), "{}", answer.body);
    assert!(!answer.body.contains("pool") && !answer.body.contains("sqlx"));
}

/// Words a screening tool must not promise, and what no file may hold.
#[test]
fn no_page_promises_what_only_the_authority_can() {
    let mut texts = Vec::new();
    collect(Path::new(env!("CARGO_MANIFEST_DIR")).join("templates").as_path(), &mut texts);
    collect(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/countdown").as_path(), &mut texts);
    assert!(texts.len() > 20);
    for (path, text) in texts {
        let words = text.to_lowercase();
        for word in words.split(|c: char| !c.is_alphanumeric()) {
            assert!(!matches!(word, "safe" | "safely" | "compliant" | "compliance"), "{path}: {word}");
        }
    }
}

fn collect(folder: &Path, into: &mut Vec<(String, String)>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(&path, into);
        } else {
            into.push((path.display().to_string(), fs::read_to_string(&path).unwrap()));
        }
    }
}

/// Fewer connections read than people look: no page may hold one while it waits
/// for another.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn many_who_look_at_once_all_get_their_page() {
    let test = TestApp::walked().await;
    // A day on which thanks are due too.
    test.at(datetime!(2027-06-07 15:00 UTC));
    let olga = test.olga().await;
    let event = [
        "",
        "/replies",
        "/replies/1",
        "/replies/new",
        "/scheduled",
        "/lists",
        "/lists?who=all",
        "/journal",
        "/sent",
        "/wall",
    ]
    .map(|end| format!("/events/1{end}"));
    let guests = ["", "/new", "/1", "/program", "/briefings", "/letters", "/gifts", "/gifts/report", "/thanks"];
    let press = ["", "/log", "/releases", "/releases/1", "/facts", "/outlets", "/outlets/1", "/coverage"];
    let talk = ["", "/lesson", "/practice", "/script", "/cue-cards", "/pace", "/lines/1", "/lesson/1"];
    let rooms =
        ["", "/items/1", "/build", "/warnings", "/tolerance", "/shopping", "/audit", "/fire", "/heat", "/fire/earlier"];
    let all = [
        "/people",
        "/people/1",
        "/people/1/merge",
        "/people/duplicates",
        "/people/choices",
        "/mail",
        "/settings/guests",
    ]
    .map(str::to_owned);
    let paths = all.into_iter().chain(event);
    let permits = ["", "/print", "/1", "/new", "/1/edit", "/1/remove"];
    let paths =
        paths.chain(permits.map(|end| format!("/events/1/permits{end}"))).chain(["/events/1/tasks/9".to_owned()]);
    let day = ["", "/guests", "/crew", "/press", "/presenter", "/cards", "/call-sheets", "/contacts"];
    let paths = paths.chain(day.map(|end| format!("/events/1/burn-day{end}")));
    let paths = paths.chain(talk.map(|end| format!("/events/1/burn-day/talk{end}")));
    let paths = paths.chain(guests.map(|end| format!("/events/1/guests{end}")));
    let loans =
        ["", "/new", "/labels", "/1", "/1/edit", "/1/ask", "/1/pickup", "/1/condition", "/1/agreement", "/1/letter"];
    let paths = paths.chain(loans.map(|end| format!("/events/1/loans{end}")));
    let crew = ["", "/positions/1", "/people", "/people/1", "/ask", "/hours", "/proposal"];
    let paths =
        paths.chain(crew.map(|end| format!("/events/1/crew{end}"))).chain(["/settings/qualifications".to_owned()]);
    let paths = paths.chain(rooms.map(|end| format!("/events/1/rooms{end}")));
    for path in paths.chain(press.map(|end| format!("/events/1/press{end}"))) {
        let mut looking = JoinSet::new();
        for _ in 0..12 {
            let mut olga = olga.clone();
            let path = path.clone();
            looking.spawn(async move { olga.get(&path).await.status });
        }
        assert_eq!(looking.join_all().await, [200; 12], "{path}");
    }
}
