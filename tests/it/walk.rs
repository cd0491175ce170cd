//! Every route, taken from the source.

use crate::support::post::letter;
use crate::support::routes::{Route, all};
use crate::support::{Browser, TestApp, set_up};
use axum::body::Body;
use axum::http::Request;
use burnday::accounts::Role;

/// Routes that a stranger may use. Everything else needs somebody signed in.
const PUBLIC: &[&str] = &[
    "/call-sheet/{secret}",
    "/read-paper/{secret}",
    "/answer/{secret}",
    "/answer/{secret}/calendar",
    "/answer/{secret}/offer",
    "/calendar/{secret}",
    "/event-calendar/{secret}",
    "/sign-in",
    "/sign-out",
    "/set-up/{secret}",
    "/invitation/{secret}",
    "/new-password/{secret}",
    "/enter/{secret}",
    "/announcements/{secret}",
    "/health",
    "/favicon.ico",
    "/static/{build}/{*name}",
];

/// Posts by somebody with an emailed link. The secret in the address is all that
/// counts, and no other site knows it; old browsers can't say where these come
/// from, since the page tells nobody its address.
const BY_LINK: &[&str] = &[
    "/answer/{secret}",
    "/answer/{secret}/offer",
    "/announcements/{secret}",
    "/call-sheet/{secret}",
    "/read-paper/{secret}",
];

