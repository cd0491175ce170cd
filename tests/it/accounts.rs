use crate::support::{Answer, NOW, OFFICER, PASSWORD, TestApp};
use axum::body::Body;
use axum::http::Request;
use burnday::accounts::{self, Purpose, Role};
use burnday::web::limits::Limit;
use time::Duration;

async fn set_up_link(test: &TestApp) -> String {
    let link = test.app.db.write(|tx| Box::pin(accounts::set_up_link(tx, NOW))).await.unwrap();
    format!("/set-up/{}", link.unwrap().reveal())
}

const SET_UP: [(&str, &str); 6] = [
    ("department", "Alder Bend Fire District"),
    ("zone", "america/chicago"),
    ("phone", "555-0117"),
    ("name", "Olga Wren"),
    ("mail", OFFICER),
    ("password", PASSWORD),
];

#[tokio::test]
async fn the_first_officer_sets_up_with_the_printed_link_once() {
    let test = TestApp::empty().await;
    let mut olga = test.stranger();
    assert_eq!(olga.get("/sign-in").await.status, 503);
    let link = set_up_link(&test).await;
    assert!(olga.get(&link).await.has("form[method=post] input[name=department]"));

    let answer = olga.post(&link, &SET_UP).await;
    assert_eq!((answer.status, answer.location()), (303, "/"));
    assert_eq!(olga.get("/events").await.status, 200);
    assert_eq!(accounts::department(test.app.db.read()).await.unwrap().unwrap().zone, "America/Chicago");

    assert_eq!(test.stranger().get(&link).await.status, 404);
    assert_eq!(test.stranger().post(&link, &SET_UP).await.status, 404);
    assert!(test.app.db.write(|tx| Box::pin(accounts::set_up_link(tx, NOW))).await.unwrap().is_none());
}

#[tokio::test]
async fn a_newer_set_up_link_replaces_the_older_and_runs_out_after_a_day() {
    let test = TestApp::empty().await;
    let old = set_up_link(&test).await;
    let new = set_up_link(&test).await;
    assert_eq!(test.stranger().get(&old).await.status, 404);
    assert_eq!(test.stranger().get(&new).await.status, 200);
    test.at(NOW + Duration::hours(25));
    assert_eq!(test.stranger().get(&new).await.status, 404);
}

#[tokio::test]
async fn mistakes_in_the_set_up_stand_beside_their_fields_and_nothing_typed_is_lost() {
    let test = TestApp::empty().await;
    let link = set_up_link(&test).await;
    let mut fields = SET_UP;
    fields[1].1 = "Mars/Olympus";
    fields[4].1 = "olga";
    fields[5].1 = "short";
    let answer = test.stranger().post(&link, &fields).await;
    assert_eq!(answer.status, 422);
    assert_eq!(answer.mistakes(), ["zone", "mail", "password"]);
    let typed = [fields[1], fields[4], fields[5]];
    let remedies = typed.map(|(field, value)| format!("{field}: {value} → {}", answer.mistake(field)));
    insta::assert_snapshot!("mistakes-in-the-set-up", remedies.join("\n"));
    assert_eq!(answer.value("department"), "Alder Bend Fire District");
    assert_eq!(answer.value("mail"), "olga");
    assert!(!answer.body.contains("value=\"short\""), "a password is not sent back");
    assert_eq!(answer.attributes("#mail", "aria-describedby"), ["mail-mistake mail-help"]);
}

#[tokio::test]
async fn signing_in_gives_a_new_secret_and_signing_out_ends_it() {
    let test = TestApp::set_up().await;
    let mut olga = test.stranger();
    let planted = "B".repeat(43);
    olga.cookies.insert("burnday".to_owned(), planted.clone());
    let answer = olga.post("/sign-in", &[("mail", "OLGA@example.org "), ("password", PASSWORD)]).await;
    assert_eq!(answer.status, 303);
    let secret = olga.cookies["burnday"].clone();
    assert_ne!(secret, planted);
    let cookie = answer.header("set-cookie");
    for part in ["HttpOnly", "SameSite=Lax", "Path=/"] {
        assert!(cookie.contains(part), "{cookie}");
    }

    assert_eq!(olga.post("/sign-out", &[]).await.location(), "/sign-in");
    olga.cookies.insert("burnday".to_owned(), secret);
    assert_eq!(olga.get("/events").await.status, 303);
}

