//! Outgoing email, against an email server that follows a script.

use crate::support::post::{letter, posting, quick, send_by};
use crate::support::{NOW, Relay, Reply, Taken, TestApp};
use burnday::background::{self, OUTSIDE};
use burnday::db::journal::Actor;
use burnday::events::{self, Details};
use burnday::mail::{Calendar, Kind, Letter, MailState, Mailbox, Method, Pace, Patience, outbox, unwell};
use burnday::web::link::Opens;
use burnday::web::words::{self, Reader};
use mail_parser::{MessageParser, MimeHeaders, PartType};
use std::collections::{BTreeMap, BTreeSet};
use std::os::unix::fs::PermissionsExt;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Instant;
use time::macros::{date, datetime};
use time::{Duration, OffsetDateTime};

const SECOND: std::time::Duration = std::time::Duration::from_secs(1);

fn to(kind: Kind, person: i64) -> Letter {
    let to = Mailbox { name: "Wren".to_owned(), address: "wren@example.org".to_owned() };
    Letter { kind, person_id: Some(person), to, dedup: format!("{kind} {person}"), ..letter(0) }
}

/// RFC 5545 section 3.4; RFC 5546 section 3.2.2.
const INVITATION: &str = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Burnday//EN\r\nMETHOD:REQUEST\r\nBEGIN:VEVENT\r\n\
                          UID:1@example.org\r\nDTSTAMP:20261125T150000Z\r\nDTSTART:20270605T150000Z\r\n\
                          SUMMARY:Burn day\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";

/// Read by a parser other than the library that wrote it.
#[tokio::test]
async fn a_message_reads_back_as_it_was_meant() {
    let relay = Relay::kind().await;
    let test = posting(&relay).await;
    let id = test
        .queue(Letter {
            to: Mailbox { name: "Tomás Brandt".to_owned(), address: "tomas@example.org".to_owned() },
            subject: "Übung: “walk-through” on Friday".to_owned(),
            calendars: vec![Calendar { method: Method::Request, text: INVITATION.to_owned() }],
            in_reply_to: Some("first@example.org".to_owned()),
            ..letter(1)
        })
        .await;
    test.tick().await;
    assert_eq!(test.stands(id).await, (MailState::Sent, "250 2.0.0 taken".to_owned()));
    let taken = &relay.taken()[0];
    assert_eq!(taken.to, "tomas@example.org");
    assert!(taken.text.is_ascii(), "it must pass a server without 8BITMIME");
    assert!(taken.text.split(|byte| *byte == b'\n').all(|line| line.len() <= 999), "RFC 5321, section 4.5.3.1.6");

    let message = MessageParser::default().parse(&taken.text).unwrap();
    let mail = test.mail(id).await;
    assert_eq!(message.subject(), Some("Übung: “walk-through” on Friday"));
    let address = |list: Option<&mail_parser::Address<'_>>| {
        let one = list.unwrap().first().unwrap();
        (one.name().unwrap_or_default().to_owned(), one.address().unwrap().to_owned())
    };
    assert_eq!(address(message.to()), ("Tomás Brandt".to_owned(), "tomas@example.org".to_owned()));
    assert_eq!(address(message.from()), ("Alder Bend".to_owned(), "burn@example.org".to_owned()));
    assert_eq!(address(message.reply_to()), ("Olga Wren".to_owned(), "olga@example.org".to_owned()));
    assert_eq!(message.message_id(), Some(mail.message_id.as_str()));
    assert_eq!(message.in_reply_to().as_text(), Some("first@example.org"));
    assert_eq!(message.references().as_text(), Some("first@example.org"));
    assert_eq!(message.date().unwrap().to_timestamp(), NOW.unix_timestamp());
    assert_eq!(message.header_raw("Auto-Submitted").unwrap().trim(), "auto-generated");
    assert!(message.header_raw("List-Unsubscribe").is_none(), "only in announcements");

    let secret = test.app.link_key.secret(Opens::Question, 7, 1);
    let link = format!("http://127.0.0.1:8080/answer/{}", secret.reveal());
    assert!(message.body_text(0).unwrap().contains(&link));
    assert!(message.body_html(0).unwrap().contains(&format!("href=\"{link}\"")));
    assert!(!test.dump().contains(secret.reveal()), "a secret is never in the store");
    let calendars: Vec<_> = message.parts.iter().filter(|part| part.is_content_type("text", "calendar")).collect();
    let [calendar] = calendars[..] else { panic!("{}", calendars.len()) };
    // RFC 6047, section 2.4: the parameter says what the file says.
    assert_eq!(calendar.content_type().unwrap().attribute("method"), Some("REQUEST"));
    let PartType::Text(body) = &calendar.body else { panic!("{:?}", calendar.body) };
    assert_eq!(body, INVITATION);
    let file = message.attachments().find(|part| part.attachment_name() == Some("invitation.ics")).unwrap();
    assert!(file.is_content_type("application", "ics"));
    assert_eq!(file.contents(), INVITATION.as_bytes());

    let build = || burnday::mail::build(&mail, test.app.mailer.from(), &test.app.link_key, "http://127.0.0.1:8080");
    assert_eq!(build(), build(), "a second try is the same, byte for byte");
}

