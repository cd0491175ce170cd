//! The emails about one question, sent through a real email server that puts everything
//! it takes into one maildir. `tests/real-mail` starts the server and runs this.
#![expect(clippy::unwrap_used, reason = "a test that can't go on should stop there")]

mod maildir;
#[path = "../it/support/mod.rs"]
#[expect(dead_code, unused_imports, reason = "the other tests use the rest of it")]
mod support;

use burnday::background;
use burnday::mail::outbox;
use burnday::mail::{MailState, of_person};
use burnday::web::words::Reader;
use maildir::{Arrived, Maildir};
use scraper::Html;
use support::{NOW, OFFICER, TestApp};
use time::Duration;
use time::macros::date;

const QUESTION: &str = "Can you walk the spectator line on burn day?";
/// A dot alone on a line would end the message if both sides didn't handle it (RFC 5321,
/// section 4.5.2).
const WORDS: &str = "The café opens at seven.\n.\nThe line is 200 m long.";
const BASE: &str = "http://burn.example.org";
/// 10 a.m. on June 5 in Chicago, which is five hours behind then. Made with Python 3.11's
/// zoneinfo.
const START: &str = "DTSTART:20270605T150000Z";

/// A setting from the script. Without the script this would prove nothing, so it fails.
fn told(name: &str) -> String {
    std::env::var(name).unwrap_or_else(|_| panic!("{name} is not set: run tests/real-mail"))
}

/// Lets the app send what is due, and gives the message each of these people got. The
/// numbers are theirs in the store.
async fn sent_to<const N: usize>(test: &TestApp, maildir: &mut Maildir, to: [i64; N]) -> [Arrived; N] {
    background::tick(&test.app).await.unwrap();
    let mut arrived = maildir.next(N).await;
    let mut by_person = Vec::new();
    for person in to {
        let line = of_person(test.app.db.read(), person).await.unwrap().remove(0);
        assert_eq!(line.state, MailState::Sent, "{}", line.words);
        let mail = outbox::find(&mut test.app.db.read().acquire().await.unwrap(), line.id).await.unwrap().unwrap();
        let place = arrived.iter().position(|message| message.id() == mail.message_id);
        let message = arrived.remove(place.expect("a message the store calls sent has arrived, with its Message-ID"));
        message.is_to(&mail.to.name, &mail.to.address);
        message.is_ours();
        by_person.push(message);
    }
    by_person.try_into().unwrap_or_else(|_| unreachable!("one was pushed for each"))
}