#[tokio::test]
async fn with_https_the_cookie_is_tied_to_the_host() {
    let test = TestApp::with(&["--base-url", "https://burn.example.org"]).await;
    crate::support::set_up(&test.app).await;
    let answer = test.stranger().post("/sign-in", &[("mail", OFFICER), ("password", PASSWORD)]).await;
    let cookie = answer.header("set-cookie");
    assert!(cookie.starts_with("__Host-burnday=") && cookie.contains("Secure"), "{cookie}");
    assert!(answer.header("strict-transport-security").starts_with("max-age=31536000"));
}

#[tokio::test]
async fn an_unknown_name_and_a_wrong_password_get_the_same_answer() {
    let test = TestApp::set_up().await;
    let wrong = test.stranger().post("/sign-in", &[("mail", OFFICER), ("password", "not this one")]).await;
    let unknown = test.stranger().post("/sign-in", &[("mail", "oona@example.org"), ("password", "not this one")]).await;
    assert_eq!((wrong.status, unknown.status), (422, 422));
    // Except for the form's key, which differs on every page.
    let key = |answer: &Answer| answer.value(burnday::web::form_key::FIELD);
    assert_eq!(wrong.body.replace("olga@", "oona@").replace(&key(&wrong), &key(&unknown)), unknown.body);
}

#[tokio::test]
async fn after_signing_in_only_a_page_of_this_site_is_opened() {
    let test = TestApp::set_up().await;
    let asked = test.stranger().get("/settings/accounts?x=1").await;
    assert_eq!(asked.location(), "/sign-in?next=/settings/accounts%3Fx%3D1");
    for (next, to) in
        [("/settings/accounts", "/settings/accounts"), ("//evil.example.org", "/"), ("https://x.org", "/")]
    {
        let mut olga = test.stranger();
        let answer = olga.post("/sign-in", &[("mail", OFFICER), ("password", PASSWORD), ("next", next)]).await;
        assert_eq!(answer.location(), to);
    }
}

#[tokio::test]
async fn too_many_tries_at_one_account_must_wait_and_others_need_not() {
    let test = TestApp::set_up().await;
    let mut last = 0;
    for _ in 0..9 {
        last = test.stranger().post("/sign-in", &[("mail", OFFICER), ("password", "guess guess guess")]).await.status;
    }
    assert_eq!(last, 429);
    let answer = test.stranger().post("/sign-in", &[("mail", OFFICER), ("password", PASSWORD)]).await;
    assert_eq!(answer.status, 429);
    assert!(answer.header("retry-after").parse::<u64>().unwrap() > 0);
    assert_eq!(test.stranger().post("/sign-in", &[("mail", "b@example.org"), ("password", "x")]).await.status, 422);
}

/// A store behind one trusted proxy.
async fn behind_a_proxy() -> TestApp {
    let test = TestApp::with(&["--trusted-proxies", "1"]).await;
    crate::support::set_up(&test.app).await;
    test
}

/// A sign-in attempt from an address, with these cookies.
fn a_try(mail: &str, password: &str, (address, cookies): (&str, &str)) -> Request<Body> {
    let body = format!("mail={mail}&password={}", password.replace(' ', "+"));
    Request::post("/sign-in")
        .header("content-type", "application/x-www-form-urlencoded")
        .header("sec-fetch-site", "same-origin")
        .header("x-forwarded-for", address)
        .header("cookie", cookies)
        .body(body.into())
        .unwrap()
}

