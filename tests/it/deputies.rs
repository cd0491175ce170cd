//! Who comes in a guest's place, how to reach them and what they are sent. And who signs
//! an invitation.

use crate::support::{Answer, BURN_ON, NOW, TestApp};
use burnday::accounts::Role;
use burnday::asks::{self, Request};
use burnday::events::Format;
use burnday::guests::{Details, Level, Side};
use burnday::web::words::Reader;
use burnday::zone::Zone;
use std::process::Command;
use time::macros::datetime;

/// Address, subject, text and calendar of the emails whose key starts this way.
fn mails(test: &TestApp, key: &str) -> Vec<[String; 4]> {
    let path = test.folder.path().join(burnday::db::FILE);
    let query = format!(
        "select to_address, subject, text, coalesce(calendar, '') from mail where dedup glob '{key}*' and state <> 'cancelled' order by id"
    );
    let out = Command::new("sqlite3").args(["-readonly", "-json"]).arg(path).arg(query).output().unwrap();
    let rows: Vec<serde_json::Value> = serde_json::from_slice(&out.stdout).unwrap_or_default();
    let field = |row: &serde_json::Value, field: &str| row[field].as_str().unwrap_or_default().to_owned();
    let of = |row: &serde_json::Value| {
        let calendar = row.as_object().unwrap().iter().find(|(name, _)| name.contains("calendar")).unwrap().1;
        [field(row, "to_address"), field(row, "subject"), field(row, "text"), calendar.as_str().unwrap().to_owned()]
    };
    rows.iter().map(of).collect()
}

fn went_out(test: &TestApp) {
    test.sql("update mail set state = 'sent' where state = 'waiting'");
}

/// A mayor invited for both dates: the guest and the question.
async fn invited(test: &TestApp) -> (i64, Request) {
    let mayor = test.person("Marguerite Vance", "mayor@example.org").await;
    let guest = test.guest(mayor, Details::of(Side::Official, Level::Local)).await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/guests/invite").await.form().without("guest").and("guest", &guest.to_string());
    assert_eq!(olga.submit("/events/1/guests/invite", &form.with("act", "invite")).await.status, 303);
    let mut db = test.app.db.read().acquire().await.unwrap();
    (guest, asks::of_event(&mut db, 1).await.unwrap().remove(0))
}

async fn says(test: &TestApp, request: &Request, said: &str, more: &[(&str, &str)]) -> Answer {
    let say = format!("{} {said}", request.asks[0].id);
    let fields = [&[("say", say.as_str())], more].concat();
    test.stranger().post(&test.answer_path(request.id), &fields).await
}

const NELL: [(&str, &str); 4] = [
    ("deputy", "Nell Harrow"),
    ("deputy_title", "deputy mayor"),
    ("deputy_phone", "555-0133"),
    ("deputy_mail", "nell@example.org"),
];

fn sequence(calendar: &str) -> u32 {
    let line = calendar.lines().find_map(|line| line.strip_prefix("SEQUENCE:")).unwrap();
    line.trim().parse().unwrap()
}

fn uid(calendar: &str) -> &str {
    calendar.lines().find(|line| line.starts_with("UID:")).unwrap()
}

