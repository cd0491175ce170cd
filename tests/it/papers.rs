//! Papers and the facts they refer to: what is out of date, who gets a
//! correction, and who else has read a text.

use crate::press::{FACTS, PRESS, approve, as_read, desk, done, fields, form_text, move_the_burn, refused, see, word};
use crate::support::{Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::mail::MailState;
use burnday::press;
use burnday::web::link::Opens;
use std::process::Command;
use time::Duration;

/// An advisory that Olga approved and Ivo mailed to Zdenka; Isidore, whom no mail
/// reaches, was given it.
async fn sent() -> (TestApp, Browser, Browser) {
    let (test, mut olga, mut ivo) = desk().await;
    test.person("Isidore Blackwood", "").await;
    done(&mut olga, "/outlets/1/contacts", &[("person", "Isidore Blackwood")]).await;
    done(&mut ivo, "/papers", &[("kind", "media advisory")]).await;
    approve(&mut olga, 1).await;
    done(&mut ivo, "/papers/1/send", &[("contact", "1")]).await;
    test.tick().await;
    assert_eq!(test.stands(1).await.0, MailState::Sent);
    let mut given = word("2", "answered", "Read it out to him.");
    given.push(("version", "1"));
    done(&mut ivo, "/log", &given).await;
    (test, olga, ivo)
}

async fn change_event(olga: &mut Browser, name: &str, value: &str) {
    let form = olga.get("/events/1/edit").await.form().with(name, value).and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
}

async fn change_fact(ivo: &mut Browser, name: &str, value: &str) {
    let form = see(ivo, "/facts").await.form().with(name, value);
    assert_eq!(ivo.submit(&format!("{PRESS}/facts"), &form).await.status, 303);
}

/// What the store says, read beside the app.
fn ask(test: &TestApp, sql: &str) -> String {
    let path = test.folder.path().join(burnday::db::FILE);
    let shell = Command::new("sqlite3").arg("-cmd").arg(".timeout 5000").arg(path).arg(sql).output().unwrap();
    assert!(shell.status.success(), "{}", String::from_utf8_lossy(&shell.stderr));
    String::from_utf8(shell.stdout).unwrap().trim().to_owned()
}

/// What waits goes out so much later.
async fn later(test: &TestApp, after: Duration) {
    test.tick_at(NOW + after).await;
}

/// Subjects of the mails to somebody that left or will, in their order.
fn subjects(test: &TestApp, address: &str) -> Vec<String> {
    let sql =
        format!("select subject from mail where to_address = '{address}' and state in ('waiting', 'sent') order by id");
    ask(test, &sql).lines().map(str::to_owned).collect()
}

#[tokio::test]
async fn a_wrong_day_does_not_pass_because_the_right_one_stands_elsewhere() {
    let (_, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/papers", &[("kind", "media advisory")]).await;
    let text = form_text(&mut ivo, "/papers/1").await;
    // Burn day is Sat 5 June with the rain date on the 12th.
    for (line, says) in [
        ("WHEN: 12 June, 10:00", "WHEN: 12 June — this is the rain date"),
        ("WHEN: 29 May, 10:00", "WHEN: 29 May — not a date of this event"),
        ("WHEN: {burn day}, 1 p.m.", "WHEN: 1 p.m. — not a time of this event"),
    ] {
        let form = see(&mut ivo, "/papers/1").await.form();
        let form = form.with("text", &text.replace("WHEN: {burn day}, {time}", line));
        assert_eq!(ivo.submit(&format!("{PRESS}/papers/1"), &form).await.status, 303);
        let page = see(&mut olga, "/papers/1").await;
        assert!(page.all("#wrong li").iter().any(|wrong| wrong.starts_with(says)), "{:?}", page.all("#wrong li"));
        let read = as_read(&mut olga, 1).await;
        assert!(refused(&mut olga, "/papers/1/approve", &fields(&read)).await.says(says), "{line}");
    }
    let form = see(&mut ivo, "/papers/1").await.form().with("text", &text.replace("{time}", "{tyme}"));
    let wrong = ivo.submit(&format!("{PRESS}/papers/1"), &form).await;
    assert_eq!(wrong.status, 422);
    assert!(wrong.text("#text-mistake").starts_with("{tyme} is no mark."));
    assert!(wrong.text("textarea#text").contains("{tyme}"), "what was typed stays");
}

#[tokio::test]
async fn a_changed_hour_outdates_an_approved_paper_and_one_press_corrects_whoever_has_it() {
    let (test, mut olga, mut ivo) = sent().await;
    change_event(&mut olga, "burn_time", "13:00").await;
    let changed = "time was 10:00, is 13:00";
    let page = see(&mut ivo, "/papers/1").await;
    assert!(page.text("#outdated").contains(&format!("Approved, but out of date: {changed}")), "{}", page.text("main"));
    assert!(page.text("#filled").contains("WHEN: Saturday 5 June 2027, 13:00"));
    for path in ["", "/papers"] {
        assert!(see(&mut ivo, path).await.says(&format!("out of date: {changed}")), "{path}");
    }
    assert!(
        ivo.get("/events/1")
            .await
            .text(".list.press")
            .contains(&format!("The media advisory is out of date: {changed}"))
    );
    assert_eq!(page.attributes("#corrections li", "data-person").len(), 2);
    assert!(see(&mut ivo, "/papers/1/print?v=1").await.text("#warning").contains(changed));

    // Nothing goes out before somebody has approved the new text.
    for path in ["/papers/1/send", "/papers/1/corrections", "/papers/1/corrections/3"] {
        assert!(refused(&mut ivo, path, &[("contact", "1")]).await.says(changed), "{path}");
    }
    approve(&mut olga, 1).await;
    let page = see(&mut ivo, "/papers/1").await;
    assert_eq!(page.text("#corrections button.main"), "Send the correction to 1");
    assert!(
        ivo.get("/events/1")
            .await
            .text(".list.press")
            .contains("Send the correction of the media advisory to 2 contacts")
    );
    let said = done(&mut ivo, "/papers/1/corrections", &[]).await;
    assert_eq!(said, "The correction is mailed to 1 contact.");
    later(&test, Duration::minutes(5)).await;
    let subject = "CORRECTION: Media advisory: Two rooms burn so that families can see how fast it goes";
    assert_eq!(subjects(&test, "zdenka@example.org")[1..], [subject]);
    let written = ask(&test, "select text from mail where id = 2");
    let first = written.find("CORRECTION").unwrap();
    let what = written.find("time was 10:00, is 13:00").unwrap();
    assert!(first < what && what < written.find("WHAT: ").unwrap(), "what changed is said first: {written}");
    assert!(written.contains("WHEN: Saturday 5 June 2027, 13:00") && written.contains("###"));

    // Whoever has no mail is called, and that is written down; then nobody is left.
    let line = see(&mut ivo, "/papers/1").await.text("#corrections li");
    assert!(line.contains("Isidore Blackwood") && line.contains("no mail address"), "{line}");
    let isidore = see(&mut ivo, "/papers/1").await.attributes("#corrections li", "data-person").remove(0);
    done(&mut ivo, &format!("/papers/1/corrections/{isidore}"), &[]).await;
    let log = see(&mut ivo, "/log").await;
    assert!(
        log.says("Told of a correction, the media advisory v2") && log.says("Mailed a correction"),
        "{}",
        log.text("main")
    );
    assert_eq!(see(&mut ivo, "/papers/1").await.all("#corrections"), [""; 0]);
    let again = done(&mut ivo, "/papers/1/corrections", &[]).await;
    assert!(again.starts_with("No correction was mailed"), "{again}");
    assert_eq!(subjects(&test, "zdenka@example.org").len(), 2, "never twice");
}

#[tokio::test]
async fn moved_back_and_forth_each_has_one_true_newest_version() {
    let (test, mut olga, mut ivo) = sent().await;
    test.person("Ada Quick", "ada@example.org").await;
    done(&mut olga, "/outlets/1/contacts", &[("person", "Ada Quick")]).await;
    done(&mut ivo, "/papers/1/send", &[("contact", "3")]).await;
    later(&test, Duration::minutes(5)).await;
    let ada = "ada@example.org";
    assert_eq!(subjects(&test, ada).len(), 1);

    // To 13:00: Zdenka is corrected, Ada not yet. Back to 10:00: what Ada has is
    // true again, what Zdenka has is not.
    change_event(&mut olga, "burn_time", "13:00").await;
    approve(&mut olga, 1).await;
    test.sql("update person set no_mail = 1 where mail = 'ada@example.org'");
    done(&mut ivo, "/papers/1/corrections", &[]).await;
    test.sql("update person set no_mail = 0 where mail = 'ada@example.org'");
    // It has gone out: one that still waits is taken back by the next change.
    later(&test, Duration::minutes(15)).await;
    change_event(&mut olga, "burn_time", "10:00").await;
    let page = see(&mut ivo, "/papers/1").await;
    let lines = page.all("#corrections li");
    assert_eq!(lines.len(), 1, "{lines:?}");
    assert!(lines[0].contains("Zdenka Moravec") && lines[0].contains("time was 13:00, is 10:00"), "{lines:?}");
    approve(&mut olga, 1).await;
    assert_eq!(done(&mut ivo, "/papers/1/corrections", &[]).await, "The correction is mailed to 1 contact.");
    assert_eq!(see(&mut ivo, "/papers/1").await.all("#corrections"), [""; 0]);
    later(&test, Duration::minutes(30)).await;
    assert_eq!(subjects(&test, "zdenka@example.org").len(), 3);
    assert_eq!(subjects(&test, ada).len(), 1);
}

#[tokio::test]
async fn changed_press_facts_take_back_what_waits_and_outdate_what_was_approved() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/papers", &[("kind", "media advisory")]).await;
    approve(&mut olga, 1).await;
    done(&mut ivo, "/papers/1/send", &[("contact", "1")]).await;
    // Nothing in the text says it.
    change_fact(&mut ivo, "messages", "Get out early.").await;
    assert_eq!(test.stands(1).await.0, MailState::Waiting);
    for (name, value, says) in [
        ("phone", "555-0199", "contact phone was 555-0118, is 555-0199"),
        ("area", "By the south fence.", "press area was By the north fence., is By the south fence."),
        ("arrival", "", "arrival was From 09:15 by gate B., is not known"),
        ("decision", "On the recorded line.", "decision was Told by 16:00 the day before., is On the recorded line."),
    ] {
        change_fact(&mut ivo, name, value).await;
        assert!(see(&mut ivo, "/papers/1").await.text("#outdated").contains(says), "{says}");
    }
    assert_eq!(test.stands(1).await.0, MailState::Cancelled, "it says the old number");
    assert!(see(&mut ivo, "/log").await.says("the mail did not go out"));
    assert_eq!(see(&mut ivo, "/papers/1").await.all("#corrections"), [""; 0], "nobody has it");

    // Everything as it was: what was approved is true again, and goes to whom it didn't reach.
    for (name, value) in FACTS.iter().filter(|(name, _)| *name != "version") {
        change_fact(&mut ivo, name, value).await;
    }
    assert!(see(&mut ivo, "/papers/1").await.says("Approved as it stands."));
    assert!(done(&mut ivo, "/papers/1/send", &[("contact", "1")]).await.contains("mailed to 1 contact"));
    assert_eq!(test.stands(2).await.0, MailState::Waiting);
}

#[tokio::test]
async fn what_a_move_or_another_hour_does_to_papers_is_told_before() {
    let (test, mut olga, _) = sent().await;
    done(&mut olga, "/day", &[("name", "Lucinda Abernathy"), ("outlet", "1")]).await;
    let event = burnday::events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    let lines = async |change: fn(&mut burnday::events::Details)| {
        let mut to = event.details.clone();
        change(&mut to);
        let lines = press::moved(test.app.clone(), event.clone(), to, NOW).await.unwrap();
        lines.into_iter().map(|line| format!("{} / {}", line.what, line.beneath)).collect::<Vec<_>>()
    };
    assert_eq!(lines(|_| {}).await, [""; 0]);
    let hour = lines(|to| to.burn_time = time::macros::time!(13:00)).await;
    let paper = "The media advisory v1 is out of date: time was 10:00, is 13:00 / 2 contacts have it and must get a correction.";
    assert_eq!(hour[0], paper);
    assert!(hour.iter().any(|line| line.starts_with("Press fact “arrival” names a day or time")), "{hour:?}");
    assert!(hour.iter().any(|line| line.contains("put on the list by hand") && line.contains("Lucinda")), "{hour:?}");
    let site = lines(|to| to.site = "Elsewhere".to_owned()).await;
    assert!(site[0].contains("place was") && site[0].contains("is Elsewhere"), "{site:?}");
    let rain = lines(|to| to.rain_on = None).await;
    assert!(rain[0].contains("rain date was Saturday 12 June 2027, is none"), "{rain:?}");
    let look = olga.get("/events/1/move?burn_on=2027-06-19").await;
    assert!(look.says("The media advisory v1 is out of date: burn day was"), "{}", look.text("main"));
}

#[tokio::test]
async fn a_version_from_before_there_were_marks_is_compared_by_its_date() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/papers", &[("kind", "media advisory")]).await;
    let filled = see(&mut ivo, "/papers/1").await.text("#filled p:nth-child(2)");
    assert!(filled.contains("WHEN: Saturday 5 June 2027"));
    // As they stood before: the words in the draft and in the version.
    let old = "WHEN: Saturday 5 June 2027, 10:00\n\nRAIN DATE: Saturday 12 June 2027. Told by 16:00 the day before.\n\n\
               WHERE: My own words\n\nCONTACT: Jun Castellane, 555-0118";
    test.sql(&format!("update paper set text = '{old}', has_marks = 0"));
    test.sql(&format!(
        "insert into paper_version (paper_id, number, headline, text, embargo, date_revision, edited_by, read_by, \
         approved_by, approved_at) select 1, 1, headline, text, '', 1, edited_by, 'account', 1, {} from paper",
        NOW.unix_timestamp()
    ));
    let mark = test
        .app
        .db
        .write(|tx| Box::pin(async move { press::mark_old_papers(tx, "Alder Bend Fire District", NOW).await }));
    mark.await.unwrap();
    let written = form_text(&mut ivo, "/papers/1").await;
    assert_eq!(
        written,
        "WHEN: {burn day}, {time}\n\nRAIN DATE: {rain date}. {decision}\n\nWHERE: My own words\n\nCONTACT: {contact}, \
         {contact phone}"
    );
    assert!(see(&mut olga, "/papers/1").await.says("Approved as it stands."));
    move_the_burn(&mut olga).await;
    let page = see(&mut olga, "/papers/1").await;
    assert!(
        page.text("#outdated").contains("burn day has changed, is now Saturday 19 June 2027"),
        "{}",
        page.text("main")
    );
    assert!(page.text("#filled").contains("WHEN: Saturday 19 June 2027"));
    assert!(refused(&mut ivo, "/papers/1/send", &[("contact", "1")]).await.says("v1 is out of date"));
}