#[tokio::test]
async fn strangers_tries_keep_nobody_out_of_their_account() {
    let test = behind_a_proxy().await;
    let mail = "olga%40example.org";
    let first = test.stranger().send(a_try(mail, PASSWORD, ("192.0.2.1", ""))).await;
    assert_eq!(first.status, 303);
    let device = first.set_cookie("burnday-device");
    // Tries from many addresses, and all the tries this address has.
    for n in 0..16 {
        for _ in 0..8 {
            let _ = test.app.limits.take(Limit::SignInHere, &format!("olga@example.org 198.51.100.{n}"));
            let _ = test.app.limits.wait(Limit::SignInAccount, "olga@example.org");
        }
    }
    for _ in 0..9 {
        test.stranger().send(a_try(mail, "guess guess guess", ("192.0.2.1", ""))).await;
    }
    assert_eq!(test.stranger().send(a_try(mail, PASSWORD, ("192.0.2.1", ""))).await.status, 429);
    let known = test.stranger().send(a_try(mail, PASSWORD, ("192.0.2.1", &device))).await;
    assert_eq!(known.status, 303, "a browser that signed in before still gets in");
    let elsewhere = test.stranger().send(a_try(mail, PASSWORD, ("203.0.113.9", ""))).await;
    assert_eq!(elsewhere.status, 303, "from somewhere new it only takes longer");
    // The cookie is for this account only, and its own tries run out too.
    let other = device.replacen('=', "=1", 1);
    assert_eq!(test.stranger().send(a_try(mail, PASSWORD, ("192.0.2.1", &other))).await.status, 429);
    let mut last = 0;
    for _ in 0..9 {
        last = test.stranger().send(a_try(mail, "guess guess guess", ("192.0.2.1", &device))).await.status;
    }
    assert_eq!(last, 429);
}

#[tokio::test]
async fn so_many_at_once_are_told_to_come_back_and_a_known_browser_gets_in() {
    let test = behind_a_proxy().await;
    let first = test.stranger().send(a_try("olga%40example.org", PASSWORD, ("192.0.2.1", ""))).await;
    let device = first.set_cookie("burnday-device");
    let mut tries = Vec::new();
    for n in 0..200 {
        let mut stranger = test.stranger();
        let request = a_try(&format!("m{n}%40example.org"), "x", (&format!("198.51.100.{n}"), ""));
        tries.push(tokio::spawn(async move { stranger.send(request).await }));
    }
    let known = test.stranger().send(a_try("olga%40example.org", PASSWORD, ("192.0.2.1", &device))).await;
    assert_eq!(known.status, 303);
    let mut busy = 0;
    for (n, one) in tries.into_iter().enumerate() {
        let answer = one.await.unwrap();
        assert!([422, 503].contains(&answer.status), "{}", answer.status);
        if answer.status == 503 {
            busy += 1;
            assert_eq!(answer.all("[data-busy]").len(), 1);
            assert_eq!(answer.value("mail"), format!("m{n}@example.org"), "what was typed stays");
            assert!(answer.header("retry-after").parse::<u64>().unwrap() > 0);
        }
    }
    assert!(busy > 0);
}

