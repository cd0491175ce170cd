//! Gifts: promised, received, credited, receipted.

use crate::support::{Browser, Filled, NOW, TestApp};
use burnday::accounts::Role;
use burnday::gifts;
use time::Duration;
use time::macros::{date, datetime};

const NEW: &str = "/events/1/guests/gifts/new";
const LIST: &str = "/events/1/guests/gifts";

/// Gideon of the lumber yard, by number.
async fn gideon(test: &TestApp) -> i64 {
    let id = test.person("Gideon Astley", "gideon@example.org").await;
    let mut olga = test.olga().await;
    let edit = format!("/people/{id}/edit");
    let form = olga.get(&edit).await.form().with("organisation", "Bend Lumber Yard");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    id
}

/// A form that can be kept.
async fn boards(olga: &mut Browser, giver: i64) -> Filled {
    let form = olga.get(NEW).await.form();
    form.with("person", &giver.to_string()).with("what", "sheets of gypsum board").with("quantity", "12")
}

async fn add(olga: &mut Browser, form: &Filled) -> String {
    let answer = olga.submit(NEW, form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    answer.location().to_owned()
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
    assert!(olga.get(LIST).await.says("Add one as soon as it is promised"));
    let form = boards(&mut olga, giver).await.with("worth", "987.65").with("value_on", "2026-11-20");
    let form = form.with("value_by", "Olga Wren").with("promised_by", "2026-12-01").with("in_return", "nothing");
    let gift = add(&mut olga, &form).await;
    assert_eq!(gift, "/events/1/guests/gifts/1");

    let page = olga.get(&gift).await;
    assert!(page.says("12 × sheets of gypsum board") && page.says("Bend Lumber Yard (Gideon Astley)"));
    assert!(page.says("$987.65, fair market value on Fri 20 Nov, estimated by Olga Wren"), "{}", page.text("main"));
    assert!(page.says("For inside only: it stands on no receipt."));
    let early = olga.get(&format!("{gift}/receipt")).await;
    assert!(early.says("A receipt says that a gift is here. This one isn't yet."));
    assert_eq!(olga.post(&format!("{gift}/receipt"), &[("act", "mail")]).await.status, 422);

    let here = [("received_on", "2026-11-24"), ("taken_by", "Tomás Brandt")];
    assert_eq!(olga.post(&format!("{gift}/received"), &here).await.location(), gift);
    let page = olga.get(&gift).await;
    assert!(page.says("The gift is here. Next is its receipt."));
    assert!(page.says("on Tue 24 Nov, taken by Tomás Brandt"));
    olga.post(&format!("{gift}/received"), &here).await;
    assert!(olga.get(&gift).await.text("#said").contains("not promised any more"));

    let paper = olga.get(&format!("{gift}/receipt")).await;
    let receipt = paper.text(".paper");
    for says in [
        "Alder Bend Fire District",
        "Wed 25 Nov 2026",
        "Gideon Astley",
        "Given sheets of gypsum board",
        "Quantity 12",
        "Received on Tue 24 Nov 2026",
        "No goods or services were given in return for this gift.",
    ] {
        assert!(receipt.contains(says), "{says}: {receipt}");
    }
    for value in ["$", "987", "dollar"] {
        assert!(!paper.text("main").contains(value), "{value}: {}", paper.text("main"));
    }
    assert!(paper.text(".noprint").contains("the local finance office decides"));

    assert_eq!(olga.post(&format!("{gift}/receipt"), &[("act", "mail")]).await.location(), gift);
    assert!(olga.get(&gift).await.says("receipt by mail, waiting to go"));
    let all = mails(&test);
    assert_eq!(all.len(), 1);
    assert!(all[0].contains("'gideon@example.org'") && all[0].contains("Receipt for your gift"));
    assert!(all[0].contains("sheets of gypsum board") && all[0].contains("'notice'"));
    assert!(all[0].contains("'Olga Wren','olga@example.org'"), "the answer comes to the officer: {}", all[0]);
    for value in ["$", "987"] {
        assert!(!all[0].contains(value), "{value}: {}", all[0]);
    }
    olga.post(&format!("{gift}/receipt"), &[("act", "mail")]).await;
    assert_eq!(mails(&test).len(), 1, "one a day");
    assert!(olga.get(&gift).await.text("#said").contains("Nothing was done"));

    let edit = format!("{gift}/edit");
    let form = olga.get(&edit).await.form().with("quantity", "14");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    assert!(olga.get(&gift).await.says("The receipt that went out says something else"));
    assert_eq!(olga.post(&format!("{gift}/receipt"), &[("act", "on paper")]).await.status, 303);
    let page = olga.get(&gift).await;
    assert!(page.says("receipt on paper Wed 25 Nov") && !page.says("says something else"));
    assert!(page.says("Olga Wren received gift"), "{}", page.text("details"));
}

#[tokio::test]
async fn a_receipt_for_money_holds_the_amount() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    let form = boards(&mut olga, giver).await.with("kind", "money").with("quantity", "").with("amount", "$1,250");
    let form = form.with("what", "the programme").with("state", "received").with("received_on", "2026-11-24");
    let gift = add(&mut olga, &form.with("taken_by", "Olga Wren")).await;
    let missing = olga.get(&format!("{gift}/receipt")).await;
    assert!(missing.says("A receipt says whether anything was given in return."));
    assert_eq!(missing.text(".paper"), "");

    let edit = format!("{gift}/edit");
    let form = olga.get(&edit).await.form().with("in_return", "something").with("return_what", "Six reserved seats");
    assert_eq!(olga.submit(&edit, &form.with("return_worth", "60")).await.status, 303);
    let receipt = olga.get(&format!("{gift}/receipt")).await.text(".paper");
    assert!(receipt.contains("Amount $1,250.00") && receipt.contains("For the programme"), "{receipt}");
    assert!(receipt.contains("Six reserved seats. We estimate that this is worth $60.00."), "{receipt}");
    assert!(receipt.contains("no more can be deducted than the part"), "{receipt}");
}