#[tokio::test]
async fn before_it_leaves_the_plan_is_asked_and_afterwards_the_task_can_be_ticked() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/papers", &[("kind", "media advisory")]).await;
    approve(&mut olga, 1).await;
    let hints = see(&mut ivo, "/papers/1/send").await.all("#before-you-send li");
    assert!(hints.iter().any(|hint| hint.contains("“Send the news release” is still open")), "{hints:?}");
    assert!(
        hints.iter().any(|hint| hint.contains("“Agree the press area, escorts and camera positions” is still open"))
    );
    change_fact(&mut ivo, "decision", "Told on 29 May at 16:00.").await;
    assert!(see(&mut ivo, "/papers/1/send").await.says("v1 is out of date"));
    approve(&mut olga, 1).await;
    let hints = see(&mut ivo, "/papers/1/send").await.all("#before-you-send li");
    assert!(hints.iter().any(|hint| hint.contains("names 29 May")), "{hints:?}");
    change_fact(&mut ivo, "decision", "Told by 16:00 the day before.").await;
    approve(&mut olga, 1).await;

    assert_eq!(see(&mut ivo, "/papers/1").await.all("#tick-task"), [""; 0], "nothing was sent yet");
    done(&mut ivo, "/papers/1/send", &[("contact", "1")]).await;
    let task = test.task("media-advisory").await;
    let is_open = async || test.tasks().await.iter().any(|known| known.id == task && known.is_open());
    assert!(is_open().await, "never silently");
    let page = see(&mut ivo, "/papers/1").await;
    let fields: Vec<(String, String)> = ["state", "seen", "back"]
        .map(|name| (name.to_owned(), page.attributes(&format!("#tick-task input[name={name}]"), "value").remove(0)))
        .to_vec();
    let action = page.attributes("#tick-task", "action").remove(0);
    let pressed = ivo.post(&action, &fields.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect::<Vec<_>>()).await;
    assert_eq!(pressed.location(), format!("{PRESS}/papers/1"));
    let page = see(&mut ivo, "/papers/1").await;
    assert!(!is_open().await && page.all("#tick-task").is_empty());
    let undo: Vec<String> = page.attributes(".said form input", "value");
    assert!(!undo.is_empty(), "it can be taken back");
}