/// RFC 5546: a cancellation has the same UID and a higher SEQUENCE.
#[tokio::test]
async fn a_deputy_is_told_where_and_when_and_called_off_when_somebody_else_comes() {
    let test = TestApp::planned().await;
    let (guest, request) = invited(&test).await;
    assert_eq!(says(&test, &request, "deputy", &NELL).await.status, 303);
    let [to, subject, written, calendar] = mails(&test, "deputy/").remove(0);
    assert_eq!(to, "nell@example.org");
    assert!(subject.contains("Marguerite Vance"), "{subject}");
    let day = Reader::Public.day(BURN_ON);
    for said in ["Nell Harrow", "Marguerite Vance", day.as_str(), "Alder Bend fairground, east lot", "Olga Wren"] {
        assert!(written.contains(said), "{said}: {written}");
    }
    insta::assert_snapshot!("deputy", written);
    assert!(!written.contains("/answer/") && !written.contains("{{"), "no link of the guest's: {written}");
    assert!(calendar.contains("METHOD:REQUEST") && calendar.contains("mailto:nell@example.org"), "{calendar}");
    went_out(&test);
    // The same answer again is nothing new.
    assert_eq!(says(&test, &request, "deputy", &NELL).await.status, 303);
    assert_eq!(mails(&test, "deputy/").len(), 1);
    // Shown along with the deputy, to users who may see it.
    let page = test.olga().await.get(&format!("/events/1/guests/{guest}")).await;
    assert_eq!(page.text("[data-reached]"), "555-0133, nell@example.org");
    let page = test.olga().await.get(&format!("/events/1/replies/{}", request.id)).await;
    assert!(page.says("555-0133, nell@example.org"));
    let contacts = test.olga().await.get("/events/1/burn-day/contacts").await;
    let links = contacts.attributes(&format!("[data-person='{}'] .who a", request.person_id), "href");
    assert_eq!(links, ["tel:555-0133", "mailto:nell@example.org"]);
    let reader = test.somebody(Role::Reader).await.get(&format!("/events/1/guests/{guest}")).await;
    assert!(!reader.body.contains("nell@example.org"));

    let ben = [("deputy", "Ben Ode"), ("deputy_mail", "ben@example.org")];
    assert_eq!(says(&test, &request, "deputy", &ben).await.status, 303);
    let all = mails(&test, "deputy/");
    let (off, new) = (&all[1], &all[2]);
    assert_eq!((off[0].as_str(), new[0].as_str()), ("nell@example.org", "ben@example.org"));
    assert!(off[3].contains("METHOD:CANCEL") && sequence(&off[3]) > sequence(&calendar), "{}", off[3]);
    assert_eq!(uid(&off[3]), uid(&calendar));
    assert_ne!(uid(&new[3]), uid(&calendar));
    went_out(&test);
    // The mayor is coming after all, so Ben isn't needed.
    assert_eq!(says(&test, &request, "yes", &[]).await.status, 303);
    let all = mails(&test, "deputy/");
    assert_eq!(all.len(), 4);
    assert_eq!(all[3][0], "ben@example.org");
    assert!(all[3][3].contains("METHOD:CANCEL"));
}

#[tokio::test]
async fn who_was_never_told_is_not_called_off() {
    let test = TestApp::planned().await;
    let (_, request) = invited(&test).await;
    assert_eq!(says(&test, &request, "deputy", &NELL).await.status, 303);
    assert_eq!(says(&test, &request, "no", &[]).await.status, 303);
    assert_eq!(mails(&test, "deputy/"), Vec::<[String; 4]>::new());
    // Without an address there is nothing to send.
    assert_eq!(says(&test, &request, "deputy", &NELL[..3]).await.status, 303);
    assert_eq!(mails(&test, "deputy/").len(), 0);
}

#[tokio::test]
async fn a_wrong_address_of_a_deputy_is_refused_with_what_was_typed() {
    let test = TestApp::planned().await;
    let (guest, request) = invited(&test).await;
    let wrong = [("deputy", "Nell Harrow"), ("deputy_phone", "555-0133"), ("deputy_mail", "nell at example")];
    let page = says(&test, &request, "deputy", &wrong).await;
    assert_eq!((page.status, page.value("deputy_mail").as_str()), (422, "nell at example"));
    assert_eq!(page.value("deputy_phone"), "555-0133");
    assert!(!page.text("#deputy_mail-mistake").is_empty());
    let mut olga = test.olga().await;
    let ask = request.asks[0].id.to_string();
    let by_hand = [("ask", ask.as_str()), ("said", "deputy"), ("way", "phone"), ("evidence", "called Tue")];
    let path = format!("/events/1/replies/{}/answers", request.id);
    let page = olga.post(&path, &[&by_hand[..], &wrong].concat()).await;
    assert_eq!((page.status, page.value("deputy_mail").as_str()), (422, "nell at example"));
    assert_eq!(olga.post(&path, &[&by_hand[..], &NELL].concat()).await.status, 303);
    assert_eq!(mails(&test, "deputy/").len(), 1, "by hand too");
    went_out(&test);
    // At the door.
    test.at(datetime!(2027-06-05 14:40 UTC));
    let mut gate = test.somebody(Role::CrewLead).await;
    let path = format!("/events/1/guests/{guest}/deputy");
    let page = gate.post(&path, &wrong).await;
    assert_eq!((page.status, page.mistakes()), (422, vec!["deputy_mail".to_owned()]));
    assert!(page.body.contains("nell at example"));
    assert_eq!(gate.post(&path, &[("deputy", "Ben Ode"), ("deputy_mail", "ben@example.org")]).await.status, 303);
    let all = mails(&test, "deputy/");
    assert_eq!(
        all.iter().map(|mail| mail[0].as_str()).collect::<Vec<_>>(),
        ["nell@example.org", "nell@example.org", "ben@example.org"]
    );
    assert_eq!(gate.get("/events/1/burn-day/guests").await.text("[data-reached]"), "ben@example.org");
}

