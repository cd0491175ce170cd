//! The talk: its lines and its lesson, whether they fit the plan's fires, practice, and paper.

use crate::support::{Answer, Browser, TestApp};
use burnday::accounts::Role;
use burnday::background;
use burnday::calc::fire::bands::FireTimes;
use burnday::fire::{self, Clock};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use time::macros::datetime;

const TALK: &str = "/events/1/burn-day/talk";
const FIRE: &str = "/events/1/rooms/fire";

impl TestApp {
    /// The starter talk, practiced once.
    pub async fn with_talk(&self) {
        let mut olga = self.olga().await;
        assert_eq!(olga.post(&format!("{TALK}/start"), &[]).await.status, 303);
        assert_eq!(by_hand(&mut olga, "before", "3:20").await.status, 303);
    }

    /// Pins an estimate, and simulates its fires.
    async fn with_fires(&self, fields: &[(&str, &str)]) -> Vec<FireTimes> {
        let mut olga = self.olga().await;
        let mut form = olga.get(&format!("{FIRE}/settings/new")).await.form().with("kind", "armchair");
        for (name, value) in fields {
            form = form.with(name, value);
        }
        let saved = olga.submit(&format!("{FIRE}/settings/new"), &form).await;
        assert_eq!(saved.status, 303, "{:?}", saved.mistakes());
        assert_eq!(olga.post(&format!("{FIRE}/pin"), &[("setting", "1"), ("version", "1")]).await.status, 303);
        background::tick(&self.app).await.unwrap();
        let clock = fire::clock(&mut self.app.db.read().acquire().await.unwrap(), 1).await.unwrap();
        let Clock::Ready(fires) = clock else { panic!("{clock:?}") };
        fires.times
    }
}

async fn by_hand(who: &mut Browser, part: &str, took: &str) -> Answer {
    who.post(&format!("{TALK}/practices"), &[("part", part), ("took", took)]).await
}

/// Adds a line and returns its number.
async fn add(who: &mut Browser, part: &str, words: &str) -> i64 {
    let path = format!("{TALK}/lines/new");
    let form = who.get(&format!("{path}?part={part}")).await.form().with("words", words);
    let answer = who.submit(&path, &form).await;
    assert_eq!(answer.status, 303, "{:?}", answer.mistakes());
    answer.location().rsplit_once("line-").unwrap().1.parse().unwrap()
}

async fn change(who: &mut Browser, line: i64, fields: &[(&str, &str)]) -> Answer {
    let path = format!("{TALK}/lines/{line}");
    let mut form = who.get(&path).await.form();
    for (name, value) in fields {
        form = form.with(name, value);
    }
    who.submit(&path, &form).await
}

/// The words of a part's lines, in order.
fn words(page: &Answer, part: &str) -> Vec<String> {
    page.all(&format!("[data-part='{part}'] .script .w"))
}

fn has(page: &Answer, finding: &str) -> bool {
    page.has(&format!("[data-finding='{finding}']"))
}

#[tokio::test]
async fn the_starter_talk_begins_an_empty_one_and_comes_once() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = olga.get(TALK).await;
    assert!(page.has("[data-empty=talk]") && page.has("[data-clock=missing]"));
    assert_eq!(olga.post(&format!("{TALK}/start"), &[]).await.status, 303);
    let page = olga.get(TALK).await;
    let parts = page.attributes(".lines-of-talk > [data-part]", "data-part");
    let in_turn = ["before", "lit", "alarm", "flashover", "between", "lit-b", "alarm-b", "sprinkler", "after"];
    assert_eq!(parts[..9], in_turn);
    assert_eq!(parts.len(), 19, "and ten for when the fire goes differently");
    for part in &parts {
        assert!(!words(&page, part).is_empty(), "{part}");
    }
    let before = page.count("[data-line]");
    olga.post(&format!("{TALK}/start"), &[]).await;
    assert_eq!(olga.get(TALK).await.count("[data-line]"), before);
    let lesson = olga.get(&format!("{TALK}/lesson")).await;
    assert_eq!(lesson.attributes("[data-objective]", "data-covered"), ["true"; 4]);
    // Nothing in it has to be said differently, and nobody is promised anything.
    for finding in ["jargon", "frightening", "promise", "sentence", "grade", "branches", "uncovered", "before"] {
        assert!(!has(&page, finding), "{finding}");
    }
}