#[tokio::test]
async fn who_lets_somebody_in_types_their_own_password_again() {
    let test = TestApp::set_up().await;
    let mut olga = test.stranger();
    assert_eq!(olga.post("/sign-in", &[("mail", OFFICER), ("password", PASSWORD)]).await.status, 303);
    let new = [("name", "Jun Park"), ("mail", "jun@example.org"), ("role", "reader")];
    let refused = olga.post("/settings/accounts", &[&new[..], &[("own", "not this one")]].concat()).await;
    assert_eq!((refused.status, refused.all("#own-mistake").len()), (422, 1));
    assert_eq!(refused.value("name"), "Jun Park");
    let path = "/settings/accounts/2";
    assert_eq!(olga.get(path).await.status, 404, "nobody was invited");
    assert_eq!(olga.post("/settings/accounts", &[&new[..], &[("own", PASSWORD)]].concat()).await.status, 200);

    let form = olga.get(path).await.form();
    for (field, other) in [("role", "education officer"), ("mail", "evil@example.org")] {
        let refused = olga.submit(path, &form.clone().with(field, other)).await;
        assert_eq!((refused.status, refused.all("#own-mistake").len()), (422, 1), "{field}");
        assert_eq!(refused.form().value(field), other, "what was typed stays");
    }
    assert_eq!(
        olga.submit(path, &form.clone().with("name", "Jun Park-Lee")).await.status,
        303,
        "a name lets nobody in"
    );
    let form = olga.get(path).await.form().with("role", "timekeeper").with("own", PASSWORD);
    assert_eq!(olga.submit(path, &form).await.status, 303);

    let link = format!("{path}/link");
    let wrong = olga.post(&link, &[("own-link", "not this one")]).await;
    assert_eq!(wrong.mistakes(), ["own-link"]);
    assert_eq!(olga.post(&link, &[("own-link", PASSWORD)]).await.status, 200);
    let mut last = String::new();
    for _ in 0..9 {
        last = olga.post(&link, &[("own-link", "guess")]).await.mistake("own-link");
    }
    assert!(!last.is_empty() && last != wrong.mistake("own-link"), "it says there were too many: {last}");
    let right = olga.post(&link, &[("own-link", PASSWORD)]).await;
    assert_eq!((right.status, right.mistakes()), (422, vec!["own-link".to_owned()]), "not even the right one for now");
}

#[tokio::test]
async fn a_password_that_is_soon_guessed_is_refused() {
    let test = TestApp::empty().await;
    let link = set_up_link(&test).await;
    for weak in ["P@ssw0rd1234", "AlderBendFire1", "olga.olga.olga"] {
        let mut fields = SET_UP;
        fields[5].1 = weak;
        let answer = test.stranger().post(&link, &fields).await;
        assert_eq!((answer.status, answer.all("#password-mistake").len()), (422, 1), "{weak}");
    }
}

#[tokio::test]
async fn another_forwarded_address_does_not_reset_the_limit() {
    let test = TestApp::set_up().await;
    // One try comes back every two seconds, and a hash takes part of a second.
    for n in 0..250 {
        let mut guesser = test.stranger();
        let request = axum::http::Request::post("/sign-in")
            .header("content-type", "application/x-www-form-urlencoded")
            .header("sec-fetch-site", "same-origin")
            .header("x-forwarded-for", format!("198.51.100.{n}"))
            .body(format!("mail=m{n}%40example.org&password=x").into())
            .unwrap();
        if guesser.send(request).await.status == 429 {
            return;
        }
    }
    panic!("250 tries from one address were let through");
}

#[tokio::test]
async fn sign_ins_end_by_themselves() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.at(NOW + Duration::days(13));
    assert_eq!(olga.get("/events").await.status, 200);
    test.at(NOW + Duration::days(26));
    assert_eq!(olga.get("/events").await.status, 200, "seen on day 13");
    test.at(NOW + Duration::days(41));
    assert_eq!(olga.get("/events").await.status, 303, "idle for 15 days");

    let mut olga = test.olga().await;
    for day in (41..101).step_by(10) {
        test.at(NOW + Duration::days(day));
        assert_eq!(olga.get("/events").await.status, 200);
    }
    test.at(NOW + Duration::days(102));
    assert_eq!(olga.get("/events").await.status, 303, "60 days at most");
}