fn reading_path(test: &TestApp, asked: i64) -> String {
    format!("/read-paper/{}", test.app.link_key.secret(Opens::PaperReading, asked, 1).reveal())
}

const READER: [(&str, &str); 2] = [("reader", "Ada Quick"), ("reader_mail", "ada@example.org")];

#[tokio::test]
async fn somebody_outside_approves_exactly_the_text_that_the_link_shows() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut olga, "/papers", &[("kind", "media advisory")]).await;
    assert_eq!(ivo.post(&format!("{PRESS}/papers/1/readings"), &[]).await.status, 422);
    assert_eq!(
        test.somebody(Role::Timekeeper).await.post(&format!("{PRESS}/papers/1/readings"), &READER).await.status,
        403
    );
    assert_eq!(done(&mut olga, "/papers/1/readings", &READER).await, "Ada Quick is asked to read it, by mail.");
    let path = reading_path(&test, 1);
    let mail = ask(&test, "select text from mail where dedup = 'paper-reading/1'");
    assert!(mail.contains("Please read our media advisory"), "{mail}");

    let mut phone = test.stranger();
    let before = test.dump();
    let page = phone.get(&path).await;
    assert_eq!((page.status, page.header("referrer-policy")), (200, "no-referrer"));
    assert!(page.says("WHEN: Saturday 5 June 2027, 10:00") && page.says("Hello Ada Quick"));
    assert_eq!(before, test.dump(), "looking records nothing");
    assert_eq!(phone.post(&path, &[("say", "needs a change")]).await.status, 422, "say what");
    assert_eq!(phone.post(&path, &[("say", "what?")]).await.status, 422);
    phone.post(&path, &[("say", "needs a change"), ("note", "The gate is missing.")]).await;
    assert!(see(&mut olga, "/papers/1").await.text("#readings").contains("The gate is missing."));

    // A fact is changed: that text can't be approved any more.
    change_event(&mut olga, "burn_time", "13:00").await;
    phone.post(&path, &[("say", "approved")]).await;
    assert!(see(&mut olga, "/papers/1").await.says("None is approved yet."));
    assert!(phone.get(&path).await.says("changed or approved since we sent it"));
    change_event(&mut olga, "burn_time", "10:00").await;
    assert_eq!(phone.post(&path, &[("say", "approved")]).await.status, 303);
    let page = see(&mut olga, "/papers/1").await;
    assert!(page.text("#versions").contains("read and approved by Ada Quick, by a link"), "{}", page.text("#versions"));
    phone.post(&path, &[("say", "approved")]).await;
    assert_eq!(see(&mut olga, "/papers/1").await.all("#versions li").len(), 1, "once");
    assert!(phone.get(&path).await.says("You approved this text"));
    assert!(done(&mut olga, "/papers/1/send", &[("contact", "1")]).await.contains("mailed to 1 contact"));
}