#[tokio::test]
async fn no_name_or_subject_can_add_a_header_or_a_reader() {
    let relay = Relay::kind().await;
    let test = posting(&relay).await;
    let nasty = [
        "a\r\nBcc: evil@example.org",
        "a\nBcc: evil@example.org\n\nbody",
        "a\rBcc: evil@example.org",
        "a\u{2028}Bcc: evil@example.org",
        "a\0b",
        "\" <evil@example.org>, \"",
        "evil@example.org, b",
        "=?utf-8?q?=0D=0ABcc:_evil@example.org?=",
        &"long name ".repeat(200),
        &"x".repeat(2_000),
        ".",
        "\u{202e}reversed",
    ];
    for (number, text) in nasty.iter().enumerate() {
        let words = (*text).to_owned();
        let mut nasty = letter(number);
        nasty.to.name.clone_from(&words);
        nasty.reply_to.name.clone_from(&words);
        nasty.subject.clone_from(&words);
        nasty.in_reply_to = Some(words);
        test.queue(nasty).await;
    }
    test.tick().await;
    assert_eq!(relay.taken().len(), nasty.len());
    let usual: BTreeSet<&str> = [
        "From",
        "Reply-To",
        "To",
        "Subject",
        "Date",
        "Message-ID",
        "In-Reply-To",
        "References",
        "Auto-Submitted",
        "MIME-Version",
        "Content-Type",
    ]
    .into();
    for taken in relay.taken() {
        let message = MessageParser::default().parse(&taken.text).unwrap();
        let headers: Vec<&str> = message.headers().iter().map(mail_parser::Header::name).collect();
        assert_eq!(headers.len(), usual.len(), "{headers:?}");
        assert_eq!(headers.iter().copied().collect::<BTreeSet<_>>(), usual);
        let readers: Vec<_> = message.to().unwrap().iter().filter_map(|to| to.address()).collect();
        assert_eq!(readers, [taken.to.as_str()]);
        assert_eq!(message.reply_to().unwrap().iter().filter_map(|to| to.address()).count(), 1);
        assert!(message.body_text(0).unwrap().contains("walk-through is on Friday"));
        assert!(taken.text.split(|byte| *byte == b'\n').all(|line| line.len() <= 999));
    }
}

/// RFC 8058, sections 3.1 and 3.2.
#[tokio::test]
async fn an_announcement_can_be_unsubscribed_from_by_one_post_without_an_origin() {
    let relay = Relay::kind().await;
    let test = posting(&relay).await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    test.queue(Letter { urgent: true, ..to(Kind::Announcement, wren) }).await;
    test.tick().await;
    let message = relay.taken()[0].text.clone();
    let message = MessageParser::default().parse(&message).unwrap();
    assert_eq!(message.header_raw("List-Unsubscribe-Post").unwrap().trim(), "List-Unsubscribe=One-Click");
    let header = message.header_raw("List-Unsubscribe").unwrap().trim().to_owned();
    let link = header.strip_prefix("<http://127.0.0.1:8080").unwrap().strip_suffix('>').unwrap();

    let mut stranger = test.stranger();
    let page = stranger.get(link).await;
    assert_eq!((page.status, page.header("referrer-policy")), (200, "no-referrer"));
    assert_eq!((page.mark("h1", "announcements").as_str(), page.count("form[method=post] button")), ("come", 1));
    assert!(!test.known(wren).await.details.no_mail, "looking changes nothing");

    let one_click = axum::http::Request::post(link)
        .header("content-type", "application/x-www-form-urlencoded")
        .body(axum::body::Body::from("List-Unsubscribe=One-Click"))
        .unwrap();
    assert_eq!(stranger.send(one_click).await.status, 200);
    assert!(test.known(wren).await.details.no_mail);
    assert_eq!(stranger.get(link).await.mark("h1", "announcements"), "none");
    assert_eq!(stranger.post(link, &[]).await.status, 200, "a second press shows the same");

    let unknown = stranger.get(&format!("/announcements/{}", "A".repeat(43))).await;
    let other = test.app.link_key.secret(Opens::Question, wren, 1);
    let other = stranger.get(&format!("/announcements/{}", other.reveal())).await;
    assert_eq!((unknown.status, &unknown.body), (404, &other.body));
    assert!(!unknown.has("form, [data-announcements]"));

    // The next announcement stays; everything else goes.
    let urgent = |kind| Letter { urgent: true, dedup: format!("{kind} again"), ..to(kind, wren) };
    let announcement = test.queue(urgent(Kind::Announcement)).await;
    let ask = test.queue(urgent(Kind::Ask)).await;
    let notice = test.queue(urgent(Kind::Notice)).await;
    test.tick().await;
    let (state, why) = test.stands(announcement).await;
    assert!(state == MailState::Cancelled && !why.is_empty(), "{state}: {why}");
    assert_eq!(test.stands(ask).await.0, MailState::Sent);
    assert_eq!(test.stands(notice).await.0, MailState::Sent);
    let unsubscribes = |taken: &Taken| {
        let message = MessageParser::default().parse(&taken.text).unwrap();
        message.header_raw("List-Unsubscribe").is_some()
    };
    let taken: Vec<bool> = relay.taken().iter().map(unsubscribes).collect();
    assert_eq!(taken, [true, false, false], "the announcement from before, then two that are none");
}

