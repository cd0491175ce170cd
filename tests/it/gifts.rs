//! Gifts: promised, received, credited, receipted.

use crate::support::{Answer, Browser, Filled, NOW, TestApp};
use burnday::accounts::Role;
use burnday::gifts::{self, Cents};
use burnday::web::words::Reader;
use time::Duration;
use time::macros::{date, datetime};

const NEW: &str = "/events/1/guests/gifts/new";
const LIST: &str = "/events/1/guests/gifts";
/// What `boards` gives, as pages have it.
const BOARDS: &str = "12 × sheets of gypsum board";

/// Gideon of the lumber yard, by number.
async fn gideon(test: &TestApp) -> i64 {
    let id = test.person("Gideon Astley", "gideon@example.org").await;
    let mut olga = test.olga().await;
    let edit = format!("/people/{id}/edit");
    let form = olga.get(&edit).await.form().with("organization", "Bend Lumber Yard");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    id
}

/// A form that can be saved.
async fn boards(olga: &mut Browser, giver: i64) -> Filled {
    let form = olga.get(NEW).await.form();
    form.with("person", &giver.to_string()).with("what", "sheets of gypsum board").with("quantity", "12")
}

async fn add(olga: &mut Browser, form: &Filled) -> String {
    let answer = olga.submit(NEW, form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    answer.location().to_owned()
}

/// An amount as pages have it.
fn cents(cents: i64) -> String {
    Cents::new(cents).to_string()
}

/// How many days late the countdown shows the line with this link; none if it isn't
/// late.
fn days_late(page: &Answer, href: &str) -> Option<u32> {
    let place = page.attributes(".press .t a", "href").iter().position(|there| there == href).unwrap();
    let is_late = page.attributes(".press > li > .due", "class")[place].contains("late");
    let digits: String = page.all(".press > li > .due")[place].chars().filter(char::is_ascii_digit).collect();
    is_late.then(|| digits.parse().unwrap())
}

/// The mails in the outbox: address, subject and text.
fn mails(test: &TestApp) -> Vec<String> {
    let rows = test.dump();
    rows.lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).map(str::to_owned).collect()
}