/// Routes by who may use them besides the education officer.
const EVERYBODY: &[&str] = &[
    "/loans/{id}",
    "/events/{id}/burn-day",
    "/events/{id}/loans",
    "/events/{id}/loans/labels",
    "/events/{id}/loans/{loan}",
    "/events/{id}/loans/{loan}/agreement",
    "/events/{id}/loans/{loan}/condition",
    "/events/{id}/crew",
    "/events/{id}/crew/positions/{post}",
    "/events/{id}/crew/people",
    "/events/{id}/crew/people/{person}",
    "/events/{id}/burn-day/crew",
    "/events/{id}/crew/hours",
    "/events/{id}/crew/hours/file",
    "/events/{id}/rooms",
    "/events/{id}/rooms/audit",
    "/events/{id}/rooms/build",
    "/events/{id}/rooms/items/{thing}",
    "/events/{id}/rooms/fire",
    "/events/{id}/rooms/fire/compare",
    "/events/{id}/rooms/fire/sheet",
    "/events/{id}/rooms/heat",
    "/events/{id}/rooms/plan",
    "/events/{id}/rooms/site",
    "/events/{id}/burn-day/gates",
    "/events/{id}/burn-day/gates/{gate}",
    "/events/{id}/burn-day/gates/sheet",
    "/events/{id}/burn-day/talk",
    "/events/{id}/burn-day/talk/lesson",
    "/events/{id}/burn-day/talk/practice",
    "/events/{id}/burn-day/talk/script",
    "/events/{id}/burn-day/talk/cue-cards",
    "/events/{id}/rooms/site/sheet",
    "/events/{id}/rooms/site/drawing.svg",
    "/events/{id}/guests/gifts",
    "/events/{id}/guests/gifts/{gift}",
    "/events/{id}/guests/thanks",
    "/events/{id}/guests/thanks/{who}",
    "/events/{id}/press",
    "/events/{id}/press/releases/{paper}/print",
    "/events/{id}/guests",
    "/events/{id}/guests/{guest}",
    "/events/{id}/burn-day/guests",
    "/events/{id}/guests/program",
    "/events/{id}/guests/letters",
    "/events/{id}/guests/briefings",
    "/events/{id}/burn-day/cards",
    "/events/{id}/burn-day/presenter",
    "/events/{id}/scheduled",
    "/events/{id}/replies",
    "/events/{id}/replies/{request}",
    "/",
    "/events",
    "/events/{id}",
    "/events/{id}/permits",
    "/events/{id}/permits/print",
    "/events/{id}/permits/{permit}",
    "/events/{id}/tasks",
    "/events/{id}/tasks/{task}",
    "/events/{id}/lists",
    "/events/{id}/wall",
    "/events/{id}/journal",
    "/journal",
    "/photos/{id}",
    "/photos/{id}/small",
    "/settings",
    "/you",
    "/you/password",
    "/you/sign-out-everywhere",
];
const WORKERS: &[&str] = &[
    "/events/{id}/burn-day/gates/{gate}/readings",
    "/events/{id}/burn-day/gates/sign",
    "/people/names",
    "/events/{id}/loans/{loan}/steps",
    "/events/{id}/loans/{loan}/steps/{step}/back",
    "/events/{id}/loans/{loan}/pickup",
    "/events/{id}/loans/{loan}/return",
    "/events/{id}/burn-day/crew/{person}/in",
    "/events/{id}/burn-day/crew/{person}/out",
    "/events/{id}/rooms/items/{thing}/photo",
    "/events/{id}/rooms/items/{thing}/state",
    "/events/{id}/rooms/plan/size",
    "/events/{id}/burn-day/talk/start",
    "/events/{id}/burn-day/talk/pace",
    "/events/{id}/burn-day/talk/lines/new",
    "/events/{id}/burn-day/talk/lines/{line}",
    "/events/{id}/burn-day/talk/lines/{line}/move",
    "/events/{id}/burn-day/talk/lines/{line}/remove",
    "/events/{id}/burn-day/talk/lesson/new",
    "/events/{id}/burn-day/talk/lesson/{objective}",
    "/events/{id}/burn-day/talk/lesson/{objective}/remove",
    "/events/{id}/burn-day/talk/practices",
    "/events/{id}/burn-day/talk/practices/{practice}/remove",
    "/events/{id}/rooms/plan/like-a",
    "/events/{id}/rooms/plan/usual",
    "/events/{id}/rooms/plan/items/{thing}",
    "/events/{id}/rooms/plan/items/{thing}/move",
    "/events/{id}/rooms/plan/items/{thing}/remove",
    "/events/{id}/tasks/{task}/state",
    "/events/{id}/tasks/{task}/notes",
    "/events/{id}/replies/{request}/answers",
    "/events/{id}/replies/{request}/calls",
    "/events/{id}/replies/{request}/told",
    "/events/{id}/guests/{guest}/called",
    "/events/{id}/guests/{guest}/here",
    "/events/{id}/guests/{guest}/deputy",
];
/// Everybody reads it, the education officer changes it.
const READ_BY_ALL: &[&str] = &[
    "/events/{id}/burn-day/call-sheets",
    "/settings/qualifications",
    "/events/{id}/rooms/shopping",
    "/events/{id}/rooms/tolerance",
    "/events/{id}/rooms/warnings",
    "/events/{id}/rooms/fire/earlier",
    "/settings/closed-days",
    "/settings/guests",
    "/events/{id}/crew/proposal",
    "/events/{id}/press/coverage",
    "/events/{id}/press/outlets",
    "/events/{id}/press/outlets/{outlet}",
    "/events/{id}/press/facts",
    "/events/{id}/press/log",
    "/events/{id}/press/releases",
    "/events/{id}/press/releases/{paper}",
    "/events/{id}/burn-day/press",
];

fn is_in(list: &[&str], route: &Route) -> bool {
    list.contains(&route.path.as_str())
}

#[test]
fn the_public_routes_are_these() {
    let routes = all();
    for path in PUBLIC.iter().chain(EVERYBODY).chain(WORKERS).chain(READ_BY_ALL) {
        assert!(routes.iter().any(|route| route.path == *path), "{path} is no route any more");
    }
}

#[tokio::test]
async fn only_the_public_routes_answer_a_stranger() {
    let test = TestApp::walked().await;
    for route in all() {
        let path = route.at(1, 1);
        let answer = if route.gets { test.stranger().get(&path).await } else { test.stranger().post(&path, &[]).await };
        let asks_to_sign_in = answer.location().starts_with("/sign-in?next=");
        assert_eq!(!asks_to_sign_in, is_in(PUBLIC, &route), "{path}: {} {}", answer.status, answer.location());
    }
}