#[tokio::test]
async fn without_a_relay_a_message_becomes_a_file_that_only_the_owner_reads() {
    let test = TestApp::planned().await;
    let id = test.queue(letter(1)).await;
    test.tick().await;
    let (state, words) = test.stands(id).await;
    assert!(state == MailState::Sent && words.contains("000001.eml"), "{state}: {words}");
    let folder = test.folder.path().join("mail");
    let mode = |path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!((mode(folder.clone()), mode(folder.join("000001.eml"))), (0o700, 0o600));
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 1);
    let message = std::fs::read(folder.join("000001.eml")).unwrap();
    assert_eq!(MessageParser::default().parse(&message).unwrap().subject(), Some("Walk-through 1"));
}

/// What a relay can say, where it says it, and what follows: the status, whether the
/// message was put off, whether the relay is left alone, whether the address is marked.
#[tokio::test]
async fn each_reply_leads_where_it_should() {
    use MailState::{Failed, Sent, Uncertain, Waiting};
    let cases: [(&str, Reply, MailState, bool, bool, bool); 30] = [
        ("GREET", "421 too busy".into(), Waiting, false, true, false),
        ("GREET", "554 not you".into(), Waiting, false, true, false),
        ("GREET", "what?".into(), Waiting, false, true, false),
        ("GREET", Reply::Close, Waiting, false, true, false),
        ("GREET", Reply::Silent, Waiting, false, true, false),
        ("GREET", Reply::Slow("220 ready".to_owned()), Waiting, false, true, false),
        ("EHLO", "502 unknown".into(), Waiting, false, true, false),
        ("MAIL", "421 4.3.2 going down".into(), Waiting, false, true, false),
        ("MAIL", "530 5.7.0 sign in first".into(), Waiting, false, true, false),
        ("MAIL", "550 5.7.1 you may not".into(), Waiting, false, true, false),
        ("MAIL", "451 4.3.0 later".into(), Waiting, true, false, false),
        ("MAIL", "552 5.3.4 too large".into(), Failed, false, false, false),
        ("RCPT", "450 4.2.0 greylisted, come back".into(), Waiting, true, false, false),
        ("RCPT", "451 4.7.1 greylisted".into(), Waiting, true, false, false),
        ("RCPT", "452 4.2.2 mailbox full".into(), Waiting, true, false, false),
        ("RCPT", "454 4.7.0 try later".into(), Waiting, false, true, false),
        ("RCPT", "550 5.1.1 no such user".into(), Failed, false, false, true),
        ("RCPT", "550 5.1.10 takes no mail".into(), Failed, false, false, true),
        ("RCPT", "550 5.1.2 no such domain".into(), Failed, false, false, true),
        ("RCPT", "550 5.7.1 blocked".into(), Failed, false, false, false),
        ("RCPT", "553 what an address".into(), Failed, false, false, false),
        ("RCPT", Reply::Silent, Waiting, false, true, false),
        ("RCPT", Reply::Close, Waiting, false, true, false),
        ("DATA", "451 4.3.0 no room".into(), Waiting, true, false, false),
        ("DATA", "554 5.5.1 no".into(), Failed, false, false, false),
        ("DOT", "452 4.3.1 disk full".into(), Waiting, true, false, false),
        ("DOT", "552 5.2.3 too large".into(), Failed, false, false, false),
        ("DOT", "250-2.0.0 taken,\r\n250-as number\r\n250 4711".into(), Sent, false, false, false),
        ("DOT", Reply::Junk(b"250 2.0.0 \xe9\xff\x80 gespeichert\r\n".to_vec()), Sent, false, false, false),
        // When in doubt, a reminder is not sent a second time.
        ("DOT", "gibberish".into(), Uncertain, false, true, false),
    ];
    for (step, reply, state, put_off, left_alone, marked) in cases {
        let (at, says) = (step.to_owned(), reply.clone());
        let relay = Relay::with(move |step, _| (step == at).then(|| says.clone())).await;
        let test = posting(&relay).await;
        let wren = test.person("Wren Ibarra", "wren@example.org").await;
        let id = test.queue(Letter { kind: Kind::Reminder, ..to(Kind::Reminder, wren) }).await;
        test.tick().await;
        let mail = test.mail(id).await;
        let case = format!("{step} {reply:?}: {mail:?}");
        assert_eq!(mail.state, state, "{case}");
        assert_eq!(mail.attempts, i64::from(put_off), "{case}");
        assert_eq!(test.app.mailer.trouble(NOW).is_some(), left_alone, "{case}");
        assert_eq!(!test.known(wren).await.refused.is_empty(), marked, "{case}");
        let takes = matches!(state, Sent | Uncertain);
        let says_nothing_known = matches!(&reply, Reply::Say(words) if words == "gibberish");
        assert_eq!(relay.taken_for().len(), usize::from(takes && !says_nothing_known), "{case}");
        if put_off {
            let least = if mail.code.starts_with("4.7.1") || mail.code == "4.2.0" { 300 } else { 30 };
            let wait = mail.next_try_at - NOW;
            assert!((Duration::seconds(least)..=Duration::minutes(8)).contains(&wait), "{case}");
        }
        if state == Failed && mail.code.starts_with("5.7.") {
            test.tick().await;
            let alarms = test.app.mailer.alarms().join(" ");
            assert!(alarms.contains("blocked"), "{case}: {alarms}");
        }
    }
}