#[tokio::test]
async fn a_gift_goes_from_promised_to_received_to_a_receipt_by_mail() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    let page = olga.get(LIST).await;
    assert!(page.has("[data-empty=gifts]") && page.has(&format!("a[href='{NEW}']")));
    let form = boards(&mut olga, giver).await.with("worth", "987.65").with("value_on", "2026-11-20");
    let form = form.with("value_by", "Olga Wren").with("promised_by", "2026-12-01").with("in_return", "nothing");
    let gift = add(&mut olga, &form).await;
    assert_eq!(gift, "/events/1/guests/gifts/1");

    let page = olga.get(&gift).await;
    assert_eq!(page.text("h1"), BOARDS);
    assert_eq!(page.fact("Donor"), "Bend Lumber Yard (Gideon Astley)");
    let (value, day) = (page.fact("Value"), Reader::App.near_day(date!(2026 - 11 - 20), NOW.date()));
    for part in [cents(98_765).as_str(), gifts::Basis::FairMarket.as_str(), day.as_str(), "Olga Wren"] {
        assert!(value.contains(part), "{part}: {value}");
    }
    assert!(page.has("[data-note=inside]") && page.has("[data-state=promised]"));
    let early = olga.get(&format!("{gift}/receipt")).await;
    assert!(early.has("[data-missing=gift]") && !early.has(".paper"));
    assert_eq!(olga.post(&format!("{gift}/receipt"), &[("act", "mail")]).await.status, 422);

    let here = [("received_on", "2026-11-24"), ("taken_by", "Tomás Brandt")];
    assert_eq!(olga.post(&format!("{gift}/received"), &here).await.location(), gift);
    let page = olga.get(&gift).await;
    assert!(page.has("[data-state=received]") && !page.said().is_empty());
    let (received, day) = (page.fact("Received"), Reader::App.near_day(date!(2026 - 11 - 24), NOW.date()));
    assert!(received.contains(&day) && received.contains("Tomás Brandt"), "{received}");
    let before = test.dump();
    olga.post(&format!("{gift}/received"), &here).await;
    assert_eq!(test.dump(), before, "it is no longer promised");
    assert!(!olga.get(&gift).await.said().is_empty());

    let paper = olga.get(&format!("{gift}/receipt")).await;
    let receipt = paper.text(".paper");
    for says in ["Alder Bend Fire District", Reader::Public.day(NOW.date()).as_str(), "Gideon Astley"] {
        assert!(receipt.contains(says), "{says}: {receipt}");
    }
    assert_eq!((paper.fact("Given").as_str(), paper.fact("Quantity").as_str()), ("sheets of gypsum board", "12"));
    assert_eq!(paper.fact("Received on"), Reader::Public.day(date!(2026 - 11 - 24)));
    assert!(paper.has(".paper[data-returned=nothing]"), "{receipt}");
    for value in ["$", "987", "dollar"] {
        assert!(!paper.text("main").contains(value), "{value}: {}", paper.text("main"));
    }
    assert!(paper.has(".noprint [data-note=finance]"), "a receipt decides nothing about taxes");

    assert_eq!(olga.post(&format!("{gift}/receipt"), &[("act", "mail")]).await.location(), gift);
    assert!(olga.get(&gift).await.has("li[data-way=mail][data-state=waiting]"));
    let all = mails(&test);
    assert_eq!(all.len(), 1);
    assert!(all[0].contains("'gideon@example.org'") && all[0].contains("'receipt/1/"), "{}", all[0]);
    assert!(all[0].contains("sheets of gypsum board") && all[0].contains("'notice'"));
    let letter = test.mail(1).await.text;
    insta::assert_snapshot!("receipt-for-goods", letter);
    assert!(all[0].contains("'Olga Wren','olga@example.org'"), "the answer comes to the officer: {}", all[0]);
    for value in ["$", "987"] {
        assert!(!all[0].contains(value), "{value}: {}", all[0]);
    }
    olga.post(&format!("{gift}/receipt"), &[("act", "mail")]).await;
    assert_eq!(mails(&test).len(), 1, "one a day");
    assert!(!olga.get(&gift).await.said().is_empty());

    let edit = format!("{gift}/edit");
    let form = olga.get(&edit).await.form().with("quantity", "14");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    assert!(olga.get(&gift).await.has("[data-note=outdated]"));
    assert_eq!(olga.post(&format!("{gift}/receipt"), &[("act", "on paper")]).await.status, 303);
    let page = olga.get(&gift).await;
    assert!(page.has("li[data-way='on paper'][data-day='2026-11-25']") && !page.has("[data-note=outdated]"));
    assert!(test.dump().contains("'received','gift',1,"), "the journal keeps it");
    assert!(page.all("#history li").iter().any(|line| line.contains("Olga Wren") && line.contains("received")));
}

#[tokio::test]
async fn a_receipt_for_money_holds_the_amount() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    let form = boards(&mut olga, giver).await.with("kind", "money").with("quantity", "").with("amount", "$1,250");
    let form = form.with("what", "the program").with("state", "received").with("received_on", "2026-11-24");
    let gift = add(&mut olga, &form.with("taken_by", "Olga Wren")).await;
    let missing = olga.get(&format!("{gift}/receipt")).await;
    assert!(missing.has("[data-missing=return]") && !missing.has(".paper"));

    let edit = format!("{gift}/edit");
    let form = olga.get(&edit).await.form().with("in_return", "something").with("return_what", "Six reserved seats");
    assert_eq!(olga.submit(&edit, &form.with("return_worth", "60")).await.status, 303);
    let paper = olga.get(&format!("{gift}/receipt")).await;
    assert_eq!((paper.fact("Amount"), paper.fact("For")), (cents(125_000), "the program".to_owned()));
    let receipt = paper.text(".paper");
    assert!(receipt.contains("Six reserved seats") && receipt.contains(&cents(6_000)), "{receipt}");
    assert!(paper.has(".paper[data-returned=something] [data-note=tax]"), "only part can be deducted");
    let printed = paper.all(".paper > p, .paper > h2, .paper > dl > div").join("\n");
    insta::assert_snapshot!("receipt-for-money", printed);
}