#[tokio::test]
async fn a_question_taken_back_calls_the_deputy_off_and_a_guest_forgotten_takes_the_address_along() {
    let test = TestApp::planned().await;
    let (guest, request) = invited(&test).await;
    says(&test, &request, "deputy", &NELL).await;
    went_out(&test);
    let mut olga = test.olga().await;
    assert_eq!(olga.post(&format!("/events/1/replies/{}/withdraw", request.id), &[]).await.status, 303);
    let all = mails(&test, "deputy/");
    assert!(all[1][3].contains("METHOD:CANCEL"), "{all:?}");
    test.sql(&format!("update guest set day_on = '2027-06-05', day_deputy = 'N', day_deputy_mail = 'nell@example.org' where id = {guest}"));
    let person = request.person_id;
    let forget = olga.get(&format!("/people/{person}/erase")).await.form_at("main form[method=post]");
    assert_eq!(olga.submit(&format!("/people/{person}/erase"), &forget).await.status, 303);
    let dump = test.dump();
    assert!(!dump.contains("nell@example.org") && !dump.contains("555-0133"), "nothing reaches the deputy anymore");
}

/// What a change of date or facts calls.
#[tokio::test]
async fn a_change_of_the_event_reaches_the_deputy() {
    let test = TestApp::planned().await;
    let (_, request) = invited(&test).await;
    says(&test, &request, "deputy", &NELL).await;
    let first = mails(&test, "deputy/").remove(0);
    let request = asks::find(test.app.db.read(), request.id).await.unwrap().unwrap();
    let old = burnday::events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    let person = test.known(request.person_id).await;
    let sender = asks::Sender::named(test.app.db.read(), Some(1)).await.unwrap();
    let parties = asks::Parties { person: &person, sender: &sender, key: &test.app.link_key };
    let letters = |new: &burnday::events::Event, request: &Request| {
        asks::deputy_letters_after_change((&old, new), request, parties, NOW).unwrap()
    };
    assert!(letters(&old, &request).is_empty(), "nothing changed");
    let mut later = old.clone();
    later.details.burn_time = time::macros::time!(11:00);
    later.version += 1;
    let changed = letters(&later, &request).remove(0).calendars.remove(0);
    assert!(changed.text.contains("METHOD:REQUEST") && sequence(&changed.text) > sequence(&first[3]));
    let other = |change: fn(&mut burnday::events::Details)| {
        let mut new = old.clone();
        change(&mut new.details);
        letters(&new, &request).len()
    };
    assert_eq!(other(|details| details.format = Format::BothAtOnce), 1);
    assert_eq!(other(|details| details.zone = Zone::named("America/Denver").unwrap()), 1);
    assert_eq!(other(|details| details.visitors.parking = "Field 2".to_owned()), 1);
    assert_eq!(other(|details| details.audience = Some(900)), 0, "a deputy isn't told that");
    let mut parked = old.clone();
    parked.details.visitors.parking = "Field 2".to_owned();
    let mut own = request.clone();
    own.facts.push(("Parking".to_owned(), "court lot".to_owned()));
    assert!(letters(&parked, &own).is_empty(), "the invitation names another place to park");
    let again = Request { version: request.version + 1, ..request.clone() };
    assert!(sequence(&letters(&later, &again)[0].calendars[0].text) > sequence(&changed.text));
    let mut moved = old.clone();
    moved.details.burn_on = time::macros::date!(2027 - 06 - 19);
    (moved.version, moved.date_revision) = (moved.version + 1, moved.date_revision + 1);
    let mut lapsed = request.clone();
    lapsed.asks[0].is_lapsed = true;
    let gone = letters(&moved, &lapsed).remove(0);
    let calendar = gone.calendars[0].clone();
    assert!(calendar.text.contains("METHOD:CANCEL") && sequence(&calendar.text) > sequence(&first[3]));
    assert_eq!(uid(&calendar.text), uid(&first[3]));
}

