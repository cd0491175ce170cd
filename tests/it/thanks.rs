//! Thanks: who is on the list, what they read, and that nobody is thanked
//! twice.

use crate::support::{BURN_ON, Browser, TestApp};
use burnday::accounts::Role;
use burnday::db::journal::Actor;
use burnday::gifts;
use burnday::guests::{self, Day, Level, Side};
use time::macros::{date, datetime};
use time::{Duration, OffsetDateTime};

const LIST: &str = "/events/1/guests/thanks";
const SEND: &str = "/events/1/guests/thanks/send";
/// Burn day is Sat 5 Jun 2027, 10:00 in Chicago.
const AFTER: OffsetDateTime = datetime!(2027-06-06 15:00 UTC);

/// Asks somebody for something and records what they said.
async fn answered(test: &TestApp, person: i64, kind: &str, said: &str, deputy: &str) {
    let mut olga = test.olga().await;
    let form = olga.get(&format!("/events/1/asks/new?kind={kind}")).await.form();
    let form = form.and("person", &person.to_string()).and("act", "ask");
    assert_eq!(olga.submit("/events/1/asks/new", &form).await.status, 303);
    let mut db = test.app.db.read().acquire().await.unwrap();
    let all = burnday::asks::of_event(&mut db, 1).await.unwrap();
    let request = all.iter().rfind(|request| request.person_id == person).unwrap();
    let ask = request.asks[0].id.to_string();
    let answer = [("ask", ask.as_str()), ("said", said), ("way", "phone"), ("evidence", "rang"), ("deputy", deputy)];
    let recorded = olga.post(&format!("/events/1/asks/{}/answers", request.id), &answer).await;
    assert_eq!(recorded.status, 303, "{}", recorded.text("main"));
}

fn here() -> gifts::Stands {
    gifts::Stands::Received { on: date!(2026 - 11 - 24), taken_by: "Olga Wren".to_owned() }
}

/// The thank-you mails in the outbox.
fn mails(test: &TestApp) -> Vec<String> {
    let about = |line: &&str| line.starts_with("INSERT INTO mail VALUES") && line.contains("'Thank you from");
    test.dump().lines().filter(about).map(str::to_owned).collect()
}

async fn press(olga: &mut Browser, whom: &str, act: &str) -> String {
    let path = format!("{LIST}/{whom}");
    let page = olga.get(&path).await;
    let answer = olga.submit(&path, &page.form().and("act", act)).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    olga.get(&path).await.text("#said")
}