/// The relay comes back: email goes out within a minute, and no try was used up.
#[tokio::test]
async fn while_the_relay_is_down_nothing_is_used_up_and_then_all_goes() {
    let down = Arc::new(AtomicUsize::new(1));
    let is_down = Arc::clone(&down);
    let relay = Relay::with(move |step, _| {
        (step == "GREET" && is_down.load(Ordering::SeqCst) == 1).then_some(Reply::Say("421 closed".to_owned()))
    })
    .await;
    let test = posting(&relay).await;
    for number in 0..20 {
        test.queue(letter(number)).await;
    }
    let mut now = NOW;
    for _ in 0..40 {
        now += Duration::seconds(30);
        test.tick_at(now).await;
    }
    let tried = relay.connections();
    assert!((40..=160).contains(&tried), "{tried} connections in 20 minutes");
    down.store(0, Ordering::SeqCst);
    test.tick_at(now + Duration::seconds(60)).await;
    assert_eq!(relay.taken().len(), 20, "all within a minute");
    for id in 1..=20 {
        let mail = test.mail(id).await;
        assert_eq!((mail.state, mail.attempts), (MailState::Sent, 0));
    }
}

#[tokio::test]
async fn what_may_have_been_taken_is_sent_once_more_if_it_must_arrive() {
    for reply in [Reply::Close, Reply::Silent, Reply::Slow("250 taken".to_owned())] {
        for kind in Kind::ALL {
            let says = reply.clone();
            let relay = Relay::with(move |step, _| (step == "DOT").then(|| says.clone())).await;
            let test = posting(&relay).await;
            let id = test.queue(Letter { kind, ..letter(1) }).await;
            let mut now = NOW;
            for _ in 0..8 {
                test.tick_at(now).await;
                now += Duration::minutes(5);
            }
            let again = matches!(kind, Kind::Ask | Kind::Notice);
            let ids: BTreeSet<String> = relay.taken().iter().map(super::support::Taken::message_id).collect();
            assert_eq!(relay.taken().len(), 1 + usize::from(again), "{kind} {reply:?}");
            assert_eq!(ids.len(), 1, "{kind} {reply:?}: each copy has the same number");
            let (state, words) = test.stands(id).await;
            assert_eq!(state, MailState::Uncertain, "{kind} {reply:?}");
            assert!(!words.is_empty(), "{kind} {reply:?}: it says why");
        }
    }
}

#[tokio::test]
async fn a_connection_that_the_relay_closed_meanwhile_costs_nothing() {
    let count = Arc::new(AtomicUsize::new(0));
    let seen = Arc::clone(&count);
    // Every second message on a connection is told to go elsewhere.
    let relay = Relay::with(move |step, _| {
        (step == "MAIL" && seen.fetch_add(1, Ordering::SeqCst) % 2 == 1).then_some("421 enough for one call".into())
    })
    .await;
    let mut test = TestApp::planned().await;
    test.change(|app| send_by(app, &relay, Pace { connections: 1, ..quick() }));
    for number in 0..3 {
        test.queue(letter(number)).await;
    }
    test.tick().await;
    let taken: BTreeSet<String> = relay.taken().into_iter().map(|taken| taken.to).collect();
    assert_eq!(taken.len(), relay.taken().len());
    assert!(taken.len() >= 2, "{taken:?}");
}

#[tokio::test]
async fn pages_answer_while_the_relay_says_nothing() {
    let relay = Relay::with(|step, _| (step == "MAIL").then_some(Reply::Silent)).await;
    let mut test = TestApp::planned().await;
    let span = 3 * SECOND;
    let patience = Patience { command: span, text: span, after_dot: span, at_stop: span };
    test.change(|app| send_by(app, &relay, Pace { patience, ..quick() }));
    for number in 0..10 {
        test.queue(letter(number)).await;
    }
    let mut olga = test.olga().await;
    let app = test.app.clone();
    let begun = Instant::now();
    let sending = tokio::spawn(async move { background::tick(&app).await });
    while relay.connections() < 4 {
        tokio::time::sleep(std::time::Duration::from_millis(5)).await;
    }
    for path in ["/events/1", "/mail", "/health"] {
        assert_eq!(olga.get(path).await.status, 200, "{path}");
    }
    assert_eq!(olga.post("/events/1/tasks/1/notes", &[("text", "Hydrant flushed.")]).await.status, 303);
    assert!(begun.elapsed() < span && !sending.is_finished(), "{:?}", begun.elapsed());
    sending.await.unwrap().unwrap();
    assert_eq!(test.stands(1).await.0, MailState::Waiting);
}

