//! Thanks: who is on the list, what they read, and that no one is thanked twice.

use crate::support::{Answer, BURN_ON, Browser, TestApp};
use burnday::accounts::Role;
use burnday::db::journal::Actor;
use burnday::gifts;
use burnday::guests::{self, Day, Level, Side};
use burnday::web::words::{self, Reader};
use time::macros::{date, datetime};
use time::{Duration, OffsetDateTime};

const LIST: &str = "/events/1/guests/thanks";
const SEND: &str = "/events/1/guests/thanks/send";
/// The countdown's line about it.
const DUE: &str = ".press a[href='/events/1/guests/thanks']";
/// Burn day is Sat 5 Jun 2027, 10:00 in Chicago.
const AFTER: OffsetDateTime = datetime!(2027-06-06 15:00 UTC);

/// Asks someone for something and records the answer.
async fn answered(test: &TestApp, person: i64, kind: &str, said: &str, deputy: &str) {
    let mut olga = test.olga().await;
    let form = olga.get(&format!("/events/1/replies/new?kind={kind}")).await.form();
    let form = form.and("person", &person.to_string()).and("act", "ask");
    assert_eq!(olga.submit("/events/1/replies/new", &form).await.status, 303);
    let mut db = test.app.db.read().acquire().await.unwrap();
    let all = burnday::asks::of_event(&mut db, 1).await.unwrap();
    let request = all.iter().rfind(|request| request.person_id == person).unwrap();
    let ask = request.asks[0].id.to_string();
    let answer = [("ask", ask.as_str()), ("said", said), ("way", "phone"), ("evidence", "called"), ("deputy", deputy)];
    let recorded = olga.post(&format!("/events/1/replies/{}/answers", request.id), &answer).await;
    assert_eq!(recorded.status, 303, "{}", recorded.text("main"));
}

fn here() -> gifts::GiftStatus {
    gifts::GiftStatus::Received { on: date!(2026 - 11 - 24), taken_by: "Olga Wren".to_owned() }
}

/// The thank-you mails in the outbox.
fn mails(test: &TestApp) -> Vec<String> {
    let about = |line: &&str| line.starts_with("INSERT INTO mail VALUES") && line.contains("'thanks/1/");
    test.dump().lines().filter(about).map(str::to_owned).collect()
}

/// The text of one of them.
async fn text(test: &TestApp, mail: &str) -> String {
    let number = mail.split(['(', ',']).nth(1).unwrap().parse().unwrap();
    test.mail(number).await.text
}

/// How many are thanked, and how many are still to be.
fn counted(page: &Answer) -> [String; 2] {
    ["thanked", "open"].map(|name| page.mark("[data-thanked]", name))
}

/// What someone on the list is thanked for, by the keys in the store; empty if they
/// aren't there.
fn thanked_for(page: &Answer, whom: &str) -> String {
    page.mark(&format!(".thanks > li[data-who='{whom}']"), "for")
}

/// The numbers in a text.
fn numbers(text: &str) -> Vec<usize> {
    text.split(|c: char| !c.is_ascii_digit()).filter_map(|digits| digits.parse().ok()).collect()
}

/// Uses a button on someone's page, and returns the page that follows.
async fn press(olga: &mut Browser, whom: &str, act: &str) -> Answer {
    let path = format!("{LIST}/{whom}");
    let page = olga.get(&path).await;
    let answer = olga.submit(&path, &page.form().and("act", act)).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    let page = olga.get(&path).await;
    assert!(!page.said().is_empty());
    page
}