#[tokio::test]
async fn any_other_link_to_a_text_opens_nothing() {
    let (test, mut olga, _) = desk().await;
    done(&mut olga, "/papers", &[("kind", "media advisory")]).await;
    done(&mut olga, "/papers/1/readings", &READER).await;
    let asked = test.ask(&[1], &["burn day"]).await;
    let own = test.app.link_key.secret(Opens::PaperReading, 1, 1);
    let question = test.app.link_key.secret(Opens::Question, asked[0], 1);
    let mut phone = test.stranger();
    let dead = phone.get(&format!("/read-paper/{}", "A".repeat(43))).await;
    assert_eq!(dead.status, 404);
    for path in
        [format!("/read-paper/{}", question.reveal()), format!("/answer/{}", own.reveal()), "/read-paper/x".to_owned()]
    {
        let page = phone.get(&path).await;
        assert_eq!((page.status, &page.body), (404, &dead.body), "{path}");
    }
    let path = reading_path(&test, 1);
    test.at(NOW + Duration::days(15));
    let late = phone.post(&path, &[("say", "approved")]).await;
    assert_eq!((late.status, &late.body), (404, &dead.body), "it has run out");
    test.at(NOW);
    assert_eq!(phone.get(&path).await.status, 200);
    let reader = ask(&test, "select person_id from paper_reading");
    let version = test.known(reader.parse().unwrap()).await.version.to_string();
    assert_eq!(olga.post(&format!("/people/{reader}/forget"), &[("version", &version)]).await.status, 303);
    assert_eq!(phone.get(&path).await.status, 404, "its reader is forgotten");
}