#[tokio::test]
async fn at_night_only_what_is_urgent_goes() {
    let relay = Relay::kind().await;
    let test = posting(&relay).await;
    // 22:00 in Chicago.
    let night = datetime!(2026-11-26 04:00 UTC);
    let calm = test.queue(letter(1)).await;
    let urgent = test.queue(Letter { urgent: true, ..letter(2) }).await;
    let last_chance = test.queue(Letter { not_after: night + Duration::hours(3), ..letter(3) }).await;
    test.tick_at(night).await;
    assert_eq!(test.stands(calm).await.0, MailState::Waiting);
    assert_eq!(test.stands(urgent).await.0, MailState::Sent);
    assert_eq!(test.stands(last_chance).await.0, MailState::Sent, "it would be too late in the morning");
    test.tick_at(datetime!(2026-11-26 13:59 UTC)).await;
    assert_eq!(test.stands(calm).await.0, MailState::Waiting);
    assert_eq!(unwell(&test.app, &OUTSIDE, NOW + Duration::hours(22)).await.unwrap(), None, "a night is no problem");
    test.tick_at(datetime!(2026-11-26 14:00 UTC)).await;
    assert_eq!(test.stands(calm).await.0, MailState::Sent);
    let mut by_night = relay.taken_for();
    assert_eq!(by_night.pop().unwrap(), "wren1@example.org", "in the morning");
    by_night.sort();
    assert_eq!(by_night, ["wren2@example.org", "wren3@example.org"]);
}

#[tokio::test]
async fn one_person_gets_one_message_in_ten_minutes() {
    let relay = Relay::kind().await;
    let test = posting(&relay).await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let mut ids = Vec::new();
    for number in 0..3 {
        ids.push(test.queue(Letter { dedup: number.to_string(), ..to(Kind::Reminder, wren) }).await);
    }
    let urgent = test.queue(Letter { urgent: true, ..to(Kind::Notice, wren) }).await;
    test.tick().await;
    assert_eq!(test.stands(urgent).await.0, MailState::Sent);
    assert_eq!(relay.taken().len(), 2);
    test.tick_at(NOW + Duration::seconds(590)).await;
    assert_eq!(relay.taken().len(), 2);
    for (minutes, sent) in [(10, 3), (15, 3), (20, 4), (30, 4)] {
        test.tick_at(NOW + Duration::minutes(minutes)).await;
        assert_eq!(relay.taken().len(), sent, "after {minutes} minutes");
    }
}

#[tokio::test]
async fn mail_goes_no_faster_than_allowed_and_over_no_more_connections() {
    let relay = Relay::with(|step, _| {
        (step == "DOT").then(|| Reply::After(std::time::Duration::from_millis(20), "250 taken".to_owned()))
    })
    .await;
    let mut test = TestApp::planned().await;
    test.change(|app| send_by(app, &relay, Pace { rate: 50.0, burst: 10.0, ..quick() }));
    for number in 0..60 {
        test.queue(letter(number)).await;
    }
    let begun = Instant::now();
    test.tick().await;
    let taken = relay.taken();
    assert_eq!(taken.len(), 60);
    assert!(relay.most() <= 4, "{}", relay.most());
    for (number, taken) in taken.iter().enumerate().skip(10) {
        let earliest = (f64::from(u32::try_from(number).unwrap()) - 10.0) / 50.0;
        let at = (taken.at - begun).as_secs_f64();
        assert!(at >= earliest - 0.01, "message {number} went after {at} s");
    }
}

#[tokio::test]
async fn held_mail_waits_and_old_mail_expires() {
    let relay = Relay::kind().await;
    let test = posting(&relay).await;
    let hold = |why: &'static str| {
        test.app.db.write(move |tx| Box::pin(async move { outbox::hold_all(tx, Actor::Account(1), why, NOW).await }))
    };
    assert!(hold("Wrong date in the letter").await.unwrap());
    assert!(!hold("again").await.unwrap());
    let stays = test.queue(Letter { urgent: true, ..letter(1) }).await;
    let old = test.queue(Letter { not_after: NOW + Duration::minutes(5), ..letter(2) }).await;
    test.tick().await;
    assert_eq!(test.stands(stays).await.0, MailState::Waiting);
    test.at(NOW + Duration::minutes(6));
    test.tick().await;
    let (state, words) = test.stands(old).await;
    assert_eq!(state, MailState::Expired);
    assert!(!words.is_empty(), "it says why");
    let release =
        test.app.db.write(|tx| Box::pin(async { outbox::release(tx, Actor::Account(1), "Corrected", NOW).await }));
    assert!(release.await.unwrap());
    test.tick().await;
    assert_eq!(test.stands(stays).await.0, MailState::Sent);
    assert_eq!(relay.taken().len(), 1);
}