#[tokio::test]
async fn the_format_decides_the_order_and_lines_of_the_other_one_are_kept() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.with_talk().await;
    let path = "/events/1/edit";
    let form = olga.get(path).await.form().with("format", "both at once");
    assert_eq!(olga.submit(path, &form).await.status, 303);
    let page = olga.get(TALK).await;
    let parts = page.attributes(".lines-of-talk > [data-part]", "data-part");
    assert_eq!(parts[..6], ["before", "lit", "alarm", "sprinkler", "flashover", "after"]);
    assert_eq!(page.attributes("[data-part][data-state=unused]", "data-part"), ["between", "lit-b", "alarm-b"]);
    assert!(!words(&page, "alarm-b").is_empty() && has(&page, "unused"));
    let numbers: Vec<usize> =
        page.attributes("[data-line]", "data-line").iter().map(|number| number.parse().unwrap()).collect();
    assert!(numbers.is_sorted(), "lines are numbered as they are shown: {numbers:?}");
    // They aren't on paper, and not practiced.
    assert!(!olga.get(&format!("{TALK}/script")).await.has("[data-part='alarm-b']"));
    assert!(!olga.get(&format!("{TALK}/practice")).await.has("[data-piece='alarm-b']"));
    // One is moved to where it can be said.
    let line =
        page.attributes("[data-part='alarm-b'] .script li", "id")[0].trim_start_matches("line-").parse().unwrap();
    assert_eq!(change(&mut olga, line, &[("part", "alarm")]).await.status, 303);
    let page = olga.get(TALK).await;
    assert!(page.attributes("[data-part='alarm'] .script li", "id").contains(&format!("line-{line}")));
}

/// The share on the page is that of the plan's own fires, counted here one by one.
#[tokio::test]
async fn a_line_fits_in_as_many_fires_as_the_page_says() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let short = add(&mut olga, "alarm-b", "Hear it?").await;
    let long = add(&mut olga, "alarm-b", &"word ".repeat(24)).await;
    let fires = test.with_fires(&[("alarm", "ionization")]).await;
    assert_eq!(fires.len(), 2_000);
    let page = olga.get(TALK).await;
    // 2 words, and then 26, at 120 words a minute and 20 % for pauses; 2 s of quiet first. The
    // room's fires where the sprinkler opens before the alarm leave all the time there is.
    for (line, words) in [(short, 2.0), (long, 26.0)] {
        let ends = 2.0 + words * 60.0 / 120.0 * 1.2;
        let fits = |fire: &&FireTimes| fire.sprinkler < fire.alarm || fire.sprinkler - fire.alarm >= ends;
        let comes = fires.iter().filter(|fire| fire.alarm.is_finite() && (fire.alarm - fire.sprinkler).abs() > 0.01);
        let comes = u32::try_from(comes.count()).unwrap();
        let full = fires.iter().filter(|fire| fire.alarm.is_finite()).filter(fits).count();
        let share = f64::from(u32::try_from(full).unwrap()) / f64::from(comes);
        let says = page.text(&format!("#line-{line} .fit .grade"));
        let shown = format!("{:.0} of 100", share * 100.0);
        assert!(says.contains(&shown), "{says}: {shown}");
        let state = page.mark(&format!("#line-{line}"), "state");
        assert_eq!(state, if share >= 0.9 { "fits" } else { "cut" });
        // A share at the limit would prove nothing.
        assert!((share - 0.9).abs() > 0.01, "{share}");
    }
    assert_eq!(page.mark(&format!("#line-{long}"), "state"), "cut");
    // As many words as the page says there is time for do fit.
    let budget = page.text("[data-part='flashover'] .budget");
    let about = budget.split("about ").nth(1).unwrap().split(' ').next().unwrap().parse::<usize>().unwrap();
    let whole = add(&mut olga, "flashover", &"word ".repeat(about)).await;
    assert_eq!(olga.get(TALK).await.mark(&format!("#line-{whole}"), "state"), "fits", "{budget}");
    assert!(has(&page, "cut") && page.mark("[data-part='alarm-b']", "state") == "over");
    // Slower speech, less fits; a longer quiet too.
    let number = |page: &Answer| {
        let says = page.text(&format!("#line-{long} .fit .grade"));
        let digits: String =
            says.chars().skip_while(|c| !c.is_ascii_digit()).take_while(char::is_ascii_digit).collect();
        digits.parse::<u32>().unwrap()
    };
    let before = number(&page);
    let settings = format!("{TALK}/pace");
    let form = olga.get(&settings).await.form().with("children", "60").with("adults", "60");
    assert_eq!(olga.submit(&settings, &form).await.status, 303);
    let slower = olga.get(TALK).await;
    assert!(number(&slower) < before, "{} and {before}", number(&slower));
}