#[tokio::test]
async fn an_invitation_is_taken_once_and_chooses_a_password() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let invited = [("name", "Dele Aldous"), ("mail", "dele@example.org"), ("role", "safety officer")];
    let shown = olga.post("/settings/accounts", &invited).await;
    let link = shown.text(".copy");
    let path = link.strip_prefix("http://127.0.0.1:8080").unwrap().to_owned();
    assert!(!test.dump().contains(path.rsplit('/').next().unwrap()), "the store holds no usable link");

    let mut dele = test.stranger();
    let page = dele.get(&path).await;
    assert_eq!(page.header("referrer-policy"), "no-referrer");
    assert!(page.says("safety officer"));
    assert_eq!(dele.post(&path, &[("password", "short")]).await.status, 422);
    assert_eq!(dele.post(&path, &[("password", PASSWORD)]).await.status, 303);
    assert_eq!(dele.get("/events/1").await.status, 200);
    assert!(!test.dump().contains(&dele.cookies["burnday"]), "the store holds no usable sign-in");

    assert_eq!(test.stranger().get(&path).await.status, 404);
    let mut again = test.stranger();
    assert_eq!(again.post("/sign-in", &[("mail", "dele@example.org"), ("password", PASSWORD)]).await.status, 303);
}

#[tokio::test]
async fn a_link_for_one_thing_opens_nothing_else() {
    let test = TestApp::planned().await;
    let link = test.link(OFFICER, Purpose::Password).await;
    let secret = link.rsplit('/').next().unwrap();
    let unknown = test.stranger().get(&format!("/invitation/{}", "A".repeat(43))).await;
    assert_eq!(unknown.status, 404);
    assert!(unknown.says("555-0117"));
    for elsewhere in ["/invitation", "/set-up", "/enter"] {
        let answer = test.stranger().get(&format!("{elsewhere}/{secret}")).await;
        assert_eq!((answer.status, &answer.body), (404, &unknown.body), "{elsewhere}");
    }
    assert_eq!(test.stranger().get(&link).await.status, 200);
}

#[tokio::test]
async fn a_new_password_ends_every_sign_in() {
    let test = TestApp::planned().await;
    let (mut here, mut there) = (test.olga().await, test.olga().await);
    let wrong = here.post("/you/password", &[("old", "not this one at all"), ("new", "seven brisk otters")]).await;
    assert_eq!(wrong.status, 422);
    assert_eq!(wrong.mistakes(), ["old"]);
    let right = here.post("/you/password", &[("old", PASSWORD), ("new", "seven brisk otters")]).await;
    assert_eq!(right.location(), "/sign-in");
    assert_eq!(here.get("/events").await.status, 303);
    assert_eq!(there.get("/events").await.status, 303);
    let fields = [("mail", OFFICER), ("password", "seven brisk otters")];
    assert_eq!(test.stranger().post("/sign-in", &fields).await.status, 303);
}

#[tokio::test]
async fn signing_out_everywhere_does() {
    let test = TestApp::planned().await;
    let (mut here, mut there) = (test.olga().await, test.olga().await);
    assert_eq!(here.post("/you/sign-out-everywhere", &[]).await.status, 303);
    assert_eq!(there.get("/events").await.status, 303);
}

#[tokio::test]
async fn a_changed_role_and_a_disabled_account_count_from_the_next_press() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let mut jun = test.somebody(Role::InformationOfficer).await;
    let account = accounts::find_by_mail(test.app.db.read(), "information-officer@example.org").await.unwrap().unwrap();
    let path = format!("/settings/accounts/{}", account.id);
    let change = |role: &'static str, version: &'static str| {
        let mail = "information-officer@example.org";
        [("name", "Somebody, information officer"), ("mail", mail), ("role", role), ("version", version)]
    };
    let task = test.task("news-release").await;
    let press = format!("/events/1/tasks/{task}/state");
    assert_eq!(jun.post(&press, &[("state", "waiting"), ("waiting_for", "the editor")]).await.status, 303);

    assert_eq!(olga.post(&path, &change("reader", "1")).await.status, 303);
    assert_eq!(jun.post(&press, &[("state", "done")]).await.status, 403);
    assert_eq!(jun.get("/events/1").await.status, 200);

    let stale = olga.post(&path, &change("timekeeper", "1")).await;
    assert_eq!(stale.status, 409);
    assert!(stale.says("reader") && stale.says("timekeeper"));

    let disable = [&change("reader", "2")[..], &[("disabled", "yes")]].concat();
    assert_eq!(olga.post(&path, &disable).await.status, 303);
    assert_eq!(jun.get("/events/1").await.status, 303);
    let link = test.link("information-officer@example.org", Purpose::Demo).await;
    assert_eq!(test.stranger().get(&link).await.status, 404, "no link opens a disabled account");
    assert_eq!(olga.post(&format!("{path}/link"), &[]).await.status, 400);
}

