//! The Email page.

use crate::support::post::{letter, posting, quick, send_by};
use crate::support::{NOW, Relay, TestApp};
use burnday::accounts::Role;
use burnday::mail::{Kind, Letter, MailState, of_person, of_request};
use burnday::web::link::Opens;
use burnday::web::words::{self, Reader};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use time::Duration;
use time::macros::{date, datetime};

/// How many journal entries have this verb and this subject.
fn noted(test: &TestApp, verb: &str, subject: &str) -> usize {
    test.dump().matches(&format!("'{verb}','{subject}',")).count()
}

#[tokio::test]
async fn only_the_education_officer_sees_mail() {
    let test = TestApp::planned().await;
    let id = test.queue(letter(1)).await;
    let mut olga = test.olga().await;
    let page = olga.get("/mail").await;
    assert_eq!(page.status, 200);
    assert_eq!(page.count(".pages a[href='/mail'][aria-current=page]"), 1);
    for role in Role::ALL.into_iter().filter(|role| *role != Role::EducationOfficer) {
        let mut other = test.somebody(role).await;
        for path in ["/mail".to_owned(), format!("/mail/{id}"), format!("/mail/{id}/reading")] {
            assert_eq!(other.get(&path).await.status, 403, "{path} as {role}");
        }
        assert!(other.get("/events/1").await.attributes(".me a[href='/mail']", "href").is_empty());
    }
    assert_eq!(test.stranger().get("/mail").await.location(), "/sign-in?next=/mail");
}

#[tokio::test]
async fn messages_stand_under_what_became_of_them_with_the_relays_words() {
    let relay = Relay::with(|step, to| match (step, to) {
        ("RCPT", "wren2@example.org") => Some("550 5.1.1 <script>no such user</script>".into()),
        ("RCPT", "wren3@example.org") => Some("452 4.2.2 mailbox full".into()),
        _ => None,
    })
    .await;
    let test = posting(&relay).await;
    for number in 1..=3 {
        test.queue(letter(number)).await;
    }
    test.queue(Letter { due_at: NOW + Duration::days(1), ..letter(4) }).await;
    test.tick().await;
    test.at(NOW + Duration::minutes(7));
    let mut olga = test.olga().await;
    let page = olga.get("/mail").await;
    let states = ["waiting", "sent", "failed", "uncertain", "cancelled", "expired"];
    assert_eq!(page.attributes(".tabs a", "data-state"), states);
    assert_eq!(page.attributes(".tabs a", "data-number"), ["2", "1", "1", "0", "0", "0"]);
    assert!(page.text(".tabs [data-state=waiting]").contains('2'), "the number is shown");
    assert_eq!(page.all(".post .t a"), ["Walk-through 3", "Walk-through 4"]);
    assert_eq!(page.mark(".post li", "kind"), "notice");
    assert!(page.text(".post li").contains("Wren Ibarra, wren3@example.org"));
    assert!(page.text(".post .words").contains("452 4.2.2 mailbox full"));
    assert_eq!(page.mark("#oldest", "minutes"), "7");
    assert!(page.text("#oldest").contains(&words::count(7_usize, "minute", "minutes")));
    assert!(page.has("[data-note=accepted]"));
    assert!(!page.body.to_lowercase().contains("delivered"));
    let failed = olga.get("/mail?state=failed").await;
    assert_eq!(failed.all(".post .words"), ["550 5.1.1 <script>no such user</script>"]);
    let sent = olga.get("/mail?state=sent").await;
    assert!(sent.text(".post li").contains("Walk-through 1"));
    assert_eq!(relay.taken_for(), ["wren1@example.org"]);
    assert!(olga.get("/mail?state=uncertain").await.has("[data-empty=uncertain]"));
}