#[tokio::test]
async fn the_list_makes_itself_and_before_the_burn_nothing_goes_out() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get(LIST).await.has("[data-empty=thanks]"));
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
    assert_eq!(page.attributes("[data-note=early] time", "datetime"), [words::iso(BURN_ON)]);
    let deputy = format!("{ingrid}-deputy");
    let whom = [gideon.to_string(), mayor.to_string(), deputy.clone(), ingrid.to_string()];
    assert_eq!(page.attributes(".thanks > li", "data-who"), whom, "by name");
    // People who aren't on the guest list have the numbers of their questions.
    let reasons = page.attributes(".thanks > li", "data-for");
    assert_eq!(reasons, ["gift/1 request/3", "came/-1", "came/-2", "sent/-2"]);
    let lines = page.all(".thanks > li");
    for (line, names) in lines.iter().zip([
        ["Gideon Astley", "40 × folding chairs"],
        ["Marguerite Vance", ""],
        ["Deputy Clerk Nell Harrow", "Ingrid Solberg-Wray"],
        ["Ingrid Solberg-Wray", "Deputy Clerk Nell Harrow"],
    ]) {
        assert!(line.starts_with(names[0]) && line.contains(names[1]), "{names:?}: {line}");
    }
    assert!(!page.text("main").contains("Clementine"));
    assert_eq!(page.mark("[data-note=early]", "people"), "4");
    assert_eq!(page.count("details[data-fold=thanks]:not([open]) .thanks > li"), 4, "folded until burn day");
    assert!(!olga.get("/events/1").await.has(DUE), "nothing is due before the burn");

    let whom = gideon.to_string();
    press(&mut olga, &whom, "save").await;
    let path = format!("{LIST}/{whom}");
    let form = olga.get(&path).await.form().with("sentence", "Nobody stood all morning because of you.");
    assert_eq!(olga.submit(&path, &form.clone().and("act", "save")).await.status, 303);
    let page = olga.get(&path).await;
    assert_eq!(page.mark(".paper", "for"), "gift/1 request/3");
    assert!(page.text(".paper").contains("Nobody stood all morning because of you."));
    let before = test.dump();
    let begins = Reader::App.moment(datetime!(2027-06-05 10:00));
    for act in ["mail", "letter", "in person"] {
        let form = olga.get(&path).await.form();
        let refused = olga.submit(&path, &form.and("act", act)).await;
        assert_eq!((refused.status, refused.mistakes()), (422, vec!["act".to_owned()]));
        assert!(refused.mistake("act").contains(&begins), "{}", refused.mistake("act"));
    }
    for act in ["mail", "letter"] {
        let refused = olga.post(SEND, &[("who", &whom), ("act", act)]).await;
        assert_eq!(refused.status, 422);
        assert!(refused.mistake("who").contains(&begins), "{}", refused.mistake("who"));
        assert!(refused.has("details[data-fold=thanks][open]"), "who was chosen can be seen");
    }
    let seen = olga.post(SEND, &[("who", &whom), ("act", "see")]).await;
    assert_eq!(seen.mark("[data-for]", "for"), "gift/1 request/3");
    assert!(seen.text(".letter-text").contains("40 × folding chairs"), "{}", seen.text(".letter-text"));
    assert!(seen.has("[data-note=early]") && !seen.has("main button"), "a preview only");
    assert_eq!(before, test.dump());
    // The deputy has a page of their own.
    let page = olga.get(&format!("{LIST}/{deputy}")).await;
    let address = page.all(".paper .to .one");
    assert_eq!((address.len(), address[0].as_str()), (2, "Deputy Clerk Nell Harrow"));
    assert!(address[1].contains("Ingrid Solberg-Wray"), "{address:?}");
    assert!(page.text(".paper [data-dear]").contains("Deputy Clerk Nell Harrow"), "greeted by their own name");
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
    assert_eq!(counted(&page), ["0", "2"]);
    assert_eq!((page.count("[data-fold]"), page.count("main > [data-list=mail] li")), (0, 2), "nothing is folded now");
    assert_eq!(page.mark("[data-thanked]", "due"), "2027-06-14");
    assert_eq!(page.text("[data-signed]"), "Fenwick Tamura, Fire chief");
    assert!(!olga.get("/events/1").await.has(DUE), "that is due in more than a week");
    test.at(AFTER + Duration::days(2));
    let due = olga.get("/events/1").await;
    assert_eq!(numbers(&due.text(DUE)), [2]);
    assert_eq!(numbers(&due.text(&format!("{DUE} + .d"))), [0, 2]);

    let who = [mayor.to_string(), gideon.to_string()];
    let both = [("who", who[0].as_str()), ("who", who[1].as_str()), ("act", "see")];
    let seen = olga.post(SEND, &both).await;
    assert_eq!((seen.mark("[data-mails]", "mails").as_str(), seen.count("[data-for]")), ("2", 2));
    assert!(mails(&test).is_empty());
    let send = [both[0], both[1], ("act", "mail")];
    assert_eq!(olga.post(SEND, &send).await.location(), LIST);
    assert!(!olga.get(LIST).await.said().is_empty());
    let all = mails(&test);
    assert_eq!(all.len(), 2);
    for says in [
        "'notice'",
        "'mayor@example.org'",
        "'Olga Wren','olga@example.org'",
        Reader::Public.day(BURN_ON).as_str(),
        "Alder Bend fairground, east lot",
        "Audience: 312",
        "Smoke alarm: 38 seconds",
        "Flashover: 3 minutes 40 seconds",
        "Nine of ten who filled in a card",
        "Fenwick Tamura, Fire chief",
    ] {
        assert!(all[0].contains(says), "{says}: {}", all[0]);
    }
    assert!(!all[0].contains("Sprinkler:"), "empty fields are left out");
    let letter = text(&test, &all[0]).await;
    insta::assert_snapshot!("thank-you", letter);

    olga.post(SEND, &send).await;
    assert!(!olga.get(LIST).await.said().is_empty());
    assert_eq!(mails(&test).len(), 2, "no one is thanked twice");
    assert!(!olga.get("/events/1").await.has(DUE));

    // A later gift gets its own thanks.
    test.gift(gideon, "paper cups", here()).await;
    let page = olga.get(LIST).await;
    assert_eq!(thanked_for(&page, &who[1]), "gift/2");
    assert!(page.text(&format!("[data-who='{gideon}']")).contains("40 × paper cups"));
    press(&mut olga, &who[1], "mail").await;
    let all = mails(&test);
    assert!(all[2].contains("40 × paper cups") && !all[2].contains("folding chairs"), "{}", all[2]);
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
    let paper = |whom: i64| page.mark(&format!("[data-list=paper] [data-who='{whom}']"), "why");
    assert_eq!(page.count("[data-list=paper] li"), 2);
    assert_eq!((paper(lena).as_str(), paper(gideon).as_str()), ("no mail", "likes paper"));
    let letters = olga.get(&format!("{LIST}/letters")).await;
    assert_eq!(letters.all(".paper").len(), 2);
    let seen = olga.post(SEND, &[("who", &lena.to_string()), ("act", "see")]).await;
    assert!(seen.has("[data-empty=mails]"));
    olga.post(SEND, &[("who", &lena.to_string()), ("act", "mail")]).await;
    assert!(mails(&test).is_empty());

    let (lena, gideon) = (lena.to_string(), gideon.to_string());
    olga.post(SEND, &[("who", &lena), ("act", "letter")]).await;
    assert!(!olga.get(LIST).await.said().is_empty());
    press(&mut olga, &gideon, "in person").await;
    let page = olga.get(LIST).await;
    assert_eq!(counted(&page), ["2", "0"]);
    assert!(page.has("details[data-list=done]:not([open])"), "what is done is folded");
    for (whom, way) in [(&lena, "letter"), (&gideon, "in person")] {
        let line = format!("[data-list=done] [data-who='{whom}'][data-way='{way}'][data-day='2027-06-06']");
        assert!(page.has(&line), "{line}: {}", page.body);
    }
    assert_eq!(olga.get(&format!("{LIST}/letters")).await.all(".paper").len(), 0);
    let dump = test.dump();
    let told = |line: &str| line.contains("'said','thanks to'") && line.contains("'Lena Ashby'");
    assert!(dump.lines().any(told), "the journal keeps it");
    let journal = olga.get("/events/1/journal").await.all("main li");
    assert!(journal.iter().any(|line| line.contains("Olga Wren") && line.contains("Lena Ashby")), "{journal:?}");

    // A mistaken mark is undone; it stays on the list of what was done.
    let one = olga.get(&format!("{LIST}/{lena}")).await.attributes("button[name=thanked]", "value")[0].clone();
    let back = format!("{LIST}/{lena}/back");
    assert_eq!(olga.post(&format!("{LIST}/{gideon}/back"), &[("thanked", &one)]).await.status, 404);
    assert_eq!(olga.post(&back, &[("thanked", &one)]).await.status, 303);
    assert_eq!(counted(&olga.get(LIST).await), ["1", "1"]);
    assert!(olga.get(&format!("{LIST}/{lena}")).await.has("li[data-taken-back]"));
    let before = test.dump();
    olga.post(&back, &[("thanked", &one)]).await;
    assert_eq!(test.dump(), before, "once is all");
    assert!(!olga.get(&format!("{LIST}/{lena}")).await.said().is_empty());
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
    let line = format!(".thanks > li[data-who='{who}']");
    assert_eq!(olga.get(LIST).await.mark(&line, "mail"), "waiting");
    test.sql("update mail set state = 'failed', settled_at = 1");
    let page = olga.get(LIST).await;
    assert_eq!(counted(&page), ["0", "1"]);
    assert_eq!(page.mark(&line, "mail"), "failed");
    press(&mut olga, &who, "mail").await;
    assert_eq!(mails(&test).len(), 2);
}

