//! The site, from an empty field to settled: dragged, by keys, and typed without scripts. On
//! paper it is to scale.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::hands::PATIENCE;
use crate::server::Server;
use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
use fantoccini::wd::{PrintConfiguration, PrintSize};
use std::process::Command;
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// How something gets to its place.
#[derive(Clone, Copy, PartialEq)]
enum By {
    Dragging,
    Keys,
    Typing,
}

#[tokio::test]
async fn a_site_is_settled_by_dragging() {
    story(By::Dragging, Scripts::On, (1280, 900)).await;
}

#[tokio::test]
async fn a_site_is_settled_with_the_keyboard_alone() {
    story(By::Keys, Scripts::On, (1280, 900)).await;
}

#[tokio::test]
async fn a_site_is_settled_on_a_phone_without_scripts() {
    story(By::Typing, Scripts::Off, (390, 844)).await;
}

/// Each kind, and where its first corner or its middle belongs, in feet. What isn't moved
/// stays where it is put.
const PLACES: [(&str, Option<(f64, f64)>); 15] = [
    ("room A", Some((100.0, 40.0))),
    ("room B", Some((130.0, 40.0))),
    ("crowd", Some((78.0, 158.0))),
    ("press area", Some((190.0, 146.0))),
    ("gate", Some((60.0, 180.0))),
    ("gate", Some((190.0, 180.0))),
    ("wheelchair spaces", Some((123.0, 161.0))),
    ("lost-child point", Some((30.0, 176.0))),
    ("engine", Some((30.0, 60.0))),
    ("command post", Some((60.0, 20.0))),
    ("ambulance", Some((30.0, 110.0))),
    ("hydrant", Some((20.0, 20.0))),
    ("speaker", Some((123.0, 130.0))),
    ("restrooms", Some((220.0, 178.0))),
    ("fire lane", None),
];

async fn story(by: By, scripts: Scripts, (width, height): (u32, u32)) {
    let server = Server::demo(PROGRAM);
    server.sql("delete from site; delete from site_version; delete from fire_plan; update event set audience = 150;");
    let priya = Browser::start(scripts).await;
    priya.resize(width, height).await;
    priya.enter(server.link("education officer")).await;
    let site = format!("{}/events/1/rooms/site", server.base);
    priya.open(&site).await;
    priya.shows("[data-empty=site]").await;

    for (kind, place) in PLACES {
        priya.field("#kind").await.select_by_label(kind).await.unwrap();
        priya.click("form[action$='/site/items'] button").await;
        priya.shows("#drawing [data-item].picked").await;
        if let Some(place) = place {
            put(&priya, by, place).await;
        }
    }
    priya.click("main a[href$='/site/basis']").await;
    priya.fill("#crowd_line", "110 ft").await;
    priya.unfold("Crowd").await;
    priya.fill("#rise", "15").await;
    priya.unfold("Sound").await;
    priya.fill("#murmur", "60").await;
    priya.fill("#receivers", "12").await;
    priya.press("Save").await;
    priya.shows(".findings[data-open='0']").await;
    let sideways = "return document.documentElement.scrollWidth > innerWidth";
    assert_eq!(priya.client.execute(sideways, Vec::new()).await.unwrap(), serde_json::Value::Bool(false));

    // A corner goes its own way, and comes back after the page was loaded anew.
    let before = at(&priya, "[data-item]:has(.corner)").await;
    if by == By::Typing {
        priya.click("#drawing .crowd").await;
        priya.fill("#corners", "70 ft, 158 ft\n168 ft, 158 ft\n168 ft, 188 ft\n78 ft, 188 ft").await;
        priya.press("Save").await;
    } else {
        let corner = "#drawing .crowd .corner[data-corner='0']";
        let focus = "document.querySelector('#drawing .crowd').focus()";
        priya.client.execute(focus, Vec::new()).await.unwrap();
        if by == By::Dragging {
            drag(&priya, corner, (-8.0, 0.0)).await;
        } else {
            let focus = "document.querySelector(arguments[0]).focus()";
            priya.client.execute(focus, vec![corner.into()]).await.unwrap();
            press_arrows(&priya, corner, (-8.0, 0.0)).await;
        }
    }
    changes(&priya, &before).await;
    priya.open(&site).await;
    priya.click("#undo").await;
    priya.shows("#redo").await;
    assert_eq!(at(&priya, "[data-item]:has(.corner)").await, before);

    // Pulled past the edge, an outline stops there and keeps its shape.
    if by == By::Dragging {
        let before = at(&priya, "#drawing .crowd").await;
        drag(&priya, "#drawing .crowd", (-110.0, 0.0)).await;
        moves(&priya, "#drawing .crowd", &before).await;
        let width = |at: &str| {
            let across: Vec<f64> =
                at.split(' ').map(|place| place.split(',').next().unwrap().parse().unwrap()).collect();
            let (least, most) =
                (across.iter().copied().fold(f64::MAX, f64::min), across.iter().copied().fold(0.0, f64::max));
            (least, most - least)
        };
        let (left, wide) = width(&at(&priya, "#drawing .crowd").await);
        assert!(left.abs() < 0.01 && (wide - width(&before).1).abs() < 0.01, "{left} {wide}");
        priya.click("#undo").await;
        priya.shows("#redo").await;
    }

    // Without the speaker something is to settle, and the safety officer accepts that on a
    // phone.
    let speaker = "#drawing .speaker";
    priya.click(speaker).await;
    priya.click("form[action$='/remove'] button").await;
    priya.shows("[data-finding^='no speaker/'][data-grade=look]").await;
    let safety = Browser::start(scripts).await;
    safety.resize(390, 844).await;
    safety.enter(server.link("safety officer")).await;
    safety.open(&site).await;
    safety.click("[data-finding^='no speaker/'] summary").await;
    safety.fill("[data-finding^='no speaker/'] input[name=reason]", "We lend them our own.").await;
    safety.press("Accept").await;
    safety.shows("[data-finding^='no speaker/'][data-grade=accepted]").await;
    // It moves one thing with the finger's width it has.
    let before = at(&safety, "#drawing .hydrant").await;
    if scripts == Scripts::On {
        drag(&safety, "#drawing .hydrant", (10.0, 5.0)).await;
        moves(&safety, "#drawing .hydrant", &before).await;
    }
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
    assert_eq!(safety.console().await, [""; 0], "the console is quiet");
}