#[tokio::test]
async fn the_list_makes_itself_and_before_the_burn_nothing_goes_out() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get(LIST).await.says("Nobody to thank yet."));
    let mayor = test.person("Marguerite Vance", "mayor@example.org").await;
    let ingrid = test.person("Ingrid Solberg-Wray", "").await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    let press_person = test.person("Clementine Ashgrove", "clementine@example.org").await;
    answered(&test, mayor, "guest", "yes", "").await;
    answered(&test, ingrid, "guest", "deputy", "Deputy Clerk Nell Harrow").await;
    answered(&test, gideon, "loan", "yes", "").await;
    answered(&test, press_person, "coverage", "yes", "").await;
    test.gift(gideon, "folding chairs", here()).await;

    let page = olga.get(LIST).await;
    assert!(page.says("The burn is still to come, on Sat 5 Jun 2027."));
    let lines = page.all(".thanks > li");
    assert_eq!(lines.len(), 4, "{lines:?}");
    assert!(lines[0].contains("Gideon Astley giving 40 × folding chairs; lending us something"), "{}", lines[0]);
    assert!(lines[1].contains("Marguerite Vance coming as our guest"), "{}", lines[1]);
    assert!(lines[2].contains("Deputy Clerk Nell Harrow coming for Ingrid Solberg-Wray"), "{}", lines[2]);
    assert!(lines[3].contains("Ingrid Solberg-Wray sending Deputy Clerk Nell Harrow"), "{}", lines[3]);
    assert!(!page.text("main").contains("Clementine"));
    assert!(!olga.get("/events/1").await.says("Say thank you"), "nothing is due before the burn");

    let whom = gideon.to_string();
    assert!(press(&mut olga, &whom, "save").await.contains("The sentence is kept."));
    let path = format!("{LIST}/{whom}");
    let form = olga.get(&path).await.form().with("sentence", "Nobody stood all morning because of you.");
    assert_eq!(olga.submit(&path, &form.clone().and("act", "save")).await.status, 303);
    let page = olga.get(&path).await;
    assert!(page.text(".paper").contains("for what you lent us. Nobody stood all morning because of you."));
    let before = test.dump();
    for act in ["mail", "letter", "in person"] {
        let form = olga.get(&path).await.form();
        let refused = olga.submit(&path, &form.and("act", act)).await;
        assert_eq!(refused.status, 422);
        assert!(
            refused.says("Nothing was sent: the burn is still to come. Thanks can be said from Sat 5 Jun 2027, 10:00")
        );
    }
    for act in ["mail", "letter"] {
        let refused = olga.post(SEND, &[("who", &whom), ("act", act)]).await;
        assert_eq!(refused.status, 422);
        assert!(refused.text("[role=alert]").contains("the burn is still to come"));
    }
    let seen = olga.post(SEND, &[("who", &whom), ("act", "see")]).await;
    assert!(seen.says("Thank you for your gift of 40 × folding chairs and for what you lent us."));
    assert!(!seen.body.contains("Send 1 mail"));
    assert_eq!(before, test.dump());
    // The deputy has a page of their own.
    let deputy = olga.get(&format!("{LIST}/{ingrid}-deputy")).await;
    assert!(deputy.text(".paper .to").contains("Deputy Clerk Nell Harrow Office of Ingrid Solberg-Wray"));
    assert!(deputy.text(".paper").contains("Hello Deputy Clerk Nell Harrow,"));
}

#[tokio::test]
async fn after_the_burn_each_is_thanked_once_by_mail_with_the_days_figures() {
    let test = TestApp::planned().await;
    let mayor = test.person("Marguerite Vance", "mayor@example.org").await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    answered(&test, mayor, "guest", "yes", "").await;
    test.gift(gideon, "folding chairs", here()).await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    let day = format!("{LIST}/day");
    let form = olga.get(&day).await.form().with("came", "312").with("alarm", "0:38").with("flashover", "3:40");
    let form = form.with("signed_by", "Fenwick Tamura").with("signed_as", "Fire chief");
    let form = form.with("result", "Nine of ten who filled in a card named a place to meet.").and("act", "save");
    assert_eq!(olga.submit(&day, &form).await.location(), LIST);
    let page = olga.get(LIST).await;
    assert!(page.says("0 thanked, 2 to go. Due Mon 14 Jun"), "{}", page.text("main"));
    assert!(page.says("Signed by Fenwick Tamura, Fire chief."));
    assert!(!olga.get("/events/1").await.says("Say thank you"), "that is due in more than a week");
    test.at(AFTER + Duration::days(2));
    let due = olga.get("/events/1").await;
    assert!(due.says("Say thank you to 2 people") && due.says("0 of 2 thanked"), "{}", due.text("main"));

    let who = [mayor.to_string(), gideon.to_string()];
    let both = [("who", who[0].as_str()), ("who", who[1].as_str()), ("act", "see")];
    let seen = olga.post(SEND, &both).await;
    assert!(seen.says("2 mails are ready.") && seen.says("Nothing goes out until you press the button."));
    assert!(mails(&test).is_empty());
    let send = [both[0], both[1], ("act", "mail")];
    assert_eq!(olga.post(SEND, &send).await.location(), LIST);
    assert!(olga.get(LIST).await.text("#said").contains("2 thank-yous go out by mail."));
    let all = mails(&test);
    assert_eq!(all.len(), 2);
    for says in [
        "'notice'",
        "'mayor@example.org'",
        "'Olga Wren','olga@example.org'",
        "Thank you for coming as our guest.",
        "The day: Sat 5 Jun 2027, Alder Bend fairground, east lot",
        "Audience: 312 people",
        "Smoke alarm: 38 s after the first flame",
        "Flashover: 3 min 40 s after the first flame, in the room without a sprinkler",
        "Nine of ten who filled in a card",
        "Fenwick Tamura, Fire chief",
    ] {
        assert!(all[0].contains(says), "{says}: {}", all[0]);
    }
    assert!(!all[0].contains("Sprinkler:"), "what nobody typed is left out");

    olga.post(SEND, &send).await;
    assert!(olga.get(LIST).await.text("#said").contains("Nobody was thanked"));
    assert_eq!(mails(&test).len(), 2);
    assert!(!olga.get("/events/1").await.says("Say thank you"));

    // Another gift after that is thanked for by itself.
    test.gift(gideon, "paper cups", here()).await;
    assert!(olga.get(LIST).await.says("Gideon Astley giving 40 × paper cups"));
    press(&mut olga, &who[1], "mail").await;
    let all = mails(&test);
    assert!(all[2].contains("Thank you for your gift of 40 × paper cups."), "{}", all[2]);
}

