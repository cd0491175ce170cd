//! Every page, wide and narrow, light and dark: axe-core finds nothing, nothing is wider
//! than a phone, and the console stays quiet.

use crate::PROGRAM;
use crate::crawl::{Stop, Walker, shape};
use crate::driver::{Browser, Scripts};
use crate::hands::PATIENCE;
use crate::http::Visitor;
use crate::server::Server;
use crate::tools;
use serde_json::{Value, json};
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::time::{Duration, Instant};

#[tokio::test]
async fn axe_finds_nothing_on_the_officers_pages() {
    let server = Server::demo(PROGRAM);
    let stops = of_the_officer(&server).await;
    look_at_all(&server, Some("education officer"), &stops).await;
}

#[tokio::test]
async fn axe_finds_nothing_on_the_answers_to_forms() {
    let server = Server::demo(PROGRAM);
    let stops = answers_to_the_officer(&server).await;
    look_at_all(&server, Some("education officer"), &stops).await;
}

#[tokio::test]
async fn axe_finds_nothing_on_a_readers_pages() {
    let server = Server::demo(PROGRAM);
    let stops = of_a_reader(&server).await;
    look_at_all(&server, Some("reader"), &stops).await;
}

#[tokio::test]
async fn axe_finds_nothing_on_a_strangers_pages() {
    let server = Server::demo(PROGRAM);
    let stops = of_a_stranger(&server).await;
    look_at_all(&server, None, &stops).await;
    let server = Server::fresh(PROGRAM);
    let stops = of_the_set_up(&server).await;
    look_at_all(&server, None, &stops).await;
}

/// What the demo's education officer sees.
pub async fn of_the_officer(demo: &Server) -> Vec<Stop> {
    let mut walker = Walker::new(Visitor::entered(&demo.base, demo.link("education officer")).await);
    walker.send_a_test(demo).await;
    let tests = demo.new_mails();
    assert!(tests.iter().any(|mail| mail.what == "test"), "{tests:?}");
    // Two people know something that is no longer true, and one of them has no email.
    demo.sql(
        "update request set facts = json_array(json_array('Time', '06:30 to 11:00')), version = version + 1
         where id in (select min(r.id) from request r join person p on p.id = r.person_id
                      where r.kind = 'post' group by p.mail = '')",
    );
    walker.follow_links().await;
    walker.stops
}

/// The answers to the forms of the demo's education officer.
pub async fn answers_to_the_officer(demo: &Server) -> Vec<Stop> {
    let mut walker = Walker::new(Visitor::entered(&demo.base, demo.link("education officer")).await);
    walker.send_forms().await;
    walker.make_link("/settings/accounts/2").await;
    walker.stops
}

/// What the demo's reader sees.
pub async fn of_a_reader(demo: &Server) -> Vec<Stop> {
    let mut walker = Walker::new(Visitor::entered(&demo.base, demo.link("reader")).await);
    walker.follow_links().await;
    walker.look("/settings/accounts", 403).await;
    walker.stops
}

/// What someone sees who isn't signed in.
pub async fn of_a_stranger(demo: &Server) -> Vec<Stop> {
    let mut officer = Walker::new(Visitor::entered(&demo.base, demo.link("education officer")).await);
    let (invitation, password) = (officer.invite().await, officer.make_link("/settings/accounts/3").await);
    let mut walker = Walker::new(Visitor::new(&demo.base));
    walker.look("/sign-in", 200).await;
    walker.send("/sign-in", "mail", &[("mail", "nobody@example.org"), ("password", "x")], 422).await;
    walker.look(demo.link("reader").strip_prefix(&demo.base).unwrap(), 200).await;
    for link in [invitation, password] {
        walker.look(&link, 200).await;
        walker.send(&link, "password", &[("password", "short")], 422).await;
    }
    // One about a crew position on two dates, one to a guest.
    for link in [demo.answer("post"), demo.answer("guest")] {
        walker.look(&link, 200).await;
        walker.send(&link, "note", &[("note", "No button was pressed.")], 422).await;
    }
    let sheet = demo.call_sheet(1);
    walker.look(&sheet, 200).await;
    let reading = officer.have_a_paper_read(demo).await;
    walker.look(&reading, 200).await;
    walker.send(&sheet, "note", &[("note", "No button was pressed.")], 422).await;
    walker.look("/new-password/nothing", 404).await;
    walker.look("/nothing", 404).await;
    walker.stops
}