#[tokio::test]
async fn a_moment_that_never_comes_is_said() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.with_talk().await;
    // A head that takes a fire far larger than a wastebasket's.
    let fires = test.with_fires(&[("kind", "wastebasket"), ("rating", "300"), ("rti", "300")]).await;
    assert!(fires.iter().all(|fire| fire.sprinkler.is_infinite()));
    let page = olga.get(TALK).await;
    assert!(has(&page, "always never"));
    assert!(page.has("[data-part=sprinkler] [data-line][data-state=unknown]"), "its lines are kept");
    assert!(page.has("[data-part=lit] [data-line][data-state=fits]"));
    let practice = olga.get(&format!("{TALK}/practice?fire=3")).await;
    assert!(!practice.mark("[data-run=b]", "marks").contains("sprinkler"));
}

#[tokio::test]
async fn another_plan_leaves_the_talk_and_times_it_anew() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.with_talk().await;
    test.with_fires(&[]).await;
    let lines = olga.get(TALK).await.count("[data-line]");
    let slow = olga.get(&format!("{FIRE}/settings/new?like=1")).await.form();
    let slow = slow.with("name", "Colder").with("air", "20 to 30");
    assert_eq!(olga.submit(&format!("{FIRE}/settings/new"), &slow).await.status, 303);
    assert_eq!(olga.post(&format!("{FIRE}/pin"), &[("setting", "2"), ("version", "1")]).await.status, 303);
    let page = olga.get(TALK).await;
    assert!(page.has("[data-clock=waiting]") && !page.has(".talk.fire"), "no old times beside a new plan");
    assert_eq!(page.count("[data-line]"), lines);
    assert_eq!(page.count("[data-line][data-state=fits]"), 0);
    background::tick(&test.app).await.unwrap();
    assert!(olga.get(TALK).await.has("[data-line][data-state=fits]"));
}

#[tokio::test]
async fn the_program_and_the_talk_share_one_clock() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, "before", "Hello.").await;
    let page = olga.get(TALK).await;
    // The usual program begins 25 minutes before ignition.
    assert!(page.has("#timeline tr[data-talk]") && !has(&page, "before"));
    // 16 lines of 120 words are 16 × 72 s at 120 words a minute with 20 % for pauses.
    for _ in 0..16 {
        add(&mut olga, "before", &"word ".repeat(120)).await;
    }
    let page = olga.get(TALK).await;
    let over = |page: &Answer| page.text("[data-finding=before] .t");
    assert!(has(&page, "before"));
    let first = over(&page);
    // An official's minute more is a minute less for the talk.
    let path = "/events/1/guests/program/edit";
    let form = olga.get(path).await.form();
    let lasts = form.pairs().into_iter().filter(|(name, _)| *name == "lasts").map(|(_, value)| value.to_owned());
    let lasts: Vec<String> = lasts.collect();
    let mut longer = form.without("lasts");
    for (place, value) in lasts.iter().enumerate() {
        longer = longer.and("lasts", if place == 0 { "3" } else { value });
    }
    assert_eq!(olga.submit(path, &longer).await.status, 303);
    let then = over(&olga.get(TALK).await);
    let seconds = |says: &str| {
        let words: Vec<&str> = says.split_whitespace().collect();
        let of =
            |unit| words.iter().position(|word| *word == unit).map_or(0, |at| words[at - 1].parse::<u32>().unwrap());
        60 * of("min") + of("s")
    };
    assert_eq!(seconds(&then), seconds(&first) + 60, "{first}, then {then}");
    // The program and the presenter's sheet say the same.
    for path in ["/events/1/guests/program", "/events/1/burn-day/presenter"] {
        let page = olga.get(path).await;
        assert!(then.starts_with("Before lighting") && page.has("tr[data-after][data-over]"), "{path}");
        let says = page.text("tr[data-over] .takes");
        assert_eq!(seconds(&says), seconds(&then), "{path}: {says}");
    }
}