#[tokio::test]
async fn mistakes_stand_beside_their_fields_and_nothing_is_kept() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let wren = test.person("Wren Ibarra", "").await;
    let mut olga = test.olga().await;
    let before = test.dump();
    for (field, value, says) in [
        ("person", "", "Choose who gives it."),
        ("person", "999", "Choose who gives it."),
        ("what", "boards worth $80", "Leave the value out"),
        ("what", "", "can't be empty"),
        ("amount", "80", "This is for money."),
        ("promised_on", "2026-11-26", "still to come"),
        ("promised_by", "2026-11-01", "before it was promised"),
        ("worth", "80.5", "Give an amount in dollars"),
        ("recognition", "perhaps", "Choose what was agreed."),
    ] {
        let form = boards(&mut olga, giver).await.with(field, value);
        let answer = olga.submit(NEW, &form).await;
        assert_eq!(answer.status, 422, "{field}");
        assert!(answer.text(&format!("#{field}-mistake")).contains(says), "{field}: {}", answer.text("main"));
    }
    let form = boards(&mut olga, wren).await.with("quantity", "7");
    let answer = olga.submit(NEW, &form).await;
    assert!(answer.text("#in_name-mistake").contains("No organisation is known"));
    assert_eq!(answer.value("quantity"), "7", "what was typed stays");
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
    assert!(olga.get(&gift).await.says("16 × sheets"));
    let over = answer.attributes("form.acts input[name=version]", "value")[0].clone();
    assert_eq!(olga.submit(&edit, &mine.with("version", &over)).await.status, 303);
    assert!(olga.get(&gift).await.says("20 × sheets"));
}

#[tokio::test]
async fn amounts_and_values_are_for_those_who_keep_people() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    let form = boards(&mut olga, giver).await.with("worth", "987.65").with("value_on", "2026-11-20");
    let gift = add(&mut olga, &form.with("value_by", "Olga Wren").with("notes", "Rang twice")).await;
    let form = boards(&mut olga, giver).await.with("kind", "money").with("quantity", "").with("amount", "543.21");
    let money = add(&mut olga, &form).await;
    let mut reader = test.somebody(Role::Reader).await;
    for path in [LIST, &gift, &money, "/events/1/journal"] {
        let page = reader.get(path).await;
        assert_eq!(page.status, 200, "{path}");
        for secret in ["987", "543", "$", "Rang twice"] {
            assert!(!page.text("main").contains(secret), "{path} shows {secret}: {}", page.text("main"));
        }
    }
    assert!(olga.get("/events/1/journal").await.says("$543.21"));
    let mut jun = test.somebody(Role::InformationOfficer).await;
    assert!(jun.get(LIST).await.says("$543.21 for sheets of gypsum board"));
    assert_eq!(jun.get("/events/1/guests/gifts/report").await.status, 200);
    assert_eq!(reader.get("/events/1/guests/gifts/report").await.status, 403);
}