#[tokio::test]
async fn all_mail_is_held_and_let_go_with_a_reason_and_both_are_in_the_journal() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let wrong = olga.post("/mail/hold", &[("why", "  ")]).await;
    assert_eq!(wrong.status, 422);
    assert_eq!(wrong.mistakes(), ["why"]);
    olga.post("/mail/hold", &[("why", "The date in the letter is wrong")]).await;
    let page = olga.get("/mail").await;
    let held = page.text("[data-note=held]");
    let since = Reader::App.near_moment(datetime!(2026-11-25 09:00), date!(2026 - 11 - 25));
    for part in ["Olga Wren", "The date in the letter is wrong", &since] {
        assert!(held.contains(part), "{part}: {held}");
    }
    let id = test.queue(letter(1)).await;
    test.tick().await;
    assert_eq!(test.stands(id).await.0, MailState::Waiting);
    olga.post("/mail/release", &[("why", "Written anew")]).await;
    test.tick().await;
    assert_eq!(test.stands(id).await.0, MailState::Sent);
    assert!(!olga.get("/mail").await.has("[data-note=held]"));
    assert_eq!((noted(&test, "held", "all mail"), noted(&test, "released", "all mail")), (1, 1));
    let journal = olga.get("/journal").await.all("main .list > li");
    for why in ["The date in the letter is wrong", "Written anew"] {
        assert!(journal.iter().any(|line| line.contains("Olga Wren") && line.contains(why)), "{why}: {journal:?}");
    }
}

#[tokio::test]
async fn a_message_is_cancelled_or_tried_again_and_the_journal_says_who() {
    let refuses = Arc::new(AtomicBool::new(true));
    let refusing = Arc::clone(&refuses);
    let relay = Relay::with(move |step, _| {
        (step == "RCPT" && refusing.load(Ordering::SeqCst)).then_some("554 5.6.0 no".into())
    })
    .await;
    let test = posting(&relay).await;
    let failed = test.queue(letter(1)).await;
    test.tick().await;
    let later = test.queue(Letter { due_at: NOW + Duration::days(1), ..letter(2) }).await;
    let mut olga = test.olga().await;

    let page = olga.get(&format!("/mail/{failed}")).await;
    assert_eq!(page.mark(".facts", "state"), "failed");
    assert_eq!(page.text(".facts .words"), "554 5.6.0 no");
    let number = test.mail(failed).await.message_id;
    refuses.store(false, Ordering::SeqCst);
    assert_eq!(olga.post(&format!("/mail/{failed}/try-again"), &[]).await.status, 303);
    test.tick().await;
    assert_eq!(test.stands(failed).await.0, MailState::Sent);
    assert_eq!(relay.taken()[0].message_id(), number, "it keeps its number");
    olga.post(&format!("/mail/{failed}/try-again"), &[]).await;
    assert!(!olga.get("/mail").await.said().is_empty());
    test.tick().await;
    assert_eq!(relay.taken().len(), 1);
    assert_eq!(noted(&test, "tried again", "mail"), 1);

    assert_eq!(olga.post(&format!("/mail/{later}/cancel"), &[("why", "")]).await.status, 422);
    olga.post(&format!("/mail/{later}/cancel"), &[("why", "She knows already")]).await;
    assert_eq!(test.stands(later).await, (MailState::Cancelled, "She knows already".to_owned()));
    olga.post(&format!("/mail/{later}/cancel"), &[("why", "again")]).await;
    assert!(!olga.get("/mail").await.said().is_empty());
    assert_eq!(test.stands(later).await, (MailState::Cancelled, "She knows already".to_owned()), "it came too late");
    assert_eq!(noted(&test, "cancelled", "mail"), 1);
    let page = olga.get(&format!("/mail/{later}")).await;
    assert_eq!(page.mark(".facts", "state"), "cancelled");
    let history = page.text("main .list > li");
    assert!(history.contains("Olga Wren") && history.contains("She knows already"), "{history}");
}

#[tokio::test]
async fn a_test_goes_to_whoever_presses() {
    let relay = Relay::kind().await;
    let test = posting(&relay).await;
    let mut olga = test.olga().await;
    for _ in 0..2 {
        assert_eq!(olga.post("/mail/test", &[]).await.status, 303);
    }
    assert!(olga.get("/mail").await.said().contains("olga@example.org"));
    test.tick().await;
    let to: Vec<String> = relay.taken().into_iter().map(|taken| taken.to).collect();
    assert_eq!(to, ["olga@example.org", "olga@example.org"]);
    assert_eq!(noted(&test, "sent", "mail"), 2);
    let (subject, journal) = (test.mail(1).await.subject, olga.get("/journal").await.all("main .list > li"));
    assert!(journal.iter().any(|line| line.contains("Olga Wren") && line.contains(&subject)), "{journal:?}");
}