/// The check right before the text is sent: what was committed by then counts, even
/// though the message was claimed before.
#[tokio::test]
async fn what_is_no_longer_true_is_stopped_at_the_last_moment() {
    use MailState::{Cancelled, Expired, Sent, Waiting};
    let answered = "insert into answer (ask_id, said, channel, at) values (1, 'yes', 'link', 1)";
    let cases: [(&str, Kind, &str, MailState); 9] = [
        ("moved", Kind::Ask, "update event set facts_revision = 2", Cancelled),
        ("forgotten", Kind::Notice, "update person set forgotten_at = 1 where id = 2", Cancelled),
        ("no mail", Kind::Announcement, "update person set no_mail = 1", Cancelled),
        ("no mail, but asked", Kind::Ask, "update person set no_mail = 1", Sent),
        ("withdrawn", Kind::Ask, "update request set withdrawn_at = 1", Cancelled),
        ("withdrawn, told", Kind::Notice, "update request set withdrawn_at = 1", Sent),
        ("answered", Kind::Reminder, answered, Cancelled),
        ("held", Kind::Ask, "update mail_hold set held = 1", Waiting),
        ("late", Kind::Ask, "update mail set not_after = 1", Expired),
    ];
    let mut reasons: BTreeMap<&str, String> = BTreeMap::new();
    for (case, kind, change, state) in cases {
        let folder = Arc::new(Mutex::new(std::path::PathBuf::new()));
        let beside = Arc::clone(&folder);
        let relay = Relay::with(move |step, _| {
            if step == "RCPT" {
                let path = beside.lock().unwrap().join("burnday.db");
                let done = std::process::Command::new("sqlite3").arg(path).arg(change).status().unwrap();
                assert!(done.success());
            }
            None
        })
        .await;
        let test = posting(&relay).await;
        test.folder.path().clone_into(&mut folder.lock().unwrap());
        let wren = test.person("Wren Ibarra", "wren@example.org").await;
        assert_eq!(wren, 2);
        test.sql(
            "insert into request (event_id, person_id, kind, question, facts, words, closes_at, asked_at)
             values (1, 2, 'post', 'Can you walk the line?', '[]', '', 2000000000, 1);
             insert into ask (request_id, for_on, date_revision) values (1, '2027-06-05', 1)",
        );
        let id = test.queue(Letter { request_id: Some(1), facts_revision: Some(1), ..to(kind, wren) }).await;
        test.tick().await;
        let (stands, words) = test.stands(id).await;
        assert_eq!(stands, state, "{case}: {words}");
        if matches!(state, Cancelled | Expired) {
            let is_own = !reasons.values().any(|known| *known == words);
            assert!(is_own && !words.is_empty(), "{case} has a reason of its own: {words}");
            reasons.insert(case, words);
        }
        assert_eq!(relay.taken().len(), usize::from(state == MailState::Sent), "{case}");
    }
    let reasons: Vec<String> = reasons.iter().map(|(case, words)| format!("{case}: {words}")).collect();
    insta::assert_snapshot!("why-a-mail-was-stopped", reasons.join("\n"));
}

#[tokio::test]
async fn what_an_earlier_run_left_half_sent_is_sorted_out() {
    let relay = Relay::kind().await;
    let test = posting(&relay).await;
    let mut ids = BTreeMap::new();
    for (number, kind) in Kind::ALL.into_iter().enumerate() {
        for (step, over) in ["before", "after"].into_iter().enumerate() {
            ids.insert((kind, step), test.queue(Letter { kind, ..letter(number * 2 + step) }).await);
            let data_at = if over == "after" { "1" } else { "null" };
            let id = ids[&(kind, step)];
            test.sql(&format!(
                "update mail set state = 'sending', sender = 'old', data_at = {data_at} where id = {id}"
            ));
        }
    }
    test.tick().await;
    for ((kind, step), id) in ids {
        let must_arrive = matches!(kind, Kind::Ask | Kind::Notice);
        let right = if step == 0 || must_arrive { MailState::Sent } else { MailState::Uncertain };
        assert_eq!(test.stands(id).await.0, right, "{kind} {step}");
    }
    assert_eq!(relay.taken().len(), 7);
}

#[tokio::test]
async fn one_key_is_one_letter() {
    let test = TestApp::planned().await;
    test.queue(letter(1)).await;
    let now = NOW - Duration::DAY;
    let again =
        test.app.db.write(move |tx| Box::pin(async move { burnday::mail::queue(tx, &letter(1), now).await })).await;
    assert_eq!(again.unwrap(), None);
}

/// How a clock can go wrong: a little, a lot, backward.
#[tokio::test]
async fn a_clock_that_was_set_is_told_and_doubles_nothing() {
    let relay =
        Relay::with(|step, to| (step == "RCPT" && to == "wren2@example.org").then_some("450 later".into())).await;
    let test = posting(&relay).await;
    test.queue(Letter { not_after: NOW + Duration::days(30), ..letter(1) }).await;
    let put_off = test.queue(Letter { not_after: NOW + Duration::days(30), ..letter(2) }).await;
    test.tick().await;
    assert_eq!(test.app.mailer.jumped(), None);
    assert_eq!(relay.taken().len(), 1);

    let clock = |now: OffsetDateTime| {
        test.at(now);
        test.tick()
    };
    clock(NOW + Duration::HOUR).await;
    let forward = test.app.mailer.jumped().unwrap();
    assert!(forward.contains(&words::count(60_usize, "minute", "minutes")), "{forward}");
    assert!(!outbox::hold(test.app.db.read()).await.unwrap().held);
    clock(NOW - Duration::days(1)).await;
    let back = test.app.mailer.jumped().unwrap();
    assert!(back.contains(&words::count(25_usize, "hour", "hours")), "{back}");
    let waits = test.mail(put_off).await.next_try_at;
    assert!(waits <= NOW + Duration::HOUR, "a clock set back must not stretch a wait: {waits}");
    clock(NOW + Duration::hours(2)).await;
    let hold = outbox::hold(test.app.db.read()).await.unwrap();
    assert!(hold.held && hold.by.is_none(), "{hold:?}");
    assert!(hold.why.contains(&words::count(26_usize, "hour", "hours")), "{hold:?}");
    let alarms = test.app.mailer.alarms();
    assert!(alarms.iter().any(|alarm| alarm.contains(&hold.why)), "{alarms:?}");
    insta::assert_snapshot!("the-clock-was-set", [forward, back, hold.why].join("\n"));
    clock(datetime!(2038-01-19 03:14:08 UTC)).await;
    let to_first = relay.taken().iter().filter(|taken| taken.to == "wren1@example.org").count();
    assert_eq!(to_first, 1);
}