#[tokio::test]
async fn two_who_send_at_once_send_one_letter() {
    let test = TestApp::planned().await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    test.gift(gideon, "folding chairs", here()).await;
    test.at(AFTER);
    let (mut one, mut other) = (test.olga().await, test.olga().await);
    let who = gideon.to_string();
    let send = [("who", who.as_str()), ("act", "mail")];
    let (first, second) = tokio::join!(one.post(SEND, &send), other.post(SEND, &send));
    assert_eq!((first.status, second.status), (303, 303));
    assert_eq!(mails(&test).len(), 1);
}

#[tokio::test]
async fn whoever_has_no_mail_or_likes_letters_is_printed_and_ticked_off() {
    let test = TestApp::planned().await;
    let lena = test.person("Lena Ashby", "").await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    let mut olga = test.olga().await;
    let edit = format!("/people/{gideon}/edit");
    let form = olga.get(&edit).await.form().with("channel", "letter");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    answered(&test, lena, "help", "yes", "").await;
    test.gift(gideon, "folding chairs", here()).await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    let page = olga.get(LIST).await;
    assert!(page.all("h2").contains(&"On paper 2".to_owned()), "{:?}", page.all("h2"));
    assert!(page.says("no mail reaches them") && page.says("likes letters"));
    let letters = olga.get(&format!("{LIST}/letters")).await;
    assert_eq!(letters.all(".paper").len(), 2);
    let seen = olga.post(SEND, &[("who", &lena.to_string()), ("act", "see")]).await;
    assert!(seen.says("No mail would go out"));
    olga.post(SEND, &[("who", &lena.to_string()), ("act", "mail")]).await;
    assert!(mails(&test).is_empty());

    let (lena, gideon) = (lena.to_string(), gideon.to_string());
    olga.post(SEND, &[("who", &lena), ("act", "letter")]).await;
    assert!(olga.get(LIST).await.text("#said").contains("1 letter is ticked off as posted."));
    assert!(press(&mut olga, &gideon, "in person").await.contains("said in person"));
    let page = olga.get(LIST).await;
    assert!(page.says("All 2 are thanked."));
    assert!(page.says("thanked by letter Sun 6 Jun") && page.says("thanked in person Sun 6 Jun"));
    assert_eq!(olga.get(&format!("{LIST}/letters")).await.all(".paper").len(), 0);
    assert!(olga.get("/events/1/journal").await.says("Olga Wren said thanks to “Lena Ashby”"));

    // A tick by mistake is taken back; it stays in the list of what was done.
    let one = olga.get(&format!("{LIST}/{lena}")).await.attributes("button[name=thanked]", "value")[0].clone();
    let back = format!("{LIST}/{lena}/back");
    assert_eq!(olga.post(&format!("{LIST}/{gideon}/back"), &[("thanked", &one)]).await.status, 404);
    assert_eq!(olga.post(&back, &[("thanked", &one)]).await.status, 303);
    assert!(olga.get(LIST).await.says("1 thanked, 1 to go."));
    assert!(olga.get(&format!("{LIST}/{lena}")).await.says("taken back"));
    olga.post(&back, &[("thanked", &one)]).await;
    assert!(olga.get(&format!("{LIST}/{lena}")).await.text("#said").contains("can't be taken back"));
}

