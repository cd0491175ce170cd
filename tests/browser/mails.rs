//! Every kind of email, opened by an email scanner that runs scripts and follows every
//! link. It changes nothing.

use crate::PROGRAM;
use crate::crawl::Walker;
use crate::driver::{Browser, Scripts};
use crate::http::Visitor;
use crate::server::Server;
use scraper::{Html, Selector};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

/// What the app emails, by the first word of its key, and where its links may lead.
const KINDS: [(&str, &[&str]); 14] = [
    ("ask", &["answer"]),
    ("call-sheet", &["call-sheet"]),
    ("change", &["answer"]),
    ("confirm", &["answer"]),
    ("deputy", &[]),
    ("loan", &[]),
    ("paper", &["announcements"]),
    ("paper-reading", &["read-paper"]),
    ("donation-request", &["answer"]),
    ("receipt", &[]),
    ("reminder", &["answer", "call-sheet", "events"]),
    ("test", &[]),
    ("thanks", &[]),
    ("withdrawn", &[]),
];

/// The first words of all keys, from the source.
fn written() -> BTreeSet<String> {
    fn collect(folder: &Path, into: &mut BTreeSet<String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                collect(&path, into);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let text = fs::read_to_string(&path).unwrap();
                let keys = text.split("dedup").skip(1).filter_map(|rest| {
                    let rest = rest.strip_prefix(": format!(\"").or_else(|| rest.strip_prefix(" = format!(\""));
                    rest?.split(['/', ' ', '{']).next().map(str::to_owned)
                });
                into.extend(keys);
            }
        }
    }
    let mut found = BTreeSet::new();
    collect(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut found);
    found
}

#[test]
fn every_kind_of_email_is_in_the_table() {
    let table: BTreeSet<String> = KINDS.iter().map(|(what, _)| (*what).to_owned()).collect();
    assert_eq!(written(), table, "a kind of email is missing here: write and open it below");
}

/// The values of all form fields on a page with this name.
async fn offered(officer: &mut Visitor, page: &str, name: &str) -> Vec<String> {
    let html = officer.get(page).await.html;
    let fields = Selector::parse(&format!("[name={name}]")).unwrap();
    let page = Html::parse_document(&html);
    page.select(&fields).filter_map(|field| field.attr("value").map(str::to_owned)).collect()
}

async fn press(officer: &mut Visitor, path: &str, fields: &[(&str, &str)]) {
    let fields = fields.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect();
    let answer = officer.post(path, &fields).await;
    assert_eq!(answer.status, 200, "POST {path} {fields:?}\n{}", answer.html);
}

/// Makes the demo's officer cause the emails that the demo doesn't start with.
async fn cause_the_others(server: &Server, officer: &mut Visitor) {
    let writer = Visitor::entered(&server.base, server.link("education officer")).await;
    Walker::new(writer).have_a_paper_read(server).await;
    press(officer, "/mail/test", &[]).await;
    press(officer, "/events/1/burn-day/call-sheets", &[]).await;

    let wanted = "/events/1/rooms/shopping";
    let (need, who) =
        (offered(officer, wanted, "need").await.remove(0), offered(officer, wanted, "who").await.remove(0));
    press(officer, wanted, &[("need", &need), ("who", &who), ("words", "We can pick it up."), ("act", "send")]).await;

    let letter = "/events/1/loans/8/letter";
    let about = offered(officer, letter, "about").await.remove(0);
    press(officer, letter, &[("about", &about), ("text", "It came back in good condition."), ("act", "mail")]).await;

    // A guest sends someone.
    let invited = server.answer("guest");
    let say = offered(officer, &invited, "say").await.into_iter().find(|say| say.ends_with(" deputy")).unwrap();
    let nell = [("say", say.as_str()), ("deputy", "Nell Harrow"), ("deputy_mail", "harrow@example.org")];
    press(officer, &invited, &nell).await;

    let [gone, moved] = ["min", "max"].map(|which| {
        server.ask_store(&format!(
            "select {which}(request_id) from mail where state = 'sent' and kind = 'ask' and dedup like 'ask/%'
             and request_id in (select id from request where kind = 'post')"
        ))
    });
    press(officer, &format!("/events/1/replies/{gone}/withdraw"), &[]).await;
    server.sql(&format!(
        "update request set facts = json_array(json_array('Time', '06:30 to 11:00')), version = version + 1
         where id = {moved}"
    ));
    press(officer, "/events/1/replies/tell", &[("request", &moved)]).await;
}