#[tokio::test]
async fn a_monitor_and_the_officer_hear_of_mail_that_is_stuck() {
    let relay = Relay::with(|step, _| (step == "GREET").then_some("421 closed".into())).await;
    let test = posting(&relay).await;
    let health = async || {
        let answer = test.stranger().get("/health").await;
        (answer.status, answer.body)
    };
    test.queue(letter(1)).await;
    test.tick().await;
    assert_eq!(health().await.0, 200);
    test.at(NOW + Duration::minutes(31));
    test.tick().await;
    let (status, body) = health().await;
    assert_eq!(status, 503);
    let waited = words::count(31_usize, "minute", "minutes");
    assert!(body.contains(&waited), "{body}");
    let page = test.olga().await.get("/events/1").await;
    assert!(page.text("[role=alert]").contains(&waited), "{}", page.text("[role=alert]"));
    assert!(page.has("[role=alert] a[href='/mail']"));
    let reader = test.somebody(burnday::accounts::Role::Reader).await.get("/events/1").await;
    assert_eq!(reader.text("[role=alert]"), "", "no one else can do anything about it");

    let hold = test.app.db.write(|tx| Box::pin(async { outbox::hold_all(tx, Actor::Account(1), "x", NOW).await }));
    hold.await.unwrap();
    assert_eq!(health().await.0, 200, "held on purpose");
    let long_ago = tokio::time::Instant::now().checked_sub(130 * SECOND).unwrap();
    test.app.mailer.beat(long_ago);
    let (status, body) = health().await;
    assert_eq!(status, 503);
    assert!(body.contains(&words::count(2_usize, "minute", "minutes")), "{body}");
}

/// The burn day changes while 500 letters wait and four are being sent.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn after_a_move_no_letter_of_the_old_date_goes_but_those_under_way() {
    for round in 0..6_u64 {
        let relay = Relay::with(|step, _| {
            (step == "DOT").then(|| Reply::After(std::time::Duration::from_millis(3), "250 taken".to_owned()))
        })
        .await;
        let test = posting(&relay).await;
        let mut people = Vec::new();
        for number in 0..500 {
            let person = test.person(&format!("Person {number}"), &format!("p{number}@example.org")).await;
            people.push(person);
        }
        let queue = test.app.db.write(move |tx| {
            Box::pin(async move {
                for person in people {
                    let letter = Letter { facts_revision: Some(1), ..to(Kind::Ask, person) };
                    burnday::mail::queue(tx, &letter, NOW).await?;
                }
                Ok(())
            })
        });
        queue.await.unwrap();
        let app = test.app.clone();
        let sending = tokio::spawn(async move { background::tick(&app).await });
        while relay.taken().len() < 8 + usize::try_from(round).unwrap() * 5 {
            assert!(!sending.is_finished(), "nothing was sent");
            tokio::time::sleep(std::time::Duration::from_micros(300 + round * 170)).await;
        }
        let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
        let to = Details { burn_on: date!(2027 - 06 - 12), rain_on: None, ..event.details.clone() };
        let new = event.changed(&to);
        let moving = test.app.db.write(move |tx| {
            Box::pin(async move {
                events::change(tx, Actor::Account(1), &event, &new, NOW).await?.unwrap();
                outbox::cancel_for_event(tx, 1, 2, "The burn day was moved.", NOW).await?;
                // What people hold is read by these states (asks::statements).
                let gone = "select person_id from mail where state in ('sending', 'sent', 'uncertain')";
                #[expect(clippy::disallowed_methods, reason = "the macro checks the queries of the app alone")]
                let told = sqlx::query_scalar::<_, i64>(gone).fetch_all(&mut **tx).await?;
                Ok(told)
            })
        });
        let told: BTreeSet<i64> = moving.await.unwrap().into_iter().collect();
        let committed = Instant::now();
        sending.await.unwrap().unwrap();
        let after = relay.taken().iter().filter(|taken| taken.at > committed).count();
        assert!(after <= 4, "{after} went after the move");
        let mut counts: BTreeMap<MailState, usize> = BTreeMap::new();
        for id in 1..=500 {
            let mail = test.mail(id).await;
            *counts.entry(mail.state).or_default() += 1;
            if mail.state == MailState::Sent {
                assert!(told.contains(&mail.person_id.unwrap()), "we know who got the old date, for a correction");
            }
        }
        assert_eq!(counts[&MailState::Sent], relay.taken().len());
        assert_eq!(counts.values().sum::<usize>(), counts[&MailState::Sent] + counts[&MailState::Cancelled]);
        assert!(counts[&MailState::Cancelled] > 400, "{counts:?}");
    }
}