#[tokio::test]
async fn what_is_too_long_or_missing_is_said_and_what_was_typed_stays() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = format!("{TALK}/lines/new");
    let endless = "word ".repeat(10_000);
    let form = olga.get(&path).await.form().with("words", &endless).with("speaker", "burn boss");
    let answer = olga.submit(&path, &form).await;
    assert_eq!(answer.status, 422);
    assert!(!answer.mistake("words").is_empty());
    assert_eq!(answer.form().value("words").split_whitespace().count(), 10_000);
    assert_eq!(answer.value("speaker"), "burn boss");
    for words in ["", "   ", "\u{202e}"] {
        let answer = olga.submit(&path, &form.clone().with("words", words)).await;
        assert_eq!(answer.status, 422, "{words:?}");
    }
    let wrong = [("part", "later"), ("audience", "dogs"), ("looks", "up"), ("objective", "77")];
    for (field, value) in wrong {
        let answer = olga.submit(&path, &form.clone().with("words", "Hello.").with(field, value)).await;
        assert_eq!(answer.status, 422, "{field}");
        assert!(!answer.mistake(field).is_empty(), "{field}");
    }
    // Both directions of text are shown each in its own, and can't turn the page around.
    let line = add(&mut olga, "before", "שלום, hello, مرحبا \u{202e}world").await;
    let page = olga.get(TALK).await;
    assert_eq!(page.attributes(&format!("#line-{line} .w"), "dir"), ["auto"]);
    assert!(!page.body.contains('\u{202e}'));
    let settings = format!("{TALK}/pace");
    let form = olga.get(&settings).await.form();
    for (field, value) in [("children", "10"), ("adults", "fast"), ("pauses", "-1"), ("listen", "99"), ("clear", "")] {
        let answer = olga.submit(&settings, &form.clone().with(field, value)).await;
        assert_eq!((answer.status, answer.value(field)), (422, value.to_owned()), "{field}");
    }
}