/// The rows of its store, except those about reminders. The program writes these when they
/// are due, no matter who opens what.
fn rows(server: &Server) -> Vec<String> {
    let dump = server.dump();
    let is_reminder = |row: &str| {
        let mail = row.strip_prefix("INSERT INTO mail VALUES(").and_then(|values| values.split_once(','));
        row.starts_with("INSERT INTO reminder VALUES(") || mail.is_some_and(|(_, rest)| rest.starts_with("'reminder',"))
    };
    dump.lines().filter(|row| !is_reminder(row)).map(str::to_owned).collect()
}

/// The same, once the program has sent everything the test made it send, and has simulated the
/// fires of the plan that the demo pins. These take a minute or more on a busy machine.
async fn at_rest(server: &Server) -> Vec<String> {
    let until = Instant::now() + Duration::from_mins(5);
    let mut before = rows(server);
    loop {
        tokio::time::sleep(Duration::from_secs(3)).await;
        let now = rows(server);
        let simulated = server.ask_store("select count(*) from fire_plan where bands is null or fires is null") == "0";
        if simulated && now == before {
            return now;
        }
        assert!(Instant::now() < until, "the program doesn't come to rest");
        before = now;
    }
}

/// Waits for a reminder. The program checks once a minute whether one is due.
async fn until_reminded(server: &Server) {
    let until = Instant::now() + Duration::from_mins(2);
    while !server.mails().iter().any(|mail| mail.what == "reminder") {
        assert!(Instant::now() < until, "no one is reminded");
        tokio::time::sleep(Duration::from_secs(1)).await;
    }
}

/// Opens these links. None of them may change a row.
async fn open_all(server: &Server, scanner: &Browser, links: &BTreeSet<String>) {
    let before = at_rest(server).await;
    for (opened, link) in links.iter().enumerate() {
        // One address may open sixty links at once, then one a second.
        if opened >= 50 {
            tokio::time::sleep(Duration::from_millis(1_100)).await;
        }
        scanner.open(&format!("{}{link}", server.base)).await;
        assert!(!scanner.read("h1").await.trim().is_empty(), "{link} opens a page");
    }
    tokio::time::sleep(Duration::from_secs(1)).await;
    let after = rows(server);
    let differs = before.iter().zip(&after).find(|(before, after)| before != after);
    assert_eq!(differs, None);
    assert_eq!(before.len(), after.len());
    assert_eq!(scanner.console().await, [""; 0], "nothing goes wrong on these pages");
}

#[tokio::test]
async fn opening_the_links_of_every_email_with_scripts_changes_no_row() {
    let server = Server::demo(PROGRAM);
    let mut officer = Visitor::entered(&server.base, server.link("education officer")).await;
    cause_the_others(&server, &mut officer).await;
    let scanner = Browser::start(Scripts::On).await;
    let links: BTreeSet<String> = server.mails().into_iter().flat_map(|mail| mail.links).collect();
    assert!(links.len() > 35, "{links:?}");
    open_all(&server, &scanner, &links).await;

    server.goes_where_it_is_noon();
    server.burns_in(3);
    until_reminded(&server).await;
    server.burns_in(-1);
    let who = offered(&mut officer, "/events/1/guests/thanks", "who").await.remove(0);
    press(&mut officer, "/events/1/guests/thanks/send", &[("who", &who), ("act", "mail")]).await;
    server.new_mails();
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for mail in server.mails() {
        let paths = mail.links.iter().map(|link| link.split('/').nth(1).unwrap().to_owned());
        found.entry(mail.what.clone()).or_default().extend(paths);
    }
    for (what, leads_to) in KINDS {
        let paths = found.remove(what).unwrap_or_else(|| panic!("no email of the kind {what:?} was written"));
        let strange: Vec<&String> = paths.iter().filter(|path| !leads_to.contains(&path.as_str())).collect();
        assert!(strange.is_empty(), "{what} leads to {strange:?}");
        assert!(leads_to.is_empty() || !paths.is_empty(), "{what} has no link");
    }
    let later: BTreeSet<String> = server.mails().into_iter().flat_map(|mail| mail.links).collect();
    let new: BTreeSet<String> = later.difference(&links).cloned().collect();
    open_all(&server, &scanner, &new).await;
}