/// The burn day is changed in the browser while 500 people's questions wait and some
/// are being sent: everyone who read the old date reads the new one.
#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn everybody_who_was_sent_the_old_date_is_sent_a_correction() {
    let relay = Relay::with(|step, _| {
        (step == "DOT").then(|| Reply::After(std::time::Duration::from_millis(3), "250 taken".to_owned()))
    })
    .await;
    let test = posting(&relay).await;
    let mut people = Vec::new();
    for number in 0..500 {
        people.push(test.person(&format!("Person {number}"), &format!("p{number}@example.org")).await);
    }
    test.ask(&people, &["burn day"]).await;
    let mut olga = test.olga().await;
    let app = test.app.clone();
    let sending = tokio::spawn(async move { background::tick(&app).await });
    while relay.taken().len() < 20 {
        assert!(!sending.is_finished(), "nothing was sent");
        tokio::time::sleep(std::time::Duration::from_millis(1)).await;
    }
    let to = [("burn_on", "2027-06-12"), ("rain_on", ""), ("version", "1"), ("again", "yes")];
    assert_eq!(olga.post("/events/1/move", &to).await.status, 303);
    let moved = Instant::now();
    sending.await.unwrap().unwrap();
    background::tick(&test.app).await.unwrap();

    // Short or in full.
    let names =
        |text: &str, on| [Reader::App, Reader::Public].iter().any(|reader| text.contains(&reader.near_day(on, on)));
    let (old_day, new_day) = (date!(2027 - 06 - 05), date!(2027 - 06 - 12));
    let mut old: BTreeMap<String, Instant> = BTreeMap::new();
    let mut corrected: BTreeMap<String, Instant> = BTreeMap::new();
    for taken in relay.taken() {
        let message = MessageParser::default().parse(&taken.text).unwrap();
        let (subject, words) = (message.subject().unwrap(), message.body_text(0).unwrap());
        // People who weren't sent the old date are asked about the new one.
        let names_new = names(&words, new_day);
        let is_question = subject == "Can you walk the spectator line on burn day?";
        let is_correction = names_new && names(subject, new_day) && names(subject, old_day);
        assert!(is_question || is_correction, "{subject}: {words}");
        // A question about the old day may name the new one as its rain date.
        let is_new = is_correction || !names(&words, old_day);
        assert!(names_new || !is_new, "{subject}: {words}");
        let list = if is_new { &mut corrected } else { &mut old };
        assert!(list.insert(taken.to.clone(), taken.at).is_none(), "{} is told twice", taken.to);
    }
    let late = old.values().filter(|at| **at > moved).count();
    assert!(late <= 4, "{late} letters of the old date were taken after the move");
    assert!((20..100).contains(&old.len()), "{}", old.len());
    assert_eq!(corrected.len(), 500, "all who were asked hear of the new day");
    for (to, at) in &old {
        assert!(corrected[to] > *at, "{to} reads the new day last");
    }
}

/// If the relay doesn't offer the TLS we want, nothing is said to it.
#[tokio::test]
async fn a_relay_that_offers_no_tls_gets_neither_password_nor_mail() {
    let heard = Arc::new(Mutex::new(Vec::new()));
    let note = Arc::clone(&heard);
    let relay = Relay::with(move |step, _| {
        note.lock().unwrap().push(step.to_owned());
        None
    })
    .await;
    let mut test = TestApp::planned().await;
    let url = format!("smtp://burn:hunter2@{}", relay.address);
    send_with(&mut test, &url);
    let id = test.queue(letter(1)).await;
    test.tick().await;
    assert_eq!(test.stands(id).await.0, MailState::Waiting);
    let trouble = test.app.mailer.trouble(NOW).unwrap().words;
    assert!(trouble.contains("STARTTLS"), "{trouble}");
    let page = test.olga().await.get("/mail").await;
    assert_eq!(page.text("[data-note='relay trouble'] #relay-says"), trouble);
    assert!(heard.lock().unwrap().iter().all(|step| ["GREET", "EHLO", "QUIT"].contains(&step.as_str())), "{heard:?}");
}

#[tokio::test]
async fn a_refused_password_is_the_relays_trouble_and_shown_nowhere() {
    let lets_in = Arc::new(AtomicUsize::new(0));
    let lets = Arc::clone(&lets_in);
    let relay = Relay::with(move |step, _| {
        (step == "AUTH" && lets.load(Ordering::SeqCst) == 0).then_some("535 5.7.8 not you".into())
    })
    .await;
    let mut test = TestApp::planned().await;
    let url = format!("smtp://burn:hunter2@{}?tls=none", relay.address);
    send_with(&mut test, &url);
    let id = test.queue(letter(1)).await;
    test.tick().await;
    let mail = test.mail(id).await;
    assert_eq!((mail.state, mail.attempts), (MailState::Waiting, 0), "a wrong password is no fault of a letter");
    let page = test.olga().await.get("/mail").await;
    let says = page.text("[data-note='relay trouble'] #relay-says");
    assert!(says.contains("535 5.7.8 not you"), "{}", page.text("main"));
    assert!(!page.body.contains("hunter2") && !test.dump().contains("hunter2"));
    assert!(!format!("{:?}", test.app.config).contains("hunter2"));
    lets_in.store(1, Ordering::SeqCst);
    test.tick_at(NOW + Duration::minutes(1)).await;
    assert_eq!(test.stands(id).await.0, MailState::Sent);
    assert_eq!(relay.taken_for(), ["wren1@example.org"]);
}

fn send_with(test: &mut TestApp, url: &str) {
    let flags = ["--mail-url", url, "--mail-from", "burn@example.org"];
    let config = crate::support::config(test.folder.path(), &flags);
    test.change(|app| {
        app.mailer = Arc::new(burnday::mail::Mailer::new(&config, quick()).unwrap());
        app.config = Arc::new(config);
    });
}