#[tokio::test]
async fn a_promise_is_not_thanked_for_until_it_is_kept() {
    let test = TestApp::planned().await;
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    let gift = test.gift(gideon, "folding chairs", gifts::GiftStatus::Promised).await;
    test.at(AFTER);
    let mut olga = test.olga().await;
    let page = olga.get(LIST).await;
    assert_eq!((page.count("[data-list=later] li"), page.count(".thanks > li")), (1, 1));
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
    assert_eq!(answer.mistakes(), ["came", "alarm", "sprinkler"]);
    assert_eq!(answer.value("alarm"), "38");
    let path = format!("{LIST}/{gideon}");
    let form = olga.get(&path).await.form().with("sentence", &"x".repeat(501));
    let answer = olga.submit(&path, &form.and("act", "mail")).await;
    assert_eq!((answer.status, answer.mistakes()), (422, vec!["sentence".to_owned()]));
    assert!(answer.mistake("sentence").contains("501"), "{}", answer.mistake("sentence"));
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
    assert_eq!(olga.post(&format!("/people/{zeb}/erase"), &[("version", "1")]).await.status, 303);
    let dump = test.dump();
    assert!(!dump.contains("Secretword") && !dump.contains("Vantongeren"));
    assert!(olga.get(LIST).await.has("[data-empty=thanks]"));
}