/// The places of something on the drawing, in meters.
async fn at(browser: &Browser, css: &str) -> String {
    browser.find(css).await.attr("data-at").await.unwrap().unwrap()
}

/// Waits until something is elsewhere.
async fn moves(browser: &Browser, css: &str, before: &str) {
    let until = Instant::now() + PATIENCE;
    let read = "return document.querySelector(arguments[0])?.dataset.at ?? ''";
    loop {
        let now = browser.client.execute(read, vec![css.into()]).await.unwrap_or_default();
        if now.as_str().is_some_and(|now| !now.is_empty() && now != before) {
            return;
        }
        assert!(Instant::now() < until, "{css} stays at {before}\n{}", browser.page().await);
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

async fn changes(browser: &Browser, before: &str) {
    moves(browser, "[data-item]:has(.corner)", before).await;
}

/// Puts what is picked so that its first place is there.
async fn put(browser: &Browser, by: By, (x, y): (f64, f64)) {
    let picked = "#drawing .picked";
    let before = at(browser, picked).await;
    let id = browser.find(picked).await.attr("id").await.unwrap().unwrap();
    let first = before.split([' ', ',']).map(|at| at.parse::<f64>().unwrap() / 0.3048).collect::<Vec<_>>();
    let delta = ((x - first[0]).round(), (y - first[1]).round());
    match by {
        By::Dragging => drag(browser, picked, delta).await,
        By::Keys => press_arrows(browser, picked, delta).await,
        By::Typing => {
            browser.click(picked).await;
            if browser.client.find(fantoccini::Locator::Css("#x")).await.is_ok() {
                browser.fill("#x", &format!("{} ft", first[0] + delta.0)).await;
                browser.fill("#y", &format!("{} ft", first[1] + delta.1)).await;
            } else {
                let all: Vec<String> = first
                    .chunks(2)
                    .map(|place| format!("{} ft, {} ft", place[0] + delta.0, place[1] + delta.1))
                    .collect();
                browser.fill("#corners", &all.join("\n")).await;
            }
            browser.press("Save").await;
        }
    }
    moves(browser, &format!("#{id}"), &before).await;
}

/// Drags by so many feet.
async fn drag(browser: &Browser, css: &str, (right, down): (f64, f64)) {
    let ready = "const svg = document.querySelector('#drawing');
        document.querySelector(arguments[0]).scrollIntoView({block: 'center', inline: 'center'});
        return svg.getScreenCTM().a * 0.3048 / svg.dataset.scale";
    let pixels = browser.client.execute(ready, vec![css.into()]).await.unwrap().as_f64().unwrap();
    let middle = "const box = document.querySelector(arguments[0] + (arguments[0].includes('corner') ? '' : ' .grip'))
            .getBoundingClientRect();
        return [box.x + box.width / 2, box.y + box.height / 2]";
    let middle = browser.client.execute(middle, vec![css.into()]).await.unwrap();
    let (x, y) = (middle[0].as_f64().unwrap(), middle[1].as_f64().unwrap());
    let mouse = MouseActions::new("mouse".to_owned())
        .then(PointerAction::MoveTo { duration: None, x, y })
        .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
        .then(PointerAction::MoveBy { duration: None, x: right * pixels / 2.0, y: down * pixels / 2.0 })
        .then(PointerAction::MoveBy { duration: None, x: right * pixels / 2.0, y: down * pixels / 2.0 })
        .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
    browser.client.perform_actions(mouse).await.unwrap();
}

/// Moves what has the focus by so many feet, and saves.
async fn press_arrows(browser: &Browser, css: &str, (right, down): (f64, f64)) {
    let focus = "document.querySelector(arguments[0]).focus()";
    browser.client.execute(focus, vec![css.into()]).await.unwrap();
    let keys = |by: f64, back: char, on: char| {
        let key = if by < 0.0 { back } else { on };
        std::iter::repeat_n(key, format!("{:.0}", by.abs()).parse().unwrap()).collect::<String>()
    };
    let keys = keys(right, '\u{e012}', '\u{e014}') + &keys(down, '\u{e013}', '\u{e015}') + "\u{e007}";
    browser.client.active_element().await.unwrap().send_keys(&keys).await.unwrap();
}

#[tokio::test]
async fn the_sheet_is_to_scale_on_paper() {
    const DOTS: f64 = 200.0;
    let server = Server::demo(PROGRAM);
    let priya = Browser::start(Scripts::On).await;
    priya.enter(server.link("education officer")).await;
    priya.open(&format!("{}/events/1/rooms/site/sheet", server.base)).await;
    priya.shows(".sitesheet svg").await;
    let inches = priya.find(".sitesheet svg").await.attr("width").await.unwrap().unwrap();
    let inches: f64 = inches.trim_end_matches("in").parse().unwrap();

    let is_upright = priya.client.find(fantoccini::Locator::Css(".sitesheet.upright")).await.is_ok();
    let (wide, high) = if is_upright { (21.59, 27.94) } else { (27.94, 21.59) };
    let how = PrintConfiguration::builder().size(PrintSize { width: wide, height: high }).build().unwrap();
    let pdf = priya.client.print(how).await.unwrap();
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("site.pdf");
    std::fs::write(&file, pdf).unwrap();
    let picture = folder.path().join("site");
    let drawn = Command::new("pdftoppm").args(["-r", "200", "-gray"]).arg(&file).arg(&picture).output();
    assert!(drawn.expect("pdftoppm comes with pdftotext: run tests/run").status.success());
    let mut pages: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
    pages.retain(|path| path.extension().is_some_and(|ending| ending == "pgm"));
    assert_eq!(pages.len(), 1, "one sheet");

    // The frame around the drawing is the longest line on the paper.
    let (width, rows) = gray(&std::fs::read(&pages[0]).unwrap());
    assert!((f64::from(width) / DOTS - wide / 2.54).abs() < 0.02, "{width} dots across");
    let longest = rows.iter().map(|row| longest_run(row)).max().unwrap();
    let measured = f64::from(longest) / DOTS;
    assert!((measured / inches - 1.0).abs() < 0.01, "{measured} in on paper, {inches} in drawn");
}

/// Width and rows of a picture in gray (netpbm's PGM, as its manual says).
fn gray(file: &[u8]) -> (u32, Vec<Vec<u8>>) {
    let head: Vec<usize> = (0..file.len()).filter(|at| file[*at].is_ascii_whitespace()).take(4).collect();
    let number =
        |from: usize, to: usize| std::str::from_utf8(&file[head[from] + 1..head[to]]).unwrap().parse().unwrap();
    let (width, height): (u32, u32) = (number(0, 1), number(1, 2));
    let pixels = &file[head[3] + 1..];
    assert_eq!(pixels.len(), (width * height) as usize);
    (width, pixels.chunks(width as usize).map(<[u8]>::to_vec).collect())
}

/// The most pixels in a row that aren't white.
fn longest_run(row: &[u8]) -> u32 {
    row.split(|pixel| *pixel > 250).map(|run| u32::try_from(run.len()).unwrap()).max().unwrap()
}
