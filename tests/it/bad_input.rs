//! Garbage, too much, too little, twice.

use crate::support::routes::all;
use crate::support::{Answer, TestApp};
use axum::body::Body;
use axum::http::Request;

#[tokio::test]
async fn no_body_makes_the_app_fail_or_change_anything() {
    let test = TestApp::walked().await;
    let task = test.task("burn-permit").await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let long = "x".repeat(100_000);
    let bodies = [
        String::new(),
        "%".to_owned(),
        "%ff%fe=%00".to_owned(),
        "a=1&a=2&&&==".to_owned(),
        "state=done&state=waiting&title=a&title=b&name=a&name=b&mail=a&mail=b&burn_on=a&burn_on=b&on=a&on=b&\
         version=1&version=2&role=a&role=b&old=1&old=2&text=a&text=b&department=a&department=b&password=1&password=2"
            .to_owned(),
        "version=99999999999999999999999".to_owned(),
        format!("title={long}&name={long}&text={long}&reason={long}&on=2027-01-01&mail={long}&burn_on={long}"),
        "title=%00&name=%00&text=%00&reason=%00&on=2027-01-01&state=%00&mail=%00&takes=%1b%5b31m".to_owned(),
        "{\"state\":\"done\"}".to_owned(),
    ];
    // These need no field, so that pressing them is what is meant.
    let plain = [
        "/sign-out",
        "/you/sign-out-everywhere",
        "/events/{id}/current",
        "/events/{id}/guests/{guest}/rules",
        "/events/{id}/guests/{guest}/called",
        "/events/{id}/guests/{guest}/remove",
        "/events/{id}/rooms/template",
        "/events/{id}/rooms/items/{thing}/copy",
        "/events/{id}/rooms/plan/like-a",
        "/events/{id}/rooms/plan/usual",
        "/events/{id}/rooms/plan/items/{thing}/remove",
        "/events/{id}/rooms/site/items/{item}/remove",
        "/events/{id}/rooms/site/kept/{kept}",
        "/events/{id}/rooms/site/photo/remove",
        "/events/{id}/burn-day/gates/start",
        "/events/{id}/burn-day/gates/conditions",
        "/events/{id}/burn-day/talk/start",
        "/events/{id}/burn-day/talk/practices/{practice}/remove",
        "/events/{id}/rooms/fire/settings/{setting}/remove",
        "/events/{id}/rooms/fire/earlier/{burn}/remove",
        "/events/{id}/replies/{request}/withdraw",
        "/events/{id}/replies/{request}/told",
        "/events/{id}/crew/template",
        "/events/{id}/permits/usual",
        "/events/{id}/crew/positions/{post}/remove",
        "/events/{id}/crew/assignments/{assignment}/remove",
        "/events/{id}/crew/people/{person}/certificates/{holding}/remove",
        "/events/{id}/burn-day/crew/{person}/in",
        "/events/{id}/burn-day/crew/{person}/out",
        "/events/{id}/burn-day/call-sheets",
        "/settings/qualifications/{qualification}/remove",
        "/settings/accounts/{id}/link",
        "/settings/accounts/{id}/end-sign-ins",
        "/mail/test",
        "/mail/release",
        "/mail/{id}/try-again",
    ];
    for route in all().iter().filter(|route| route.posts && !plain.contains(&route.path.as_str())) {
        let path = route.at(1, task);
        for body in &bodies {
            let answer = olga.post_body(&path, body).await;
            let shown: String = body.chars().take(40).collect();
            let fits = (400..500).contains(&answer.status)
                || answer.location().starts_with("/settings/closed-days")
                || answer.location().starts_with("/events/1/tasks/")
                || answer.location().starts_with("/events/1/permits")
                || answer.location().starts_with("/events/1/press")
                || answer.location().starts_with("/events/1/crew")
                || answer.location().starts_with("/events/1/rooms/items/")
                || ["/events/1/replies", "/events/1/scheduled"].contains(&answer.location());
            assert!(fits, "POST {path} with {shown}: {}", answer.status);
            assert!(!answer.body.contains("panicked") && !answer.body.contains("sqlx"), "POST {path}");
        }
    }
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn a_field_sent_twice_is_refused_with_a_page() {
    let test = TestApp::planned().await;
    let task = test.task("burn-permit").await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let answer = olga.post_body(&format!("/events/1/tasks/{task}/state"), "state=done&state=to+do").await;
    assert_eq!(answer.status, 400);
    assert!(answer.has("#error"), "{}", answer.body);
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn a_body_too_large_is_refused_before_it_is_read() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let huge = format!("text={}", "x".repeat(300 * 1024));
    let answer = olga.post_body("/events/1/tasks/1/notes", &huge).await;
    assert_eq!(answer.status, 413);
    assert!(answer.has("#error"), "{}", answer.body);
}

/// A field that may be sent several times makes no page of any length.
#[tokio::test]
async fn a_form_has_a_bounded_number_of_fields() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("burn-permit").await;
    let path = format!("/events/1/tasks/{task}/edit");
    let earlier = |many: usize| format!("title=&act=save{}", "&earlier=1".repeat(many));
    assert_eq!(olga.post_body(&path, &earlier(20_000)).await.status, 413);
    // A task waits for sixty others at most, and the page has three lines more.
    let (most, many) = (olga.post_body(&path, &earlier(63)).await, olga.post_body(&path, &earlier(4_000)).await);
    assert_eq!((most.status, many.status), (422, 422));
    assert_eq!(many.all("select[name=earlier]").len(), most.all("select[name=earlier]").len());
}