#[tokio::test]
async fn a_stranger_is_sent_to_sign_in_from_every_other_route() {
    let test = TestApp::walked().await;
    let task = test.task("burn-permit").await;
    let before = test.dump();
    for route in all().iter().filter(|route| !is_in(PUBLIC, route)) {
        let path = route.at(1, task);
        if route.gets {
            let answer = test.stranger().get(&path).await;
            assert_eq!(answer.status, 303, "GET {path}");
            assert!(answer.location().starts_with("/sign-in?next="), "GET {path}");
        }
        if route.posts {
            let answer = test.stranger().post(&path, &[("state", "done")]).await;
            assert_eq!(answer.status, 303, "POST {path}");
            assert!(answer.location().starts_with("/sign-in"), "POST {path}");
        }
    }
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn each_role_gets_what_its_routes_say() {
    let test = TestApp::walked().await;
    let task = test.task("burn-permit").await;
    test.queue(letter(1)).await;
    let mut olga = test.olga().await;
    let mut reader = test.somebody(Role::Reader).await;
    let mut timekeeper = test.somebody(Role::Timekeeper).await;
    for route in all().iter().filter(|route| !is_in(PUBLIC, route)) {
        let path = route.at(1, task);
        let everybody = is_in(EVERYBODY, route);
        if route.gets {
            let right = if ["/", "/loans/{id}"].contains(&route.path.as_str()) { 303 } else { 200 };
            assert_eq!(olga.get(&path).await.status, right, "GET {path} as education officer");
            let others = if everybody || is_in(READ_BY_ALL, route) { right } else { 403 };
            assert_eq!(reader.get(&path).await.status, others, "GET {path} as reader");
            let others = if is_in(WORKERS, route) { right } else { others };
            assert_eq!(timekeeper.get(&path).await.status, others, "GET {path} as timekeeper");
        }
        if route.posts && !everybody {
            assert_eq!(reader.post(&path, &[]).await.status, 403, "POST {path} as reader");
            if !is_in(WORKERS, route) {
                assert_eq!(timekeeper.post(&path, &[]).await.status, 403, "POST {path} as timekeeper");
            }
        }
    }
}

#[tokio::test]
async fn what_is_not_there_is_not_found() {
    let test = TestApp::walked().await;
    let mut olga = test.olga().await;
    let task = test.task("burn-permit").await;
    for route in all().iter().filter(|route| route.path.contains("{id}")) {
        let gone = ["accounts", "people", "mail", "photos", "loans"]
            .into_iter()
            .fold(route.at(99, task), |path, kind| path.replace(&format!("/{kind}/1"), &format!("/{kind}/99")));
        if route.gets {
            assert_eq!(olga.get(&gone).await.status, 404, "GET {gone}");
        }
        if route.posts {
            assert_eq!(olga.post(&gone, &[]).await.status, 404, "POST {gone}");
        }
        if route.path.contains("{task}") {
            let gone = route.at(1, 9_999);
            let answer = if route.gets { olga.get(&gone).await } else { olga.post(&gone, &[]).await };
            assert_eq!(answer.status, 404, "{gone}");
        }
    }
    let lost = olga.get("/no/such/page").await;
    assert_eq!(lost.status, 404);
    assert!(lost.has("#error"), "{}", lost.body);
    assert_eq!(lost.attributes("main a", "href"), ["/"], "it leads back to the start");
    assert_eq!(olga.get("/events/x").await.status, 404);
    assert_eq!(olga.post("/events/1/wall", &[]).await.status, 405);
}

fn foreign(path: &str, headers: &[(&str, &str)]) -> Request<Body> {
    let mut request = Request::post(path)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(Body::from("state=done&mail=a%40example.org"))
        .unwrap();
    for (name, value) in headers {
        request
            .headers_mut()
            .insert(axum::http::HeaderName::from_bytes(name.as_bytes()).unwrap(), value.parse().unwrap());
    }
    request
}

#[tokio::test]
async fn a_post_from_another_site_is_refused_on_every_route() {
    let test = TestApp::walked().await;
    let task = test.task("burn-permit").await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let elsewhere: [&[(&str, &str)]; 8] = [
        &[("sec-fetch-site", "cross-site"), ("origin", "https://evil.example.org")],
        &[("sec-fetch-site", "same-site")],
        &[("origin", "https://evil.example.org")],
        &[("origin", "null")],
        // A name that its owner made lead here: the browser takes it for one site.
        &[("host", "evil.example.org"), ("origin", "http://evil.example.org"), ("sec-fetch-site", "same-origin")],
        &[("host", "evil.example.org"), ("origin", "null"), ("sec-fetch-site", "same-origin")],
        &[("host", "127.0.0.1:8080"), ("origin", "http://evil.example.org"), ("sec-fetch-site", "same-origin")],
        &[],
    ];
    for route in all().iter().filter(|route| route.posts && !is_in(BY_LINK, route)) {
        for headers in elsewhere {
            let path = route.at(1, task);
            let answer = olga.send(foreign(&path, headers)).await;
            assert_eq!(answer.status, 403, "POST {path} with {headers:?}");
            assert!(answer.has("#error"), "POST {path}: {}", answer.body);
        }
    }
    for path in BY_LINK {
        let path = path.replace("{secret}", &"A".repeat(43));
        for headers in [&[("origin", "null")][..], &[]] {
            assert_eq!(olga.send(foreign(&path, headers)).await.status, 404, "{path}");
        }
    }
    assert_eq!(before, test.dump());
}

/// RFC 6454: another scheme is another origin.
#[tokio::test]
async fn under_an_https_address_only_that_address_may_post() {
    let test = TestApp::with(&["--base-url", "https://burn.example.org"]).await;
    set_up(&test.app).await;
    let mut stranger = test.stranger();
    for (origin, host, right) in [
        ("https://burn.example.org", "burn.example.org", 422),
        ("http://burn.example.org", "burn.example.org", 403),
        ("https://evil.example.org", "evil.example.org", 403),
        ("http://127.0.0.1:8080", "127.0.0.1:8080", 403),
        // From a page that tells nobody its address.
        ("null", "burn.example.org", 422),
        ("null", "evil.example.org", 403),
        ("https://burn.example.org:8443", "burn.example.org:8443", 403),
    ] {
        let headers = [("host", host), ("origin", origin), ("sec-fetch-site", "same-origin")];
        assert_eq!(stranger.send(foreign("/sign-in", &headers)).await.status, right, "{origin}");
    }
}

#[tokio::test]
async fn reading_changes_nothing() {
    let test = TestApp::walked().await;
    test.queue(letter(1)).await;
    let task = test.task("burn-permit").await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let routes = all();
    let mut paths: Vec<String> = routes.iter().filter(|route| route.gets).map(|route| route.at(1, task)).collect();
    paths.push(test.answer_path(1));
    for path in paths {
        for _ in 0..2 {
            olga.get(&path).await;
        }
        head(&mut olga, &path).await;
    }
    assert_eq!(before, test.dump());
}

async fn head(browser: &mut Browser, path: &str) {
    let answer = browser.send(Request::head(path).body(Body::empty()).unwrap()).await;
    assert!(answer.status < 500, "HEAD {path}");
}

/// Whoever keeps a log of addresses must know all that hold a secret.
#[test]
fn the_guide_for_proxies_names_every_path_that_holds_a_secret() {
    let guide = include_str!("../../README.md");
    let secret: std::collections::BTreeSet<String> = crate::support::routes::all()
        .into_iter()
        .filter_map(|route| route.path.split_once("{secret}").map(|(path, _)| path.to_owned()))
        .collect();
    assert!(secret.len() >= 10, "{secret:?}");
    let (named, example) = guide.split_once("map $request_uri").unwrap();
    for path in secret {
        assert!(named.contains(&format!("`{path}`")), "{path} isn't among those that the proxy must not log");
        let name = path.trim_matches('/');
        assert!(
            example.contains(&format!("|{name}|"))
                || example.contains(&format!("({name}|"))
                || example.contains(&format!("|{name})")),
            "{path} isn't in the example"
        );
    }
}