#[tokio::test]
async fn a_mail_that_failed_puts_them_back_on_the_list() {
    let test = TestApp::planned().await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    test.gift(gideon, "folding chairs", here()).await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    let who = gideon.to_string();
    press(&mut olga, &who, "mail").await;
    assert!(olga.get(LIST).await.says("mail waiting to go"));
    test.sql("update mail set state = 'failed', settled_at = 1");
    let page = olga.get(LIST).await;
    assert!(page.says("0 thanked, 1 to go.") && page.says("was not sent: failed"), "{}", page.text("main"));
    press(&mut olga, &who, "mail").await;
    assert_eq!(mails(&test).len(), 2);
}

#[tokio::test]
async fn a_promise_is_not_thanked_for_until_it_is_kept() {
    let test = TestApp::planned().await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    let gift = test.gift(gideon, "folding chairs", gifts::Stands::Promised).await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    let page = olga.get(LIST).await;
    assert!(page.all("h2").contains(&"Once their gift is here 1".to_owned()));
    let who = gideon.to_string();
    olga.post(SEND, &[("who", &who), ("act", "mail")]).await;
    assert!(mails(&test).is_empty());
    let here = [("received_on", "2027-06-05"), ("taken_by", "Olga Wren")];
    olga.post(&format!("/events/1/guests/gifts/{gift}/received"), &here).await;
    olga.post(SEND, &[("who", &who), ("act", "mail")]).await;
    assert_eq!(mails(&test).len(), 1);
}

#[tokio::test]
async fn two_who_write_one_sentence_see_both_and_so_do_two_who_type_figures() {
    let test = TestApp::planned().await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    test.gift(gideon, "folding chairs", here()).await;
    let mut olga = test.olga().await;
    for (path, field) in [(format!("{LIST}/{gideon}"), "sentence"), (format!("{LIST}/day"), "result")] {
        let old = olga.get(&path).await.form();
        let first = olga.submit(&path, &old.clone().with(field, "Theirs.").and("act", "save")).await;
        assert_eq!(first.status, 303, "{path}");
        let second = olga.submit(&path, &old.with(field, "Mine.").and("act", "save")).await;
        assert_eq!(second.status, 409, "{path}");
        assert!(second.says("Theirs.") && second.says("Mine."), "{path}");
        let hidden = |name: &str| second.attributes(&format!("form.acts input[name={name}]"), "value");
        let over = [(field, "Mine.".to_owned()), ("version", hidden("version")[0].clone()), ("act", "save".to_owned())];
        let over: Vec<(&str, &str)> = over.iter().map(|(name, value)| (*name, value.as_str())).collect();
        assert_eq!(hidden("act"), ["save"]);
        assert_eq!(olga.post(&path, &over).await.status, 303, "{path}");
    }
    assert!(olga.get(&format!("{LIST}/{gideon}")).await.text(".paper").contains("Mine."));
}