#[tokio::test]
async fn mistakes_stand_beside_their_fields_and_nothing_is_kept() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let wren = test.person("Wren Ibarra", "").await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let mut remedies = Vec::new();
    for (field, value) in [
        ("person", ""),
        ("person", "999"),
        ("what", "boards worth $80"),
        ("what", ""),
        ("amount", "80"),
        ("promised_on", "2026-11-26"),
        ("promised_by", "2026-11-01"),
        ("worth", "80.5"),
        ("recognition", "perhaps"),
    ] {
        let form = boards(&mut olga, giver).await.with(field, value);
        let answer = olga.submit(NEW, &form).await;
        assert_eq!(answer.status, 422, "{field}");
        // A value needs its day and whoever knows it.
        let wrong = if field == "worth" { vec!["worth", "value_on", "value_by"] } else { vec![field] };
        assert_eq!(answer.mistakes(), wrong, "{value}");
        remedies.push(format!("{field}: {value} → {}", answer.mistake(field)));
    }
    let form = boards(&mut olga, wren).await.with("quantity", "7");
    let answer = olga.submit(NEW, &form).await;
    assert_eq!((answer.status, answer.mistakes()), (422, vec!["in_name".to_owned()]), "no organization is known");
    assert_eq!(answer.value("quantity"), "7", "what was typed stays");
    remedies.push(format!("in_name: {} → {}", form.value("in_name"), answer.mistake("in_name")));
    let remedies = remedies.join("\n");
    insta::assert_snapshot!("gift-mistakes", remedies);
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn two_who_change_one_gift_see_both_texts() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    let form = boards(&mut olga, giver).await;
    let gift = add(&mut olga, &form).await;
    let edit = format!("{gift}/edit");
    let mine = olga.get(&edit).await.form().with("quantity", "20").with("worth", "");
    let theirs = olga.get(&edit).await.form().with("quantity", "16");
    assert_eq!(olga.submit(&edit, &theirs).await.status, 303);
    let answer = olga.submit(&edit, &mine).await;
    assert_eq!(answer.status, 409);
    assert!(answer.says("16") && answer.says("20"), "{}", answer.text("main"));
    assert_eq!(olga.get(&gift).await.text("h1"), "16 × sheets of gypsum board");
    let over = answer.attributes("form.acts input[name=version]", "value")[0].clone();
    assert_eq!(olga.submit(&edit, &mine.with("version", &over)).await.status, 303);
    assert_eq!(olga.get(&gift).await.text("h1"), "20 × sheets of gypsum board");
}

#[tokio::test]
async fn amounts_and_values_are_for_those_who_keep_people() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    let form = boards(&mut olga, giver).await.with("worth", "987.65").with("value_on", "2026-11-20");
    let gift = add(&mut olga, &form.with("value_by", "Olga Wren").with("notes", "Called twice")).await;
    let form = boards(&mut olga, giver).await.with("kind", "money").with("quantity", "").with("amount", "543.21");
    let money = add(&mut olga, &form).await;
    let mut reader = test.somebody(Role::Reader).await;
    for path in [LIST, &gift, &money, "/events/1/journal"] {
        let page = reader.get(path).await;
        assert_eq!(page.status, 200, "{path}");
        for secret in ["987", "543", "$", "Called twice"] {
            assert!(!page.text("main").contains(secret), "{path} shows {secret}: {}", page.text("main"));
        }
    }
    assert!(olga.get("/events/1/journal").await.says(&cents(54_321)));
    let mut jun = test.somebody(Role::InformationOfficer).await;
    let line = jun.get(LIST).await.text("[data-gift='2']");
    assert!(line.contains(&cents(54_321)) && line.contains("sheets of gypsum board"), "{line}");
    assert_eq!(jun.get("/events/1/guests/gifts/report").await.status, 200);
    assert_eq!(reader.get("/events/1/guests/gifts/report").await.status, 403);
}