#[tokio::test]
async fn another_content_type_is_refused() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let request = Request::post("/events/1/tasks/1/notes")
        .header("content-type", "text/plain")
        .header("sec-fetch-site", "same-origin")
        .body(Body::from("text=a"))
        .unwrap();
    assert_eq!(olga.send(request).await.status, 400);
}

#[tokio::test]
async fn odd_queries_still_give_a_page() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for path in [
        "/events/1?who=%00",
        "/events/1/tasks?state=nonsense&strand=%F0%9F%94%A5",
        "/events/1/lists?who=-1",
        "/events/1/journal?before=0",
        "/events/1/tasks/new?strand=none",
        "/events/1/rooms/fire?setting=x&at=NaN",
        "/events/1/rooms/fire/compare?one=x&other=",
    ] {
        assert_eq!(olga.get(path).await.status, 200, "{path}");
    }
    for path in ["/events/1/journal?before=x", "/events/1?who=a&who=b", "/events/1/move?burn_on=never"] {
        let status = olga.get(path).await.status;
        assert!((400..500).contains(&status), "{path}: {status}");
    }
}

/// Where a long form is: its address, a field that is folded away with something wrong to type
/// into it, a field folded away elsewhere with something right, and one more that stays empty.
const LONG: [(&str, [&str; 2], [&str; 2], &str); 6] = [
    ("/events/1/loans/new", ["value", "a lot"], ["power", "120 V, 3 A"], "backup"),
    ("/events/1/guests/gifts/new", ["worth", "a lot"], ["logo", "in the folder"], "return_what"),
    ("/events/1/rooms/new", ["size", "tall"], ["by_whom", "Wren Ibarra"], "hazard"),
    ("/events/1/permits/new", ["expires_on", "soon"], ["number", "17-B"], "notes"),
    ("/events/1/tasks/new", ["duration", "long"], ["takes", "Both signatures"], "earlier"),
    ("/events/1/guests/1/edit", ["since", "long ago"], ["seat", "first row"], "priority"),
];

#[tokio::test]
async fn a_part_of_a_form_opens_for_a_mistake_in_it_and_for_what_was_typed() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    for (path, [wrong, bad], [right, good], empty) in LONG {
        let is_open = |page: &Answer, name: &str| {
            assert!(page.has(&format!("details.fold [name={name}]")), "{path}: {name} is in a part that folds");
            page.has(&format!("details.fold[open] [name={name}]"))
        };
        let page = olga.get(path).await;
        assert!([wrong, right, empty].iter().all(|name| !is_open(&page, name)), "{path}");
        let before = test.dump();
        let typed = page.form().with(wrong, bad).with(right, good).with("act", "save");
        let refused = olga.submit(path, &typed).await;
        assert_eq!(refused.status, 422, "{path}");
        assert!(refused.mistakes().contains(&wrong.to_owned()), "{path}: {:?}", refused.mistakes());
        assert_eq!(refused.form().value(wrong), bad, "{path}");
        assert!(is_open(&refused, wrong) && is_open(&refused, right) && !is_open(&refused, empty), "{path}");
        assert_eq!(before, test.dump(), "{path}");
    }
}

#[tokio::test]
async fn a_closed_part_says_how_much_is_in_it() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/loans/new").await.form().with("what", "tent").with("lender", "1");
    let form = form.with("value", "80").with("certificate", "in the folder").with("insured", "by us");
    let added = olga.submit("/events/1/loans/new", &form).await;
    assert_eq!(added.status, 303, "{}", added.text("main"));
    let page = olga.get(&format!("{}/edit", added.location())).await;
    assert!(!page.has("details.fold[open]"));
    let counts: Vec<String> = page.all("details.fold summary small");
    let counts: Vec<usize> = counts.iter().map(|says| says.split(' ').next().unwrap().parse().unwrap()).collect();
    assert!(counts.contains(&3), "the value, who insures it, and the certificate: {counts:?}");
    assert!(!olga.get("/events/1/loans/new").await.has("details.fold summary small"), "an empty form has nothing");
}

/// A selection of the OWASP XSS filter evasion cheat sheet, from memory.
const SCRIPTS: [&str; 6] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "' onmouseover='alert(1)",
    "</textarea><svg onload=alert(1)>",
    "{{7*7}}<!--",
    "javascript:alert(1)//</title><b>",
];

#[tokio::test]
async fn what_is_typed_is_never_read_as_markup() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let id = test.task("burn-permit").await;
    for script in SCRIPTS {
        let edit = format!("/events/1/tasks/{id}/edit");
        let form = olga.get(&edit).await.form().with("title", script).with("takes", script).with("person", script);
        assert_eq!(olga.submit(&edit, &form.with("act", "save")).await.status, 303);
        assert_eq!(olga.post(&format!("/events/1/tasks/{id}/notes"), &[("text", script)]).await.status, 303);
        let waiting = [("state", "waiting"), ("waiting_for", script)];
        assert_eq!(olga.post(&format!("/events/1/tasks/{id}/state"), &waiting).await.status, 303);
        for path in [
            "/events/1",
            "/events/1/tasks",
            &format!("/events/1/tasks/{id}"),
            &format!("/events/1/tasks/{id}/edit"),
            "/events/1/lists",
            "/events/1/wall",
            "/events/1/journal",
            &format!("/events/1/tasks/{id}/remove"),
            "/events/1/move?burn_on=2027-06-12",
        ] {
            let page = olga.get(path).await;
            assert_eq!(page.status, 200, "{path}");
            for (element, attribute) in [
                ("script:not([src])", "defer"),
                ("img", "src"),
                ("[onmouseover]", "onmouseover"),
                ("svg[onload]", "onload"),
            ] {
                assert_eq!(page.all(element), Vec::<String>::new(), "{path}: {element} {attribute} from {script}");
            }
        }
    }
}