#[tokio::test]
async fn the_last_education_officer_stays_one() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/settings/accounts/1").await.form();
    let answer = olga.submit("/settings/accounts/1", &form.clone().with("role", "reader")).await;
    assert_eq!(answer.status, 422);
    assert_eq!(answer.mistakes(), ["role"]);
    assert_eq!(olga.submit("/settings/accounts/1", &form.and("disabled", "yes")).await.status, 422);
}

#[tokio::test]
async fn a_mistyped_invitation_is_put_right() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let wrong = [("name", "Dele Aldus"), ("mail", "dele@exmaple.org"), ("role", "safety officer")];
    olga.post("/settings/accounts", &wrong).await;
    let form = olga.get("/settings/accounts/2").await.form();
    let taken = olga.submit("/settings/accounts/2", &form.clone().with("mail", OFFICER)).await;
    assert_eq!(taken.mistakes(), ["mail"]);
    let right = form.with("name", "Dele Aldous").with("mail", "dele@example.org");
    assert_eq!(olga.submit("/settings/accounts/2", &right).await.status, 303);
    let listed = olga.get("/settings/accounts").await;
    let line = listed.text("[data-account='2']");
    for part in ["Dele Aldous", Role::SafetyOfficer.as_str(), "dele@example.org"] {
        assert!(line.contains(part), "{part}: {line}");
    }
    let journal = test.somebody(Role::Reader).await.get("/journal").await;
    assert!(journal.says("Dele Aldous") && !journal.body.contains("@ex"), "not everyone sees email addresses");
}

#[tokio::test]
async fn who_hangs_up_leaves_the_turn_of_a_hash_taken_until_it_is_done() {
    let test = TestApp::set_up().await;
    let app = test.app.clone();
    let hash = tokio::spawn(async move { accounts::hash_password(&app, PASSWORD.to_owned()).await });
    while test.app.hashing.running() == 0 {
        tokio::task::yield_now().await;
    }
    hash.abort();
    let _ = hash.await;
    assert_eq!(test.app.hashing.running(), 1, "the work goes on");
}

#[tokio::test]
async fn two_accounts_never_share_a_mail_address_or_a_name() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let taken = [("name", "Other"), ("mail", "OLGA@example.org"), ("role", "reader")];
    assert_eq!(olga.post("/settings/accounts", &taken).await.mistakes(), ["mail"]);
    let namesake = [("name", "olga wren"), ("mail", "o2@example.org"), ("role", "reader")];
    assert_eq!(olga.post("/settings/accounts", &namesake).await.mistakes(), ["name"]);
}

#[tokio::test]
#[expect(clippy::disallowed_methods, reason = "the macro checks the queries of the app alone")]
async fn a_sign_in_that_is_over_stays_over_when_the_clock_is_set_back() {
    let sign_ins = async |test: &TestApp| -> i64 {
        sqlx::query_scalar("select count(*) from session").fetch_one(test.app.db.read()).await.unwrap()
    };
    // Someone uses it once more after it is over.
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert_eq!(olga.get("/events/1").await.status, 200);
    test.at(NOW + Duration::days(15));
    assert_eq!(olga.get("/events/1").await.status, 303);
    test.at(NOW);
    assert_eq!(olga.get("/events/1").await.status, 303);
    assert_eq!(sign_ins(&test).await, 0);
    // Nobody uses it.
    let mut olga = test.olga().await;
    test.at(NOW + Duration::days(15));
    test.tick().await;
    assert_eq!(sign_ins(&test).await, 0);
    test.at(NOW);
    assert_eq!(olga.get("/events/1").await.status, 303);
}