#[tokio::test]
async fn the_report_sums_what_came_and_what_is_promised_and_says_how_values_are_known() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    assert!(olga.get("/events/1/guests/gifts/report").await.has("[data-empty=gifts]"));
    let here =
        |form: Filled| form.with("state", "received").with("received_on", "2026-11-24").with("taken_by", "Olga Wren");
    let money = |form: Filled, amount: &str| form.with("kind", "money").with("quantity", "").with("amount", amount);
    let worth = |form: Filled, worth: &str, basis: &str| {
        form.with("worth", worth).with("basis", basis).with("value_on", "2026-11-20").with("value_by", "Olga Wren")
    };
    for (number, state) in [("500", "received"), ("250.50", "received"), ("100", "promised"), ("70", "not coming")] {
        let form = money(boards(&mut olga, giver).await, number);
        let form = if state == "received" { here(form) } else { form.with("state", state) };
        add(&mut olga, &form).await;
    }
    for (amount, basis) in
        [("300", "fair market value"), ("100", "fair market value"), ("80", "rental price"), ("60", "giver's word")]
    {
        let form = worth(boards(&mut olga, giver).await, amount, basis);
        let form = if amount == "60" { form } else { here(form) };
        add(&mut olga, &form).await;
    }
    let form = boards(&mut olga, giver).await;
    add(&mut olga, &form).await;
    let page = olga.get("/events/1/guests/gifts/report").await;
    assert!(page.has("[data-note=inside]"));
    assert_eq!(page.text("#money-received"), cents(75_050));
    assert_eq!(page.text("#money-promised"), cents(10_000));
    assert_eq!(page.text("#kind-received"), cents(48_000));
    let bases = page.attributes("#kind-received ~ [data-basis]", "data-basis");
    assert_eq!(bases, ["fair market value", "rental price"]);
    for (basis, sum, count) in [("fair market value", 40_000, "2"), ("rental price", 8_000, "1")] {
        let line = format!("[data-basis='{basis}']");
        assert_eq!(page.mark(&line, "count"), count, "{basis}");
        assert!(page.text(&line).contains(&cents(sum)) && page.text(&line).contains(basis), "{}", page.text(&line));
    }
    assert_eq!(page.text("#kind-promised"), cents(6_000));
    assert_eq!(page.mark("#unvalued", "count"), "1");
}

#[tokio::test]
async fn a_promise_comes_up_in_the_countdown_on_its_day_until_it_is_kept() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    let form = boards(&mut olga, giver).await.with("promised_by", "2026-12-10");
    let gift = add(&mut olga, &form).await;
    let line = format!(".press a[href='{gift}']");
    assert!(!olga.get("/events/1").await.has(&line), "it is far off");
    test.at(datetime!(2026-12-09 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    assert!(page.text(&line).contains(BOARDS), "{}", page.text(&line));
    assert!(page.text(&format!("{line} + .d")).contains("Bend Lumber Yard (Gideon Astley)"));
    assert_eq!(days_late(&page, &gift), None);
    test.at(datetime!(2026-12-11 15:00 UTC));
    // Promised by Thu 10 Dec.
    assert_eq!(days_late(&olga.get("/events/1").await, &gift), Some(1));
    assert!(olga.get("/events/1/lists").await.text("main").contains(BOARDS), "it is on the printed lists");
    let page = olga.get(LIST).await;
    assert!(page.has("[data-gift][data-state=promised][data-due='2026-12-10'] .due.late"), "{}", page.body);
    let here = [("received_on", "2026-12-11"), ("taken_by", "Olga Wren")];
    olga.post(&format!("{gift}/received"), &here).await;
    assert!(!olga.get("/events/1").await.has(&line));
}

#[tokio::test]
async fn a_receipt_whose_mail_failed_is_given_again() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let stands = gifts::GiftStatus::Received { on: date!(2026 - 11 - 24), taken_by: "Olga Wren".to_owned() };
    test.gift(giver, "folding chairs", stands).await;
    let mut olga = test.olga().await;
    let receipt = "/events/1/guests/gifts/1/receipt";
    let stands = |page: &Answer| {
        (page.mark("[data-without-receipt]", "without-receipt"), page.mark("[data-gift='1']", "receipt"))
    };
    assert_eq!(stands(&olga.get(LIST).await), ("1".into(), "none".into()));
    olga.post(receipt, &[("act", "mail")]).await;
    assert_eq!(stands(&olga.get(LIST).await), (String::new(), "waiting".into()));
    test.sql("update mail set state = 'failed', settled_at = 1 where id = 1");
    assert_eq!(stands(&olga.get(LIST).await), ("1".into(), "failed".into()));
    olga.post(receipt, &[("act", "mail")]).await;
    assert_eq!(mails(&test).len(), 2);
    assert_eq!(stands(&olga.get(LIST).await), (String::new(), "waiting".into()));
}