#[tokio::test]
async fn the_report_sums_what_came_and_what_is_promised_and_says_how_values_are_known() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    assert!(olga.get("/events/1/guests/gifts/report").await.says("No gifts yet."));
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
    assert!(page.says("For inside only."));
    let lines = page.all("dl.facts div");
    assert_eq!(lines[0], "Money received $750.50");
    assert_eq!(lines[1], "Money promised $100.00");
    assert!(lines[2].starts_with("In kind, here $480.00"), "{}", lines[2]);
    assert!(lines[2].contains("$400.00 by fair market value, 2 gifts") && lines[2].contains("$80.00 by rental price"));
    assert_eq!(lines[3], "In kind, promised $60.00");
    assert_eq!(lines[4], "Without a value 1 gift in kind");
}

#[tokio::test]
async fn a_promise_comes_up_in_the_countdown_on_its_day_until_it_is_kept() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let mut olga = test.olga().await;
    let form = boards(&mut olga, giver).await.with("promised_by", "2026-12-10");
    let gift = add(&mut olga, &form).await;
    let title = "Gift to come in: 12 × sheets of gypsum board";
    assert!(!olga.get("/events/1").await.says(title), "it is far off");
    test.at(datetime!(2026-12-09 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    assert!(page.says(title) && page.says("Bend Lumber Yard (Gideon Astley) promised it on"));
    assert!(page.attributes(".press a", "href").contains(&gift));
    test.at(datetime!(2026-12-11 15:00 UTC));
    let page = olga.get("/events/1").await;
    let line = page.all(".press > li").into_iter().find(|line| line.contains(title)).unwrap();
    // Promised by Thu 10 Dec.
    assert!(line.ends_with("1 day late"), "{line}");
    assert!(olga.get("/events/1/lists").await.says(title), "it is on the printed lists");
    assert!(olga.get(LIST).await.says("overdue since Thu 10 Dec"));
    let here = [("received_on", "2026-12-11"), ("taken_by", "Olga Wren")];
    olga.post(&format!("{gift}/received"), &here).await;
    assert!(!olga.get("/events/1").await.says(title));
}

#[tokio::test]
async fn a_receipt_whose_mail_failed_is_given_again() {
    let test = TestApp::planned().await;
    let giver = gideon(&test).await;
    let stands = gifts::Stands::Received { on: date!(2026 - 11 - 24), taken_by: "Olga Wren".to_owned() };
    test.gift(giver, "folding chairs", stands).await;
    let mut olga = test.olga().await;
    let receipt = "/events/1/guests/gifts/1/receipt";
    assert!(olga.get(LIST).await.says("1 received gift has no receipt yet."));
    olga.post(receipt, &[("act", "mail")]).await;
    assert!(!olga.get(LIST).await.says("no receipt yet"));
    test.sql("update mail set state = 'failed', settled_at = 1 where id = 1");
    let page = olga.get(LIST).await;
    assert!(page.says("1 received gift has no receipt yet.") && page.says(": failed"), "{}", page.text("main"));
    olga.post(receipt, &[("act", "mail")]).await;
    assert_eq!(mails(&test).len(), 2);
    assert!(!olga.get(LIST).await.says("no receipt yet"));
}

#[tokio::test]
async fn a_giver_without_mail_gets_paper() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "").await;
    let stands = gifts::Stands::Received { on: date!(2026 - 11 - 24), taken_by: "Olga Wren".to_owned() };
    test.gift(wren, "folding chairs", stands).await;
    let mut olga = test.olga().await;
    let receipt = "/events/1/guests/gifts/1/receipt";
    let page = olga.get(receipt).await;
    assert!(page.says("Wren Ibarra has no email."));
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
    test.gift(other, "folding chairs", gifts::Stands::Promised).await;
    let mut olga = test.olga().await;
    let fields = [("with", other.to_string()), ("version", "1".to_owned()), ("with_version", "1".to_owned())];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{one}/merge"), &fields).await.status, 303);
    assert!(olga.get(LIST).await.says("Gideon Astley ·"));
    let entry = olga.get(&format!("/people/{one}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{one}/separate"), &[("entry", &entry)]).await.status, 303);
    assert!(olga.get(LIST).await.says("Astley, G. ·"));
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
    let path = format!("/people/{giver}/forget");
    assert_eq!(olga.post(&path, &[("version", "1")]).await.status, 303);
    let dump = test.dump();
    for secret in ["Zeb", "Vantongeren", "Secretnote", "zeb@example.org"] {
        assert!(!dump.contains(secret), "{secret}");
    }
    assert!(olga.get(&gift).await.says(&format!("Forgotten person {giver}")));
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