#[tokio::test]
async fn a_message_is_shown_as_its_reader_sees_it_with_links_only_where_nothing_leaves_the_house() {
    let mut test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.queue(Letter { kind: Kind::Announcement, person_id: Some(wren), ..letter(1) }).await;
    let mut olga = test.olga().await;
    let secret = test.app.link_key.secret(Opens::Question, 7, 1).reveal().to_owned();
    let stops = test.app.link_key.secret(Opens::Announcements, wren, 1).reveal().to_owned();

    let page = olga.get(&format!("/mail/{id}")).await;
    assert!(page.header("content-security-policy").contains("frame-src 'self'"));
    assert_eq!(page.attributes("iframe", "sandbox"), ["allow-popups allow-popups-to-escape-sandbox"]);
    assert_eq!(page.attributes("iframe", "src"), [format!("/mail/{id}/reading")]);
    assert!(page.has("[data-links=work]"));
    assert!(page.body.contains(&stops));
    let with_link = page.text("pre");
    let (before, after) = with_link.split_once(&format!("http://127.0.0.1:8080/answer/{secret}")).unwrap();
    let reading = olga.get(&format!("/mail/{id}/reading")).await;
    let policy = reading.header("content-security-policy");
    assert!(policy.contains("default-src 'none'; style-src 'unsafe-inline'") && policy.contains("sandbox"), "{policy}");
    assert!(!policy.contains("script") && !policy.contains("allow-same-origin") && !policy.contains("allow-forms"));
    assert_eq!(reading.header("x-frame-options"), "SAMEORIGIN");
    assert_eq!(reading.attributes("base", "target"), ["_blank"]);
    assert!(reading.attributes("a", "href")[0].contains(&secret));

    let relay = Relay::kind().await;
    test.change(|app| send_by(app, &relay, quick()));
    let mut olga = test.olga().await;
    for path in [format!("/mail/{id}"), format!("/mail/{id}/reading"), "/mail".to_owned()] {
        let page = olga.get(&path).await;
        assert!(!page.body.contains(&secret) && !page.body.contains(&stops), "{path}");
    }
    let page = olga.get(&format!("/mail/{id}")).await;
    assert!(page.has("[data-links='left out']"));
    // Everything else stays, and something says that a link was there.
    let without = page.text("pre");
    let instead = without.strip_prefix(before).and_then(|rest| rest.strip_suffix(after)).unwrap();
    assert!(!instead.is_empty() && !instead.contains("http"), "{without}");
    assert!(page.text("details").contains(&format!("List-Unsubscribe: {instead}")), "{}", page.text("details"));
    assert!(olga.get(&format!("/mail/{id}/reading")).await.attributes("a[href]", "href").is_empty());
}

#[tokio::test]
async fn a_long_list_goes_on_and_other_pages_find_their_messages() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    for number in 0..61 {
        test.queue(Letter { person_id: Some(wren), request_id: Some(5), ..letter(number) }).await;
    }
    let mut olga = test.olga().await;
    let page = olga.get("/mail").await;
    assert_eq!(page.all(".post > li").len(), 60);
    let further = page.attributes("main p > a", "href").into_iter().find(|href| href.contains("skip")).unwrap();
    assert_eq!(olga.get(&further).await.all(".post > li").len(), 1);
    let of_wren = of_person(test.app.db.read(), wren).await.unwrap();
    assert_eq!((of_wren.len(), of_wren[0].subject.as_str()), (61, "Walk-through 60"));
    assert_eq!(of_request(test.app.db.read(), 5).await.unwrap(), of_wren);
    assert!(of_request(test.app.db.read(), 6).await.unwrap().is_empty());
}