/// A guest's check-in at the door.
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
            Box::pin(async move {
                let guest = guests::NewGuest { event_id: 1, person_id: id, name, details: &details };
                guests::add(tx, Actor::Account(1), &guest, AFTER).await
            })
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
    let before = olga.get(LIST).await;
    let all = [mayor, ingrid, cassius].map(|person| thanked_for(&before, &person.to_string()));
    assert_eq!(all, ["came/1", "came/2", "came/3"], "minutes on the program don't count as a speech");
    assert_eq!(before.count(".thanks > li"), 3, "without a check-in, the answers count");

    seen(&test, mayor, Some(true), ("", "")).await;
    seen(&test, ingrid, Some(true), ("Nell Harrow", "deputy clerk")).await;
    seen(&test, cassius, Some(false), ("", "")).await;
    seen(&test, hollis, Some(true), ("", "")).await;
    let after = olga.get(LIST).await;
    let deputy = format!("{ingrid}-deputy");
    for (whom, name, reasons) in [
        (mayor.to_string(), "Marguerite Vance", "came/1 spoke/1"),
        (ingrid.to_string(), "Ingrid Solberg-Wray", "sent/2"),
        (deputy.clone(), "Nell Harrow, deputy clerk", "came/2 spoke/2"),
        (hollis.to_string(), "Hollis Pruett", "came/4 spoke/4"),
        (cassius.to_string(), "", ""),
    ] {
        assert_eq!(after.text(&format!(".thanks > li[data-who='{whom}'] a")), name);
        assert_eq!(thanked_for(&after, &whom), reasons, "{name}");
    }
    assert_eq!(after.count(".thanks > li"), 4);
    assert!(after.text(&format!("[data-who='{ingrid}'] .d")).contains("Nell Harrow"));
    assert!(after.text(&format!("[data-who='{deputy}'] .d")).contains("Ingrid Solberg-Wray"));
    let page = olga.get(&format!("{LIST}/{deputy}")).await;
    assert_eq!(page.mark(".paper", "for"), "came/2 spoke/2");
    assert!(page.text(".paper").contains("Ingrid Solberg-Wray"), "{}", page.text(".paper"));
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
    assert_eq!(counted(&page), ["1", "0"]);
    assert_eq!(page.text(&format!("[data-who='{one}'] a")), "Gideon Astley");
    assert_eq!(thanked_for(&page, &one.to_string()), "gift/1");
    assert!(olga.get(&format!("{LIST}/{one}")).await.text("textarea").contains("Theirs."));
    let entry = olga.get(&format!("/people/{one}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{one}/undo-merge"), &[("entry", &entry)]).await.status, 303);
    let page = olga.get(LIST).await;
    assert_eq!(counted(&page), ["1", "0"]);
    assert_eq!(page.text(&format!("[data-who='{other}'] a")), "Astley, G.");
    assert_eq!(thanked_for(&page, &other.to_string()), "gift/1");
    assert!(olga.get(&format!("{LIST}/{other}")).await.text("textarea").contains("Theirs."));
}