#[tokio::test]
async fn nobody_reads_their_own_text_by_a_link() {
    let (test, mut olga, _) = desk().await;
    done(&mut olga, "/papers", &[("kind", "media advisory")]).await;
    let me = test.known(1).await.details;
    test.sql(&format!("update person set mail = '{}' where id = 1", crate::support::OFFICER));
    let own = [("reader", me.name.as_str()), ("reader_mail", crate::support::OFFICER)];
    assert!(refused(&mut olga, "/papers/1/readings", &own).await.says("this person edited the text last"));
}

#[tokio::test]
async fn an_officer_alone_can_send_a_text_unread_and_it_says_so() {
    let (test, mut olga, _) = desk().await;
    done(&mut olga, "/papers", &[("kind", "media advisory")]).await;
    let mut read = as_read(&mut olga, 1).await;
    read.push(("read_by".to_owned(), "nobody".to_owned()));
    test.sql("update account set password_hash = 'x' where role = 'information officer'");
    let with_another = refused(&mut olga, "/papers/1/approve", &fields(&read)).await;
    assert!(with_another.says("Somebody else with an account can read it"));
    test.sql("update account set disabled_at = 1 where role = 'information officer'");
    assert!(refused(&mut olga, "/papers/1/approve", &fields(&read)).await.says("Tick that nobody else has read it."));
    read.push(("sure".to_owned(), "yes".to_owned()));
    let said = done(&mut olga, "/papers/1/approve", &fields(&read)).await;
    assert_eq!(said, "The media advisory v1 is released. Nobody else has read it.");
    for path in ["/papers/1", "/papers", "/papers/1/send", "/papers/1/print"] {
        assert!(see(&mut olga, path).await.says("Nobody else has read this"), "{path}");
    }
    assert!(test.dump().contains("released unread"));
}