#[tokio::test]
async fn two_people_write_and_neither_loses_anything() {
    let test = TestApp::planned().await;
    let (mut olga, mut boss) = (test.olga().await, test.somebody(Role::BurnBoss).await);
    let line = add(&mut olga, "lit", "Watch the smoke.").await;
    let path = format!("{TALK}/lines/{line}");
    let stale = boss.get(&path).await.form();
    assert_eq!(change(&mut olga, line, &[("words", "Watch room A.")]).await.status, 303);
    let answer = boss.submit(&path, &stale.clone().with("words", "Watch the clock.")).await;
    assert_eq!((answer.status, answer.value("words")), (409, "Watch the clock.".to_owned()));
    // What it was can't be removed either.
    boss.submit(&format!("{path}/remove"), &stale).await;
    assert_eq!(words(&olga.get(TALK).await, "lit"), ["Watch room A."]);
    // An objective that someone removed isn't chosen.
    test.with_talk().await;
    let lesson = format!("{TALK}/lesson/1");
    let chosen = boss.get(&path).await.form().with("objective", "1");
    let gone = olga.get(&lesson).await.form();
    assert_eq!(olga.submit(&format!("{lesson}/remove"), &gone).await.status, 303);
    let answer = boss.submit(&path, &chosen).await;
    assert_eq!(answer.status, 422);
    assert!(!answer.mistake("objective").is_empty());
    let stale = olga.get(&format!("{TALK}/lesson/2")).await.form();
    let theirs = boss.get(&format!("{TALK}/lesson/2")).await.form().with("text", "They know two ways.");
    assert_eq!(boss.submit(&format!("{TALK}/lesson/2"), &theirs).await.status, 303);
    let answer = olga.submit(&format!("{TALK}/lesson/2"), &stale.with("text", "They practice.")).await;
    assert_eq!((answer.status, answer.value("text")), (409, "They practice.".to_owned()));
    let settings = format!("{TALK}/pace");
    let stale = boss.get(&settings).await.form().with("children", "100");
    let form = olga.get(&settings).await.form().with("children", "110");
    assert_eq!(olga.submit(&settings, &form).await.status, 303);
    assert_eq!(boss.submit(&settings, &stale).await.status, 409);
}

#[tokio::test]
async fn readers_look_and_change_nothing() {
    let test = TestApp::planned().await;
    test.with_talk().await;
    let mut reader = test.somebody(Role::Reader).await;
    for path in ["", "/lesson", "/practice", "/script", "/cue-cards"] {
        let page = reader.get(&format!("{TALK}{path}")).await;
        assert_eq!(page.status, 200, "{path}");
        assert_eq!(page.count("main form"), 0, "{path}");
        assert!(!page.has("main a[href*='/lines/']"), "{path}");
    }
    for path in ["/lines/1", "/lesson/1", "/pace"] {
        assert_eq!(reader.get(&format!("{TALK}{path}")).await.status, 403, "{path}");
    }
    assert_eq!(test.stranger().get(TALK).await.status, 303);
    // Another event's line isn't this one's.
    assert_eq!(test.olga().await.get("/events/1/burn-day/talk/lines/9999").await.status, 404);
}

/// Lines keep the order that a list of them has, whatever is done to them.
#[tokio::test]
async fn lines_keep_their_order_through_a_random_life() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let mut random = StdRng::seed_from_u64(16);
    let mut model: [Vec<i64>; 2] = [Vec::new(), Vec::new()];
    let parts = ["before", "after"];
    for step in 0..60 {
        let part = random.random_range(0..2);
        let count = model[part].len();
        match random.random_range(0..6) {
            0 | 1 => model[part].push(add(&mut olga, parts[part], &format!("Line {step}.")).await),
            2 | 3 if count > 0 => {
                let at = random.random_range(0..count);
                let ways = [("above", at.checked_sub(1)), ("below", Some(at + 1).filter(|below| *below < count))];
                let ways: Vec<(&str, usize)> =
                    ways.into_iter().filter_map(|(way, other)| Some((way, other?))).collect();
                if let Some((way, other)) = ways.get(random.random_range(0..2)).copied() {
                    let line = model[part][at];
                    let neighbor = model[part][other].to_string();
                    let shown = olga.get(TALK).await.attributes(&format!("#line-{line} [name={way}]"), "value");
                    assert_eq!(shown, [neighbor.as_str()], "step {step}");
                    // Someone else, whose page is as old, presses the same and moves nothing.
                    for _ in 0..2 {
                        let path = format!("{TALK}/lines/{line}/move");
                        assert_eq!(olga.post(&path, &[(way, &neighbor)]).await.status, 303);
                    }
                    model[part].swap(at, other);
                }
            }
            4 if count > 0 => {
                let line = model[part].remove(random.random_range(0..count));
                assert_eq!(change(&mut olga, line, &[("part", parts[1 - part])]).await.status, 303);
                model[1 - part].push(line);
            }
            5 if count > 0 => {
                let line = model[part].remove(random.random_range(0..count));
                let form = olga.get(&format!("{TALK}/lines/{line}")).await.form();
                olga.submit(&format!("{TALK}/lines/{line}/remove"), &form).await;
            }
            _ => {}
        }
        let page = olga.get(TALK).await;
        for (part, lines) in parts.iter().zip(&model) {
            let wanted: Vec<String> = lines.iter().map(|line| format!("line-{line}")).collect();
            assert_eq!(page.attributes(&format!("[data-part='{part}'] .script li"), "id"), wanted, "step {step}");
        }
    }
}