/// What people see before anything is set up.
pub async fn of_the_set_up(fresh: &Server) -> Vec<Stop> {
    let link = fresh.link("").strip_prefix(&fresh.base).unwrap();
    let mut walker = Walker::new(Visitor::new(&fresh.base));
    walker.look("/sign-in", 503).await;
    walker.look("/set-up/nothing", 404).await;
    walker.look(link, 200).await;
    walker.send(link, "password", &[("zone", "Nowhere"), ("mail", "x"), ("password", "short")], 422).await;
    walker.stops
}

/// How many places are listed for one mistake.
const EXAMPLES: usize = 6;

/// What is wrong, and where.
pub type Found = BTreeMap<String, Vec<String>>;

/// Width, height, and the color scheme. What all pages share is checked in all four looks.
type Look = ((u32, u32), &'static str);
const LOOKS: [[Look; 2]; 2] = [[(WIDE, "light"), (NARROW, "dark")], [(WIDE, "dark"), (NARROW, "light")]];
const WIDE: (u32, u32) = (1280, 900);
const NARROW: (u32, u32) = (360, 740);

/// The first page of a shape is checked wide and narrow, light and dark. Another one is
/// checked in one of the four looks, since it differs by its text alone.
fn looks(stops: &[Stop]) -> Vec<&'static [Look]> {
    let mut known = BTreeSet::new();
    let look = |(number, stop): (usize, &Stop)| {
        let both: &'static [Look] = &LOOKS[number % 2];
        if known.insert((shape(&stop.path), stop.status)) { both } else { &both[number / 2 % 2..][..1] }
    };
    stops.iter().enumerate().map(look).collect()
}

/// Two browsers share the pages, since these tests take longest and end last.
async fn look_at_all(server: &Server, role: Option<&str>, stops: &[Stop]) {
    let waiting = RefCell::new(stops.iter().zip(looks(stops)));
    let next = || waiting.borrow_mut().next();
    let (mut found, more) = tokio::join!(look_at_some(server, role, next), look_at_some(server, role, next));
    for (what, places) in more {
        found.entry(what).or_default().extend(places);
    }
    assert_clean(&found, stops);
}

async fn look_at_some<'a>(
    server: &Server,
    role: Option<&str>,
    next: impl Fn() -> Option<(&'a Stop, &'a [Look])>,
) -> Found {
    let browser = Browser::start(Scripts::On).await;
    let axe = std::fs::read_to_string(tools::npm("axe-core/axe.min.js")).unwrap();
    browser.put_into_every_page(&axe).await;
    if let Some(role) = role {
        browser.enter(server.link(role)).await;
        browser.sees(".me", role).await;
    } else {
        // A form is sent from a page of the app.
        browser.open(&format!("{}/sign-in", server.base)).await;
    }
    browser.console().await;
    let mut found = Found::new();
    while let Some((stop, looks)) = next() {
        go_to(&browser, &server.base, stop).await;
        for complaint in browser.console().await {
            if !complaint.contains(&format!("status of {}", stop.status)) {
                found.entry(format!("console: {complaint}")).or_default().push(stop.to_string());
            }
        }
        for ((width, height), scheme) in looks {
            browser.resize(*width, *height).await;
            browser.prefer(scheme).await;
            let mut wrong = violations(&browser).await;
            wrong.extend(what_sticks_out(&browser).await.map(|wider| format!("wider than the page: {wider}")));
            for what in wrong {
                found.entry(what).or_default().push(format!("{stop}, {width} px, {scheme}"));
            }
        }
    }
    found
}