#[tokio::test]
async fn mistakes_are_told_and_nothing_is_kept() {
    let test = TestApp::planned().await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    test.gift(gideon, "folding chairs", here()).await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    let before = test.dump();
    let day = format!("{LIST}/day");
    let form = olga.get(&day).await.form().with("came", "many").with("alarm", "38").with("sprinkler", "1:75");
    let answer = olga.submit(&day, &form.and("act", "save")).await;
    assert_eq!(answer.status, 422);
    for field in ["came", "alarm", "sprinkler"] {
        assert!(!answer.text(&format!("#{field}-mistake")).is_empty(), "{field}");
    }
    assert_eq!(answer.value("alarm"), "38");
    let path = format!("{LIST}/{gideon}");
    let form = olga.get(&path).await.form().with("sentence", &"x".repeat(501));
    let answer = olga.submit(&path, &form.and("act", "mail")).await;
    assert_eq!(answer.status, 422);
    assert!(answer.text("#sentence-mistake").contains("501 characters"));
    assert_eq!(olga.post(SEND, &[("act", "mail")]).await.status, 422);
    assert_eq!(olga.post(SEND, &[("who", &gideon.to_string()), ("act", "burn")]).await.status, 422);
    assert_eq!(before, test.dump());
    for path in [format!("{LIST}/9999"), format!("{LIST}/x"), format!("{LIST}/{gideon}-deputy")] {
        assert_eq!(olga.get(&path).await.status, 404, "{path}");
    }
}

#[tokio::test]
async fn others_read_the_list_and_change_nothing() {
    let test = TestApp::planned().await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    test.gift(gideon, "folding chairs", here()).await;
    test.at(AFTER);
    let mut reader = test.somebody(Role::Reader).await;
    let page = reader.get(LIST).await;
    assert!(page.says("Gideon Astley"));
    assert_eq!(page.all("main button").len() + page.all("main input:not([type=hidden])").len(), 0);
    let page = reader.get(&format!("{LIST}/{gideon}")).await;
    assert!(!page.text("main").contains("gideon@example.org"));
    assert_eq!(page.all("main button").len() + page.all("main textarea").len(), 0);
    let mut officer = test.somebody(Role::InformationOfficer).await;
    assert_eq!(officer.post(SEND, &[("who", &gideon.to_string()), ("act", "mail")]).await.status, 403);
    assert!(mails(&test).is_empty());
}

#[tokio::test]
async fn whoever_is_forgotten_is_off_the_list_and_out_of_its_sentences() {
    let test = TestApp::planned().await;
    let zeb = test.person("Zeb Vantongeren", "zeb@example.org").await;
    test.gift(zeb, "folding chairs", here()).await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    let path = format!("{LIST}/{zeb}");
    let form = olga.get(&path).await.form().with("sentence", "Secretword.").and("act", "mail");
    assert_eq!(olga.submit(&path, &form).await.status, 303);
    assert!(test.dump().contains("Secretword"));
    assert_eq!(olga.post(&format!("/people/{zeb}/forget"), &[("version", "1")]).await.status, 303);
    let dump = test.dump();
    assert!(!dump.contains("Secretword") && !dump.contains("Vantongeren"));
    assert!(olga.get(LIST).await.says("Nobody to thank yet."));
}

/// What was seen of a guest at the door.
async fn seen(test: &TestApp, person: i64, is_here: Option<bool>, deputy: (&str, &str)) {
    let day = Day {
        on: Some(BURN_ON),
        is_here,
        deputy: deputy.0.to_owned(),
        deputy_title: deputy.1.to_owned(),
        ..Day::default()
    };
    let mut db = test.app.db.read().acquire().await.unwrap();
    let all = guests::of_event(&mut db, 1).await.unwrap();
    let guest = all.into_iter().find(|guest| guest.person_id == person).unwrap();
    let tick = test.app.db.write(move |tx| {
        Box::pin(async move { guests::tick(tx, Actor::Account(1), (&guest, "a guest"), &day, AFTER).await })
    });
    tick.await.unwrap();
}