#[tokio::test]
async fn a_giver_without_mail_gets_paper() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "").await;
    let stands = gifts::GiftStatus::Received { on: date!(2026 - 11 - 24), taken_by: "Olga Wren".to_owned() };
    test.gift(wren, "folding chairs", stands).await;
    let mut olga = test.olga().await;
    let receipt = "/events/1/guests/gifts/1/receipt";
    let page = olga.get(receipt).await;
    assert!(page.text("[data-note=no-mail]").contains("Wren Ibarra"));
    assert_eq!(page.all("button[value=mail]").len(), 0);
    assert_eq!(olga.post(receipt, &[("act", "mail")]).await.status, 422);
    assert_eq!(olga.post(receipt, &[("act", "on paper")]).await.status, 303);
    assert!(mails(&test).is_empty());
}

#[tokio::test]
async fn gifts_go_along_when_two_become_one_and_come_back() {
    let test = TestApp::planned().await;
    let one = test.person("Gideon Astley", "gideon@example.org").await;
    let other = test.person("Astley, G.", "").await;
    test.gift(other, "folding chairs", gifts::GiftStatus::Promised).await;
    let mut olga = test.olga().await;
    let fields = [("with", other.to_string()), ("version", "1".to_owned()), ("with_version", "1".to_owned())];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{one}/merge"), &fields).await.status, 303);
    assert!(olga.get(LIST).await.text("[data-gift='1'] .d").starts_with("Gideon Astley"));
    let entry = olga.get(&format!("/people/{one}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{one}/undo-merge"), &[("entry", &entry)]).await.status, 303);
    assert!(olga.get(LIST).await.text("[data-gift='1'] .d").starts_with("Astley, G."));
}

#[tokio::test]
async fn whoever_is_forgotten_is_in_no_gift_any_more() {
    let test = TestApp::planned().await;
    let giver = test.person("Zeb Vantongeren", "zeb@example.org").await;
    let mut olga = test.olga().await;
    let form = boards(&mut olga, giver).await.with("in_name", "themselves").with("in_return", "nothing");
    let form = form.with("state", "received").with("received_on", "2026-11-24").with("taken_by", "Zeb Vantongeren");
    let form = form.with("recognition", "agreed").with("credited_as", "Walls by Zeb Vantongeren");
    let form =
        form.with("agreed_by", "Zeb Vantongeren").with("agreed_on", "2026-11-20").with("logo", "Zeb Vantongeren");
    let gift = add(&mut olga, &form.with("notes", "Secretnote")).await;
    olga.post(&format!("{gift}/receipt"), &[("act", "mail")]).await;
    assert!(test.dump().contains("Secretnote"));
    let path = format!("/people/{giver}/erase");
    assert_eq!(olga.post(&path, &[("version", "1")]).await.status, 303);
    let dump = test.dump();
    for secret in ["Zeb", "Vantongeren", "Secretnote", "zeb@example.org"] {
        assert!(!dump.contains(secret), "{secret}");
    }
    assert!(olga.get(&gift).await.fact("Donor").ends_with(&giver.to_string()), "only a number stays");
}

#[tokio::test]
async fn a_gift_of_another_event_is_not_found() {
    let test = TestApp::asked().await;
    crate::support::plan(&test.app).await;
    let mut olga = test.olga().await;
    assert_eq!(olga.get("/events/1/guests/gifts/1").await.status, 200);
    for path in ["/events/2/guests/gifts/1", "/events/2/guests/gifts/1/edit", "/events/1/guests/gifts/99"] {
        assert_eq!(olga.get(path).await.status, 404, "{path}");
    }
    test.at(NOW + Duration::days(2));
    let here = [("received_on", "2026-11-24"), ("taken_by", "Olga Wren")];
    assert_eq!(olga.post("/events/2/guests/gifts/1/received", &here).await.status, 404);
}