#[tokio::test]
async fn a_message_goes_to_the_press_with_its_source_and_edition() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = format!("{TALK}/lesson/new");
    let form = olga.get(&path).await.form();
    let form = form.with("text", "They test alarms.").with("message", "Test your alarms each month.");
    let form = form.with("is_for_press", "yes");
    let answer = olga.submit(&path, &form).await;
    assert_eq!(answer.status, 422);
    assert!(!answer.mistake("source").is_empty() && !answer.mistake("edition").is_empty());
    assert!(answer.has("input[name=is_for_press][checked]"), "what was chosen stays");
    let facts = "/events/1/press/facts";
    assert!(!olga.get(facts).await.has("[data-taught]"));
    let form = form.with("source", "NFPA 72").with("edition", "2022 edition");
    assert_eq!(olga.submit(&path, &form).await.status, 303);
    assert_eq!(
        olga.get(facts).await.all("[data-taught] .one"),
        ["Test your alarms each month. (NFPA 72, 2022 edition)"]
    );
    // What the press prints isn't everyone's to change.
    let mut timekeeper = test.somebody(Role::Timekeeper).await;
    let path = format!("{TALK}/lesson/1");
    let theirs = timekeeper.get(&path).await.form().with("message", "Buy our alarms.");
    assert_eq!(timekeeper.submit(&path, &theirs).await.status, 403);
    assert_eq!(timekeeper.submit(&format!("{path}/remove"), &theirs).await.status, 403);
    assert!(olga.get(facts).await.has("[data-taught]"));
    let lesson = olga.get(&format!("{TALK}/lesson/1")).await.form().without("is_for_press");
    assert_eq!(olga.submit(&format!("{TALK}/lesson/1"), &lesson).await.status, 303);
    assert!(!olga.get(facts).await.has("[data-taught]"));
}

#[tokio::test]
async fn a_lesson_has_three_to_five_objectives_and_each_is_taught_or_named() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = format!("{TALK}/lesson/new");
    let line = add(&mut olga, "lit", "Watch the smoke.").await;
    for number in 1..=5 {
        let form = olga.get(&path).await.form().with("text", &format!("Objective {number}"));
        assert_eq!(olga.submit(&path, &form.with("message", &format!("Message {number}"))).await.status, 303);
    }
    let form = olga.get(&path).await.form().with("text", "One more").with("message", "A sixth message");
    let answer = olga.submit(&path, &form).await;
    assert_eq!((answer.status, answer.value("text")), (422, "One more".to_owned()));
    assert_eq!(olga.get(TALK).await.count("[data-finding=uncovered]"), 5);
    assert_eq!(change(&mut olga, line, &[("objective", "2")]).await.status, 303);
    let page = olga.get(TALK).await;
    assert_eq!(page.count("[data-finding=uncovered]"), 4);
    // A line for when the fire goes differently may never be said.
    let branch = add(&mut olga, "stopped", "Please wait.").await;
    assert_eq!(change(&mut olga, branch, &[("objective", "3")]).await.status, 303);
    assert_eq!(olga.get(TALK).await.count("[data-finding=uncovered]"), 4);
    let covered = olga.get(&format!("{TALK}/lesson")).await.attributes("[data-objective]", "data-covered");
    assert_eq!(covered, ["false", "true", "false", "false", "false"]);
}