#[tokio::test]
async fn what_was_seen_at_the_door_decides_who_is_thanked() {
    let test = TestApp::planned().await;
    let names = ["Marguerite Vance", "Ingrid Solberg-Wray", "Cassius Oduya", "Hollis Pruett"];
    let mut people = Vec::new();
    for name in names {
        let id = test.person(name, "guest@example.org").await;
        let details = guests::Details { seconds: 120, ..guests::Details::of(Side::Official, Level::Local) };
        let add = test.app.db.write(move |tx| {
            Box::pin(async move { guests::add(tx, Actor::Account(1), (1, id, name), &details, AFTER).await })
        });
        add.await.unwrap().unwrap();
        people.push(id);
    }
    let [mayor, ingrid, cassius, hollis] = people[..] else { panic!("four people") };
    for person in [mayor, ingrid, cassius] {
        answered(&test, person, "guest", "yes", "").await;
    }
    answered(&test, hollis, "guest", "no", "").await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    let lines = |page: &crate::support::Answer| page.all(".thanks > li");
    let before = lines(&olga.get(LIST).await);
    assert_eq!(before.len(), 3, "without a look at the door, the answers count: {before:?}");
    assert!(!before.concat().contains("speaking"), "minutes that were given are no words that were said");

    seen(&test, mayor, Some(true), ("", "")).await;
    seen(&test, ingrid, Some(true), ("Nell Harrow", "deputy clerk")).await;
    seen(&test, cassius, Some(false), ("", "")).await;
    seen(&test, hollis, Some(true), ("", "")).await;
    let after = lines(&olga.get(LIST).await);
    let has = |name: &str, what: &str| after.iter().any(|line| line.contains(&format!("{name} {what}")));
    assert!(has("Marguerite Vance", "coming as our guest; speaking"), "{after:?}");
    assert!(has("Ingrid Solberg-Wray", "sending Nell Harrow"), "{after:?}");
    assert!(has("Nell Harrow, deputy clerk", "coming for Ingrid Solberg-Wray; speaking"), "{after:?}");
    assert!(has("Hollis Pruett", "coming as our guest"), "{after:?}");
    assert!(!after.concat().contains("Cassius Oduya"), "{after:?}");
    let letter = olga.get(&format!("{LIST}/{ingrid}-deputy")).await.text(".paper");
    assert!(
        letter.contains("Thank you for coming for Ingrid Solberg-Wray and for your words to the audience."),
        "{letter}"
    );
}

#[tokio::test]
async fn thanks_go_along_when_two_become_one_and_come_back() {
    let test = TestApp::planned().await;
    let one = test.person("Gideon Astley", "gideon@example.org").await;
    let other = test.person("Astley, G.", "").await;
    test.gift(other, "folding chairs", here()).await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    press(&mut olga, &other.to_string(), "letter").await;
    let path = format!("{LIST}/{other}");
    let form = olga.get(&path).await.form().with("sentence", "Theirs.").and("act", "save");
    assert_eq!(olga.submit(&path, &form).await.status, 303);
    let fields = [("with", other.to_string()), ("version", "1".to_owned()), ("with_version", "1".to_owned())];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{one}/merge"), &fields).await.status, 303);
    let page = olga.get(LIST).await;
    assert!(page.says("All 1 are thanked.") && page.says("Gideon Astley giving"), "{}", page.text("main"));
    assert!(olga.get(&format!("{LIST}/{one}")).await.text("textarea").contains("Theirs."));
    let entry = olga.get(&format!("/people/{one}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{one}/separate"), &[("entry", &entry)]).await.status, 303);
    let page = olga.get(LIST).await;
    assert!(page.says("All 1 are thanked.") && page.says("Astley, G. giving"), "{}", page.text("main"));
    assert!(olga.get(&format!("{LIST}/{other}")).await.text("textarea").contains("Theirs."));
}