#[tokio::test]
async fn a_question_its_answer_and_a_new_date_arrive_through_a_real_email_server() {
    let mut maildir = Maildir::at(told("REAL_MAILDIR"));
    let relay = format!("smtp://127.0.0.1:{}?tls=none", told("REAL_MAIL_PORT"));
    let from = "Alder Bend Fire District <burn@example.org>";
    let test = TestApp::with(&["--mail-url", &relay, "--mail-from", from, "--base-url", BASE]).await;
    support::set_up(&test.app).await;
    support::plan(&test.app).await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    // Her name isn't ASCII, and her domain is another one.
    let zoe = test.person("Zoë Marsh", "zoe@brook.example").await;

    // The question, to two people.
    let [first, second] = [date!(2027 - 06 - 05), date!(2027 - 06 - 12)].map(|on| Reader::Public.day(on));
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/replies/new?kind=post").await.form();
    let form = form.with("question", QUESTION).with("words", WORDS);
    let form = form.and("person", &wren.to_string()).and("person", &zoe.to_string());
    let asked = olga.submit("/events/1/replies/new", &form.and("act", "ask")).await;
    assert_eq!(asked.status, 303, "{}", asked.body);
    let asks = sent_to(&test, &mut maildir, [wren, zoe]).await;
    for ask in &asks {
        assert_eq!(ask.subject(), QUESTION);
        assert!(!ask.has("In-Reply-To") && !ask.has("List-Unsubscribe"));
        let plain = ask.text();
        let lead = plain.lines().nth(2).unwrap().to_owned();
        assert!(lead.starts_with(QUESTION) && lead.contains(&first), "{lead}");
        assert!(plain.contains(WORDS), "{plain}");
        let html = Html::parse_document(&ask.html());
        let html = html.select(&"body".parse().unwrap()).next().unwrap().text().collect::<String>();
        let lines: Vec<&str> = html.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
        assert_eq!(lines[1], lead, "{html}");
        assert!(html.contains("The café opens at seven."), "{html}");
        assert!(ask.calendar().is_none() && ask.file().is_none());
    }

    // The link is opened, as an email scanner does, and then someone says yes.
    let path = asks[0].link("Answer: ").strip_prefix(BASE).unwrap().to_owned();
    assert_ne!(asks[0].link("Answer: "), asks[1].link("Answer: "));
    assert!(asks[0].html().contains(&format!("href=\"{BASE}{path}\"")));
    let mut phone = test.stranger();
    let before = test.dump();
    let page = phone.get(&path).await;
    assert!(page.status == 200 && page.says("Hello Wren,"));
    assert_eq!(before, test.dump(), "opening the page saves nothing");
    let yes = page.attributes("button[name=say]", "value").into_iter().find(|say| say.ends_with(" yes")).unwrap();
    assert_eq!(phone.post(&path, &[("say", &yes)]).await.status, 303);
    // No one gets two emails within ten minutes.
    test.at(NOW + Duration::minutes(11));
    let [confirmed] = sent_to(&test, &mut maildir, [wren]).await;
    for part in [first.as_str(), "yes"] {
        assert!(confirmed.subject().contains(part), "{part}: {}", confirmed.subject());
    }
    assert_eq!(confirmed.in_reply_to(), asks[0].id());
    let (method, invitation) = confirmed.calendar().unwrap();
    assert_eq!(method, "REQUEST");
    for line in ["METHOD:REQUEST", "STATUS:CONFIRMED", START] {
        assert!(invitation.lines().any(|found| found == line), "{line}: {invitation}");
    }
    assert_eq!(confirmed.file(), Some(("invitation.ics".to_owned(), invitation.clone())));

    // The date changes. Both are told, but only one has something to take off the calendar.
    test.at(NOW + Duration::hours(1));
    let to = [("burn_on", "2027-06-12"), ("rain_on", ""), ("version", "1")];
    assert_eq!(olga.post("/events/1/move", &to).await.status, 303);
    let moved = sent_to(&test, &mut maildir, [wren, zoe]).await;
    for (notice, ask) in moved.iter().zip(&asks) {
        let (subject, words) = (notice.subject(), notice.text());
        assert!(subject.contains(&first) && subject.contains(&second), "{subject}");
        assert_eq!(notice.in_reply_to(), ask.id());
        assert!(words.lines().nth(2).unwrap().starts_with(&subject), "{words}");
    }
    let (method, cancelled) = moved[0].calendar().unwrap();
    assert_eq!(method, "CANCEL");
    for line in ["METHOD:CANCEL", "STATUS:CANCELLED", START] {
        assert!(cancelled.lines().any(|found| found == line), "{line}: {cancelled}");
    }
    // The same entry with a higher number, or calendars ignore it (RFC 5546, section 3.2.5).
    let of = |file: &str, name: &str| file.lines().find_map(|line| line.strip_prefix(name)).unwrap().to_owned();
    assert_eq!(of(&cancelled, "UID:"), of(&invitation, "UID:"));
    let number = |file: &str| of(file, "SEQUENCE:").parse::<u32>().unwrap();
    assert!(number(&cancelled) > number(&invitation));
    assert!(moved[1].calendar().is_none(), "Zoë hadn't answered");

    assert_eq!(maildir.count(), 5, "two questions, a confirmation, and two updates; nothing came twice");
    // Replies to any of them reach the officer.
    let all = asks.iter().chain([&confirmed]).chain(&moved);
    assert!(all.map(Arrived::reply_to).all(|address| address == OFFICER));
}