#[tokio::test]
async fn words_that_should_be_said_differently_are_named() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let line = add(&mut olga, "before", "You are safe here. The SCBA helps the victims.").await;
    let page = olga.get(TALK).await;
    assert!(has(&page, "promise") && has(&page, "jargon"));
    assert_eq!(page.mark("[data-finding=promise]", "state"), "wrong");
    assert_eq!(change(&mut olga, line, &[("words", "You are behind the safety officer's line.")]).await.status, 303);
    let page = olga.get(TALK).await;
    assert!(!has(&page, "promise") && !has(&page, "jargon"));
    let long = "This one goes on and on for more than ten words in all.";
    assert_eq!(change(&mut olga, line, &[("words", long)]).await.status, 303);
    assert!(!has(&olga.get(TALK).await, "sentence"));
    assert_eq!(change(&mut olga, line, &[("audience", "children")]).await.status, 303);
    assert!(has(&olga.get(TALK).await, "sentence"));
}

#[tokio::test]
async fn a_practice_measures_the_presenters_own_pace() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, "before", &"word ".repeat(50)).await;
    let practice = format!("{TALK}/practice");
    // 50 words in half a minute are 100 a minute.
    assert_eq!(by_hand(&mut olga, "before", "0:30").await.status, 303);
    let page = olga.get(&practice).await;
    assert!(page.text("[data-own]").contains("100"), "{}", page.text("[data-own]"));
    // As the script sends it: 60 more in half a minute make it 110.
    let sent = [("fire", "5"), ("children_words", "60"), ("children_ms", "30000"), ("finished", "4"), ("cut", "1")];
    assert_eq!(olga.post(&format!("{TALK}/practices"), &sent).await.status, 303);
    let page = olga.get(&practice).await;
    assert!(page.text("[data-own]").contains("110"), "{}", page.text("[data-own]"));
    assert_eq!(page.count("[data-practice]"), 2);
    // Nobody speaks like this: it is kept, and counts for nothing.
    let sent = [("children_words", "60"), ("children_ms", "300"), ("finished", "4")];
    assert_eq!(olga.post(&format!("{TALK}/practices"), &sent).await.status, 303);
    let page = olga.get(&practice).await;
    assert!(page.text("[data-own]").contains("110"));
    assert_eq!(page.count("[data-practice]"), 3);
    assert!(olga.get(&format!("{TALK}/pace")).await.has("[data-own]"));
    for took in ["", "soon", "3:75", "0", "99999999"] {
        let answer = by_hand(&mut olga, "before", took).await;
        assert_eq!((answer.status, answer.value("took")), (422, took.to_owned()));
    }
    let sent = [("children_words", "-1"), ("children_ms", "99999999999"), ("finished", "4")];
    assert_eq!(olga.post(&format!("{TALK}/practices"), &sent).await.status, 422);
    // Whatever is wrong, what was measured stays for the next try.
    let note = "x".repeat(1_100);
    let sent = [("fire", "18446744073709551615"), ("children_words", "60"), ("finished", "4"), ("note", &note)];
    let answer = olga.post(&format!("{TALK}/practices"), &sent).await;
    assert_eq!(
        (answer.status, answer.value("children_words"), answer.value("finished")),
        (422, "60".to_owned(), "4".to_owned())
    );
    // Another presenter's pace is their own.
    let boss = test.somebody(Role::BurnBoss).await.get(&practice).await;
    assert!(!boss.has("p[data-own]"));
    let last = page.attributes("[data-practice]", "data-practice")[0].clone();
    assert_eq!(olga.post(&format!("{TALK}/practices/{last}/remove"), &[]).await.status, 303);
    assert_eq!(olga.get(&practice).await.count("[data-practice]"), 2);
}