#[tokio::test]
async fn an_invitation_is_signed_by_the_chief_and_questions_go_to_who_sends() {
    let test = TestApp::planned().await;
    let chief = test.person("Ambrose Keyes", "chief@example.org").await;
    test.sql(&format!("update person set office = 'Fire Chief' where id = {chief}; update person set phone = '555-0142' where name = 'Olga Wren'"));
    let mayor = test.person("Marguerite Vance", "mayor@example.org").await;
    let guest = test.guest(mayor, Details::of(Side::Official, Level::Local)).await;
    let mut olga = test.olga().await;
    let settings = olga.get("/settings/guests").await.form();
    let refused = olga.submit("/settings/guests", &settings.clone().with("signer", "Nobody Known")).await;
    assert_eq!((refused.status, refused.value("signer").as_str()), (422, "Nobody Known"));
    assert_eq!(refused.mistakes(), ["signer"]);
    assert_eq!(olga.submit("/settings/guests", &settings.with("signer", "ambrose keyes")).await.status, 303);
    let page = olga.get("/events/1/guests/invite").await;
    assert_eq!(page.value("signer"), "Ambrose Keyes", "as Settings has it");
    let form = page.form().without("guest").and("guest", &guest.to_string());
    let wrong =
        olga.submit("/events/1/guests/invite", &form.clone().with("signer", "Nobody").with("act", "invite")).await;
    assert_eq!((wrong.status, wrong.value("signer").as_str()), (422, "Nobody"));
    assert_eq!(wrong.mistakes(), ["signer"]);
    assert!(olga.submit("/events/1/guests/invite", &form.clone().with("act", "see")).await.says("Fire Chief"));
    assert_eq!(olga.submit("/events/1/guests/invite", &form.with("act", "invite")).await.status, 303);
    let [_, _, written, _] = mails(&test, "ask/").remove(0);
    let end = "Ambrose Keyes\nFire Chief\nAlder Bend Fire District\n\nQuestions: Olga Wren, 555-0142";
    assert!(written.contains(end), "{written}");
    let replies = test.dump();
    assert!(replies.contains("'Olga Wren','olga@example.org'"), "replies go to who sends");
    let letter = olga.get(&format!("/events/1/guests/letters?guest={guest}")).await;
    assert_eq!(letter.all("[data-signed] .one"), ["Fire Chief", "Alder Bend Fire District"]);
    assert!(letter.text("[data-signed]").starts_with("Ambrose Keyes"));
    assert!(letter.says("Questions: Olga Wren, 555-0142"));
    // Someone else signs from now on. What was sent keeps its signature.
    let settings = olga.get("/settings/guests").await.form().with("signer", "");
    assert_eq!(olga.submit("/settings/guests", &settings).await.status, 303);
    let letter = olga.get(&format!("/events/1/guests/letters?guest={guest}")).await;
    assert!(letter.text("[data-signed]").contains("Ambrose Keyes"));
    // Once erased, the chief no longer signs anything.
    let forget = olga.get(&format!("/people/{chief}/erase")).await.form_at("main form[method=post]");
    assert_eq!(olga.submit(&format!("/people/{chief}/erase"), &forget).await.status, 303);
    assert!(!olga.get(&format!("/events/1/guests/letters?guest={guest}")).await.body.contains("Ambrose"));
}