pub fn assert_clean(found: &Found, stops: &[Stop]) {
    let list = found.iter().map(|(what, places)| {
        let more =
            if places.len() > EXAMPLES { format!("\n    and {} more", places.len() - EXAMPLES) } else { String::new() };
        format!("{what}\n    {}{more}", places[..places.len().min(EXAMPLES)].join("\n    "))
    });
    let list = list.collect::<Vec<_>>().join("\n");
    assert!(found.is_empty(), "{} things are wrong on {} pages:\n{list}", found.len(), stops.len());
}

async fn go_to(browser: &Browser, base: &str, stop: &Stop) {
    match &stop.form {
        None => browser.open(&format!("{base}{}", stop.path)).await,
        Some(fields) => {
            let send = "document.documentElement.dataset.old = 'yes';
                const form = document.createElement('form');
                form.method = 'post';
                form.action = arguments[0];
                for (const [name, value] of arguments[1]) {
                    const input = document.createElement('input');
                    Object.assign(input, {type: 'hidden', name, value});
                    form.append(input);
                }
                document.body.append(form);
                form.submit();";
            browser.client.execute(send, vec![json!(stop.path), json!(fields)]).await.unwrap();
        }
    }
    let came = "return !document.documentElement.dataset.old && document.readyState === 'complete'
        && performance.getEntriesByType('navigation')[0].responseStatus";
    let until = Instant::now() + PATIENCE;
    loop {
        let status = browser.client.execute(came, Vec::new()).await.unwrap_or_default();
        if status == json!(stop.status) {
            return;
        }
        assert!(Instant::now() < until, "{stop} comes with {status} in the browser");
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
}

/// What axe-core finds, with everything that is folded open.
async fn violations(browser: &Browser) -> Vec<String> {
    let run = "const [done] = arguments;
        for (const closed of document.querySelectorAll('details')) closed.open = true;
        const says = (rule) => rule.nodes.map((node) => `${rule.id} (${rule.help}): ${node.target.join(' ')}
      ${node.html}
      ${node.failureSummary.replaceAll('\\n', '\\n      ')}`);
        // An email shown inside a page can't run scripts.
        axe.run(document, {resultTypes: ['violations'], iframes: false}).then(
            (result) => done({looked: result.passes.length > 0, found: result.violations.flatMap(says)}),
            (error) => done({looked: false, found: [String(error)]}));";
    let answer = browser.client.execute_async(run, Vec::new()).await.unwrap();
    assert_eq!(answer["looked"], true, "axe checks the page: {answer}");
    answer["found"].as_array().unwrap().iter().map(|text| text.as_str().unwrap().to_owned()).collect()
}

/// An element that reaches past the page's right edge, or text that is cut off. What is in a
/// frame of its own may scroll there. The event's name in the bar may be shortened.
async fn what_sticks_out(browser: &Browser) -> Option<String> {
    let look = "const page = document.documentElement;
        const seen = [...document.querySelectorAll('body *')].filter((element) => element.checkVisibility()
            && !element.closest('.scroll, .ruler, .skip, .what .name, svg')
            && getComputedStyle(element).clipPath === 'none');
        const is_out = (element) => element.getBoundingClientRect().right > page.clientWidth + 1;
        // A field shows as much of its text as fits.
        const is_cut = (element) => element.scrollWidth > element.clientWidth + 1
            && !element.matches('input, select, textarea') && ['hidden', 'clip'].includes(getComputedStyle(element).overflowX);
        const first = seen.find((element) => is_out(element) || is_cut(element));
        if (!first && page.scrollWidth <= page.clientWidth) return null;
        return `${page.scrollWidth} of ${page.clientWidth}: ${first ? first.outerHTML.slice(0, 200) : '?'}`;";
    match browser.client.execute(look, Vec::new()).await.unwrap() {
        Value::String(out) => Some(out),
        _ => None,
    }
}