#[tokio::test]
async fn a_contact_comes_with_phone_and_mail_and_nobody_is_doubled_or_taken_for_another() {
    let (test, _, mut ivo) = desk().await;
    let add = "/outlets/1/contacts";
    let new = [("person", "Ada Quick"), ("part", "desk"), ("phone", "555-0150"), ("mail", "ada@example.org")];
    assert_eq!(done(&mut ivo, add, &new).await, "Ada Quick is a contact at Radio Bend.");
    let ada = ask(&test, "select id, phone, mail from person where name = 'Ada Quick'");
    assert!(ada.contains("555-0150|ada@example.org"), "{ada}");
    done(&mut ivo, "/outlets", &[("name", "Bend Weekly"), ("kind", "weekly newspaper"), ("lead_days", "1")]).await;
    let again = [("person", "A. Quick"), ("phone", "555-0151"), ("mail", "ADA@example.org")];
    let said = done(&mut ivo, "/outlets/2/contacts", &again).await;
    assert_eq!(
        said,
        "Ada Quick is a contact at Bend Weekly. They were known already. Their phone stays 555-0150; change it at People."
    );
    let wrong = refused(&mut ivo, add, &[("person", ""), ("mail", "no address")]).await;
    assert!(!wrong.text("#person-mistake").is_empty() && !wrong.text("#mail-mistake").is_empty());

    // Another of the name, and somebody at the same address.
    for typed in [("Ada Quick", "other@example.org"), ("Ben Hall", "ada@example.org")] {
        let fields = [("person", typed.0), ("mail", typed.1)];
        let page = refused(&mut ivo, add, &fields).await;
        assert!(page.text("#who-mistake").contains("Choose who it is"), "{typed:?}");
        assert!(page.says("Ada Quick, Radio Bend, ada@example.org, 555-0150"), "{}", page.text("#add-contact"));
        assert_eq!(page.value("mail"), typed.1, "what was typed stays");
        done(&mut ivo, add, &[&fields[..], &[("who", "new")]].concat()).await;
    }
    let people = ask(&test, "select count(*) from person where name in ('Ada Quick', 'Ben Hall')");
    assert_eq!(people, "3");
    let two = refused(&mut ivo, add, &[("person", "ada quick")]).await;
    assert_eq!(two.attributes("input[name=who]", "value").len(), 3, "two of the name, or a new one");

    // At the gate, the one who works there is meant; nowhere is one of two just taken.
    let which = refused(&mut ivo, "/day", &[("name", "Ada Quick"), ("outlet", "")]).await;
    assert!(which.text("#name-mistake").contains("Several people have this name"));
    done(&mut ivo, "/day", &[("name", "Ada Quick"), ("outlet", "2")]).await;
    let first = ask(&test, "select min(id) from person where name = 'Ada Quick'");
    assert_eq!(ask(&test, "select person_id from press_visit"), first);
}