#[tokio::test]
async fn practice_runs_against_fires_of_the_plan() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.with_talk().await;
    let fires = test.with_fires(&[("alarm", "ionization")]).await;
    let page = olga.get(&format!("{TALK}/practice?fire=7")).await;
    let marks = page.mark("[data-run=a]", "marks");
    assert!(marks.contains(&format!("alarm:{:.1}", fires[7].alarm)), "{marks}");
    // Room B burns another time.
    let other = &fires[1_008];
    let marks = page.mark("[data-run=b]", "marks");
    assert!(marks.contains(&format!("sprinkler:{:.1}", other.sprinkler)), "{marks}");
    // What is kept names the fires that were practiced against, but not another plan's.
    let form = page.form_at("#practice-form").with("finished", "3");
    assert_eq!(olga.submit(&format!("{TALK}/practices"), &form).await.status, 303);
    let other_plan = form.with("pinned", "1");
    assert_eq!(olga.submit(&format!("{TALK}/practices"), &other_plan).await.status, 303);
    let kept = olga.get(&format!("{TALK}/practice")).await.all("[data-practice] .t");
    // An ionization alarm sounds within the first minute or two.
    let (minutes, seconds) = if fires[7].alarm < 59.5 { (0, fires[7].alarm) } else { (1, fires[7].alarm - 60.0) };
    let alarm = format!("the alarm {minutes}:{seconds:02.0}");
    assert!(!kept[0].contains("the alarm") && kept[1].contains(&alarm), "{kept:?}");
    assert_eq!(olga.get(&format!("{TALK}/practice?fire=2007")).await.mark("[data-run=a]", "marks"), {
        page.mark("[data-run=a]", "marks")
    });
    // Early, late, and never are told apart by the plan's fires.
    let at = |page: &Answer, key: &str| page.mark(&format!("[data-turn='{key}']"), "at").parse::<f64>().unwrap();
    let early = at(&page, "alarm-early");
    let sooner = fires.iter().filter(|fire| fire.alarm < early).count();
    assert!((180..=220).contains(&sooner), "1 in 10 of 2,000: {sooner}");
    assert!(early < at(&page, "alarm-late") && at(&page, "alarm-late") < at(&page, "alarm-never"));
}

#[tokio::test]
async fn the_countdown_says_what_is_wrong_until_it_is_fixed() {
    let test = TestApp::planned().await;
    // The week of the burn.
    test.at(datetime!(2027-06-01 15:00 UTC));
    let mut olga = test.olga().await;
    let listed = |page: &Answer| page.has(&format!("main .list a[href='{TALK}']"));
    let count = |page: &Answer| page.attributes(".places a[href$='/burn-day']", "data-count");
    let before = olga.get("/events/1").await;
    assert!(!listed(&before), "an empty talk is a task's matter");
    let line = add(&mut olga, "before", "You are safe here.").await;
    let page = olga.get("/events/1").await;
    assert!(listed(&page));
    assert_ne!(count(&page), count(&before));
    assert_eq!(change(&mut olga, line, &[("words", "Hello.")]).await.status, 303);
    let page = olga.get("/events/1").await;
    assert!(!listed(&page));
    assert_eq!(count(&page), count(&before));
}

#[tokio::test]
async fn the_talk_is_printed_as_a_script_and_on_cards() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, "before", &format!("{} End.", "word ".repeat(70))).await;
    add(&mut olga, "stopped", "Please stay where you are.").await;
    let script = olga.get(&format!("{TALK}/script")).await;
    assert_eq!(script.count(".big .w"), 1);
    assert!(script.has(".differently .w"));
    let cards = olga.get(&format!("{TALK}/cue-cards")).await;
    assert_eq!(cards.attributes(".talkcard", "data-card"), ["1", "2", "3"], "71 words take two cards");
    assert_eq!(cards.all(".talkcard .w").join(" ").split_whitespace().count(), 76, "no word is lost");
}

#[tokio::test]
async fn someone_who_is_erased_says_nothing_anymore() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let person = test.person("Ray Castor", "ray@example.org").await;
    let line = add(&mut olga, "before", "Hello.").await;
    assert_eq!(change(&mut olga, line, &[("speaker", "Ray Castor")]).await.status, 303);
    let erase = format!("/people/{person}/erase");
    let form = olga.get(&erase).await.form_at("form[action$='/erase']");
    assert_eq!(olga.submit(&erase, &form).await.status, 303);
    assert_eq!(olga.get(&format!("{TALK}/lines/{line}")).await.value("speaker"), "");
}
