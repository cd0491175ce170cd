//! The two rooms: pairs, fuel warnings, the shopping and donations list, the audit.

use crate::asks::rows;
use crate::offers::{gift_state, needs};
use crate::support::{Answer, Browser, TestApp, picture};
use burnday::accounts::Role;
use burnday::gifts::GiftStatus;
use burnday::guests::{self, Level, Side};
use burnday::rooms::{Hazard, Room};
use burnday::web::link::without_links;
use burnday::web::words;
use time::macros::{date, datetime};

const ROOMS: &str = "/events/1/rooms";
const NEW: &str = "/events/1/rooms/new";

/// Adds an item by the form, with these fields filled in.
async fn add(olga: &mut Browser, fields: &[(&str, &str)]) {
    let mut form = olga.get(NEW).await.form();
    for (name, value) in fields {
        form = form.with(name, value);
    }
    let answer = olga.submit(NEW, &form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
}

/// The numbers behind the verdict on the rooms: items, paired items, and the pairs of the same
/// model, of the same type and material, and only similar.
fn fair(rooms: &Answer) -> [u32; 5] {
    ["things", "paired", "same-model", "same-material", "alike"].map(|name| number(rooms, "#fair", name))
}

/// What a critic would point at first, the room without a match for it, and what differs.
fn worst(rooms: &Answer) -> [String; 3] {
    ["worst", "missing-in", "differs"].map(|name| rooms.mark("#fair", name))
}

/// The numbers behind the verdict on the building parts: parts, paired parts, pairs that are
/// only similar, and lines without a count.
fn built(page: &Answer) -> [u32; 4] {
    ["parts", "paired", "alike", "uncounted"].map(|name| number(page, "#built", name))
}

fn number(page: &Answer, selector: &str, name: &str) -> u32 {
    page.mark(selector, name).parse().unwrap()
}

/// The status of an item, by its page.
fn state(page: &Answer) -> String {
    page.mark("#state", "state")
}

/// The stored rows of the journal with a verb and a subject.
fn journal(test: &TestApp, verb: &str, subject: &str) -> Vec<String> {
    let about = format!("'{verb}','{subject}'");
    let is_one = |line: &&str| line.starts_with("INSERT INTO journal VALUES") && line.contains(&about);
    test.dump().lines().filter(is_one).map(str::to_owned).collect()
}

fn mails(test: &TestApp) -> usize {
    test.dump().lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).count()
}

#[tokio::test]
async fn an_empty_page_starts_from_a_living_room_once() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get(ROOMS).await.has("[data-empty=things] ~ form[action='/events/1/rooms/template']"));
    let mut reader = test.somebody(Role::Reader).await;
    let page = reader.get(ROOMS).await;
    assert!(page.has("[data-empty=things]") && page.all("main form").is_empty());
    assert_eq!(olga.post("/events/1/rooms/template", &[]).await.location(), ROOMS);
    let page = olga.get(ROOMS).await;
    // The template has 43 items per room, without model or material.
    assert_eq!((fair(&page), worst(&page)), ([86, 86, 0, 0, 43], ["", "", ""].map(str::to_owned)));
    assert_eq!(["pairs", "here", "in-place"].map(|name| number(&page, "#stands", name)), [43, 0, 0]);
    assert_eq!(built(&page), [0, 0, 0, 8]);
    olga.post("/events/1/rooms/template", &[]).await;
    let page = olga.get(ROOMS).await;
    assert!(!page.said().is_empty());
    assert_eq!((fair(&page)[0], built(&page)[3]), (86, 8), "nothing was added");
}

#[tokio::test]
async fn the_sentence_follows_what_is_in_the_rooms_and_the_worst_comes_first() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let mut sentences = Vec::new();
    add(&mut olga, &[("room", "both rooms"), ("what", "rug"), ("model", "Meadow")]).await;
    let page = olga.get(ROOMS).await;
    sentences.push(page.text("#fair"));
    assert_eq!((fair(&page), worst(&page)), ([2, 2, 1, 0, 0], ["", "", ""].map(str::to_owned)));
    add(&mut olga, &[("room", "room A"), ("what", "Sofa"), ("material", "linen"), ("position", "left")]).await;
    let page = olga.get(ROOMS).await;
    sentences.push(page.text("#fair"));
    assert_eq!((fair(&page), worst(&page)), ([3, 2, 1, 0, 0], ["Sofa", "room B", ""].map(str::to_owned)));
    add(&mut olga, &[("room", "room B"), ("what", "sofa "), ("material", "Leather"), ("position", "right")]).await;
    let page = olga.get(ROOMS).await;
    sentences.push(page.text("#fair"));
    assert_eq!((fair(&page), worst(&page)), ([4, 4, 1, 0, 1], ["Sofa", "", "material position"].map(str::to_owned)));
    assert_eq!(page.attributes("[data-grade]", "data-grade"), ["alike", "same-model"]);
    assert!(page.text("[data-grade=alike] .twosides > li").starts_with("Sofa"), "{}", page.text("main"));
    let rug = format!("Rug {} ({}) Meadow", Room::A.letter(), Room::A.has());
    assert!(page.text("[data-grade=same-model] .twosides > li").starts_with(&rug), "{}", page.text("main"));
    // Signs have a shape and a name each.
    let names = page.attributes(".twosides .mark", "aria-label");
    assert!(names.len() == 2 && names[0] != names[1] && names.iter().all(|name| !name.is_empty()), "{names:?}");
    let sofa = olga.get("/events/1/rooms/items/3").await;
    assert_eq!(sofa.mark("[data-grade=alike][data-quantity='1']", "differs"), "material position");

    let edit = "/events/1/rooms/items/4/edit";
    let form = olga.get(edit).await.form().with("material", "LINEN").with("position", "left");
    assert_eq!(olga.submit(edit, &form).await.status, 303);
    let page = olga.get(ROOMS).await;
    sentences.push(page.text("#fair"));
    assert_eq!((fair(&page), worst(&page)), ([4, 4, 1, 1, 0], ["", "", ""].map(str::to_owned)));
    let sofa = olga.get("/events/1/rooms/items/3").await;
    assert_eq!(sofa.attributes("[data-grade=same-material]", "data-quantity"), ["1"]);
    assert!(sofa.text("[data-grade]").contains(Room::B.as_str()), "{}", sofa.text("[data-grade]"));
    insta::assert_snapshot!("rooms-fair", sentences.join("\n"));
}

#[tokio::test]
async fn nothing_borrowed_goes_into_a_room_that_burns() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let form = olga.get(NEW).await.form().with("what", "wall clock").with("source", "loan").with("model", "Round 30");
    let answer = olga.submit(NEW, &form).await;
    assert_eq!(answer.status, 422);
    assert_eq!(answer.mistakes(), ["source"]);
    assert_eq!(answer.value("model"), "Round 30", "what was typed stays");
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn mistakes_stand_beside_their_fields() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let mut remedies = Vec::new();
    for (field, value) in [
        ("what", ""),
        ("size", "60"),
        ("size", "sixty cm"),
        ("size", "60 cm wide"),
        ("quantity", "1000"),
        ("room", "room C"),
        ("state", "lost"),
        ("source", "loan"),
        ("gift", "1"),
        ("gift", "99"),
        ("hazard", "ghosts"),
    ] {
        let form = olga.get(NEW).await.form().with("what", "lamp").with(field, value);
        let answer = olga.submit(NEW, &form).await;
        assert_eq!(answer.status, 422, "{field}");
        assert_eq!(answer.mistakes(), [field], "{value}");
        remedies.push(format!("{field}: {value} → {}", answer.mistake(field)));
    }
    let edit = "/events/1/rooms/items/1/edit";
    let form = olga.get(edit).await.form().with("room", "both rooms");
    let answer = olga.submit(edit, &form).await;
    assert_eq!(answer.mistakes(), ["room"], "a line belongs to one room");
    remedies.push(format!("room: both rooms → {}", answer.mistake("room")));
    assert_eq!(before, test.dump());
    insta::assert_snapshot!("room-remedies", remedies.join("\n"));
}

#[tokio::test]
async fn sizes_in_either_unit_are_shown_in_both_and_compared() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, &[("room", "room A"), ("what", "lamp"), ("material", "steel"), ("size", "60 cm")]).await;
    add(&mut olga, &[("room", "room B"), ("what", "lamp"), ("material", "steel"), ("size", "24 in")]).await;
    let page = olga.get(ROOMS).await;
    assert!(page.says("60 cm (23.6 in)") && page.says("24 in (61 cm)"));
    assert_eq!(fair(&page), [2, 2, 0, 1, 0]);
    let within = page.text("#stands");
    assert!(within.contains("5%") && within.contains("2.5 cm (1 in)"), "{within}");

    let path = "/events/1/rooms/tolerance";
    let form = olga.get(path).await.form().with("percent", "0").with("length", "0.5 cm");
    assert_eq!(olga.submit(path, &form).await.location(), ROOMS);
    let page = olga.get(ROOMS).await;
    assert_eq!((fair(&page), worst(&page)), ([2, 2, 0, 0, 1], ["lamp", "", "size"].map(str::to_owned)));
    let stale = olga.submit(path, &form.with("length", "1 in")).await;
    assert_eq!(stale.status, 409);
    assert!(stale.says("0.5 cm") && stale.says("1 in"));
    for (field, value) in [("percent", "51"), ("length", "5"), ("length", "2 m"), ("spare", "x")] {
        let form = olga.get(path).await.form().with(field, value);
        let answer = olga.submit(path, &form).await;
        assert_eq!(answer.status, 422, "{field}");
        assert!(!answer.text(&format!("#{field}-mistake")).is_empty(), "{field}");
    }
}

#[tokio::test]
async fn two_who_change_one_thing_see_both_texts() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    let edit = "/events/1/rooms/items/1/edit";
    let mine = olga.get(edit).await.form().with("model", "Glow 5").with("hazard", "foam or plastics");
    let theirs = olga.get(edit).await.form().with("model", "Beam 1");
    assert_eq!(olga.submit(edit, &theirs).await.status, 303);
    let answer = olga.submit(edit, &mine).await;
    assert_eq!(answer.status, 409);
    assert!(answer.says("Glow 5") && answer.says("Beam 1") && answer.says("foam or plastics"));
    let over = answer.attributes("form.acts input[name=version]", "value")[0].clone();
    assert_eq!(olga.submit(edit, &mine.with("version", &over)).await.status, 303);
    assert!(olga.get("/events/1/rooms/items/1").await.says("Glow 5"));
    // A button on an outdated page changes nothing.
    let old = [("state", "in place"), ("version", "1")];
    olga.post("/events/1/rooms/items/1/state", &old).await;
    let page = olga.get("/events/1/rooms/items/1").await;
    assert!(!page.said().is_empty() && state(&page) == "wanted", "{}", page.text("main"));
    olga.post("/events/1/rooms/items/1/remove", &[("version", "1")]).await;
    assert_eq!(olga.get("/events/1/rooms/items/1").await.status, 200);
    olga.post("/events/1/rooms/items/1/remove", &[("version", "3")]).await;
    assert_eq!(olga.get("/events/1/rooms/items/1").await.status, 404);
}

#[tokio::test]
async fn who_works_says_how_far_a_thing_is() {
    let test = TestApp::asked().await;
    let mut lead = test.somebody(Role::CrewLead).await;
    let thing = "/events/1/rooms/items/1";
    let page = lead.get(thing).await;
    assert!(page.has("button[name=state][value='in place']") && !page.has("form[action$='/remove']"));
    assert_eq!(
        lead.post(&format!("{thing}/state"), &[("state", "in place"), ("version", "1")]).await.location(),
        thing
    );
    let page = lead.get(thing).await;
    assert!(!page.said().is_empty() && state(&page) == "in place", "{}", page.text("main"));
    let changed = journal(&test, "changed", "thing");
    assert_eq!(changed.len(), 1, "{changed:?}");
    for state in [r#""status":"needed""#, r#""status":"in place""#] {
        assert!(changed[0].contains(state), "{changed:?}");
    }
    assert_eq!(lead.post(&format!("{thing}/copy"), &[]).await.status, 403);
    let mut reader = test.somebody(Role::Reader).await;
    assert!(!reader.get(thing).await.has("main button[name=state]"));
}

#[tokio::test]
async fn one_like_it_is_listed_once_for_the_other_room() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    let edit = "/events/1/rooms/items/1/edit";
    let form = olga.get(edit).await.form().with("model", "Glow 5").with("state", "in place").with("quantity", "2");
    olga.submit(edit, &form).await;
    let page = olga.get(ROOMS).await;
    assert_eq!((fair(&page), worst(&page)), ([2, 0, 0, 0, 0], ["floor lamp", "room B", ""].map(str::to_owned)));
    assert!(!page.text(".side.b .late-word").is_empty(), "{}", page.text("main"));
    for _ in 0..2 {
        olga.post("/events/1/rooms/items/1/copy", &[]).await;
    }
    let page = olga.get(ROOMS).await;
    assert!(!page.said().is_empty());
    assert_eq!((fair(&page), worst(&page)), ([4, 4, 2, 0, 0], ["", "", ""].map(str::to_owned)), "listed once");
    assert_eq!(state(&olga.get("/events/1/rooms/items/2").await), "wanted");
}

#[tokio::test]
async fn what_may_not_burn_is_warned_about_until_it_is_decided() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, &[("room", "both rooms"), ("what", "Air freshener, aerosol")]).await;
    assert_eq!(olga.get(ROOMS).await.mark("[data-undecided]", "undecided"), "1");
    let path = "/events/1/rooms/warnings";
    let warning = "[data-hazard='container under pressure'][data-what='air freshener, aerosol']";
    let page = olga.get(path).await;
    assert_eq!((page.count("[data-hazard]"), page.mark(warning, "word").as_str()), (1, "aerosol"));
    let heading = page.text(&format!("{warning} h2"));
    assert!(heading.contains("Air freshener, aerosol") && heading.contains(Hazard::Pressure.as_str()), "{heading}");
    assert!(page.has("[data-note=authority-decides]"));
    assert_eq!(page.text(&format!("{warning} [data-basis]")), Hazard::Pressure.basis());
    let decision = |decided: &'static str, on: &'static str| {
        [("hazard", "container under pressure"), ("what", "air freshener, aerosol"), ("decided", decided), ("on", on)]
    };
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    for (decided, on, field) in [("", "2026-11-24", "decided"), ("Both come out", "2026-11-26", "on")] {
        let answer = safety.post(path, &decision(decided, on)).await;
        assert_eq!(answer.status, 422, "{field}");
        assert!(!answer.text(&format!("#{field}-0-mistake")).is_empty(), "{field}: {}", answer.text("main"));
    }
    let both = decision("Both come out on the day before", "2026-11-24");
    assert_eq!(safety.post(path, &both).await.location(), path);
    let page = olga.get(path).await;
    let decided = format!("{warning} [data-decided='2026-11-24'][data-quantity='2']");
    let says = page.text(&decided);
    let signed = format!("Somebody, safety officer, {}", Role::SafetyOfficer);
    assert!(says.contains("Both come out on the day before") && says.contains(&signed), "{says}");
    assert!(!olga.get(ROOMS).await.has("[data-undecided]"));
    let paper = olga.get("/events/1/rooms/audit").await;
    let printed = format!("{warning}[data-room-a='1'][data-room-b='1'][data-decided='2026-11-24']");
    assert!(paper.text(&printed).contains(&signed), "{}", paper.text("main"));
    let rows = journal(&test, "decided", "warning");
    assert!(rows.len() == 1 && rows[0].contains("'air freshener, aerosol'"), "{rows:?}");

    // The decision didn't cover a third one.
    add(&mut olga, &[("room", "room B"), ("what", "air freshener, AEROSOL")]).await;
    assert_eq!(olga.get(ROOMS).await.mark("[data-undecided]", "undecided"), "1");
    let gone = [("hazard", "asbestos"), ("what", "sofa"), ("decided", "no"), ("on", "2026-11-24")];
    let answer = safety.post(path, &gone).await;
    assert_eq!((answer.status, answer.mistakes()), (422, vec!["decided".to_owned()]));
}

/// An earlier version compared ø as it is typed.
#[tokio::test]
async fn a_decision_in_other_letters_still_counts_and_the_next_one_replaces_it() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, &[("room", "room A"), ("what", "Smør aerosol")]).await;
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    let decision = |decided: &'static str| {
        [("hazard", "container under pressure"), ("what", "smor aerosol"), ("decided", decided), ("on", "2026-11-24")]
    };
    let path = "/events/1/rooms/warnings";
    assert_eq!(safety.post(path, &decision("It comes out")).await.location(), path);
    test.sql("update room_ruling set what = 'smør aerosol'");
    assert!(!olga.get(ROOMS).await.has("[data-undecided]"));
    assert_eq!(safety.post(path, &decision("It stays out")).await.location(), path);
    let saved = rows::<2>(&test, "select what, decided from room_ruling");
    assert_eq!(saved, [["smor aerosol", "It stays out"]]);
}

#[tokio::test]
async fn parts_are_summed_with_a_spare_share() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get("/events/1/rooms/build").await.has("[data-empty=parts]"));
    let part = |room, count, size| {
        [("room", room), ("kind", "building part"), ("what", "wall stud"), ("quantity", count), ("size", size)]
    };
    add(&mut olga, &part("room A", "22", "96 in")).await;
    add(&mut olga, &part("room B", "21", "96 in")).await;
    add(&mut olga, &part("room B", "0", "48 in")).await;
    let page = olga.get("/events/1/rooms/build").await;
    let rows = page.all("tbody tr");
    // 43 and a tenth of it are 47.3.
    assert!(rows.iter().any(|row| row.contains("96 in") && row.ends_with("22 21 43 48")), "{rows:?}");
    let unsaid = page.text("tbody tr[data-to-get='0']");
    assert!(unsaid.contains("48 in") && rows.len() == 2, "{rows:?}");
    assert_eq!(built(&page), [43, 42, 21, 1]);
    // Parts don't count toward the fairness of the rooms.
    let page = olga.get(ROOMS).await;
    assert_eq!((fair(&page), built(&page)), ([0; 5], [43, 42, 21, 1]));
}

#[tokio::test]
async fn what_is_wanted_is_asked_for_and_a_promise_becomes_a_gift() {
    let test = TestApp::planned().await;
    let (wren, gideon) = (
        test.person("Wren Ibarra", "wren@example.org").await,
        test.person("Gideon Astley", "gideon@example.org").await,
    );
    let silent = test.person("Winifred Tran", "").await;
    test.gift(
        gideon,
        "floor lamps",
        GiftStatus::Received { on: date!(2026 - 11 - 20), taken_by: "Olga Wren".to_owned() },
    )
    .await;
    for sponsor in [wren, silent] {
        test.guest(sponsor, guests::Details::of(Side::Sponsor, Level::Sponsor)).await;
    }
    let mut olga = test.olga().await;
    let path = "/events/1/rooms/shopping";
    assert!(olga.get(path).await.has("[data-empty=wanted]"));
    let lamp = [("room", "room A"), ("what", "floor lamp"), ("model", "Glow 5"), ("state", "here"), ("size", "60 in")];
    add(&mut olga, &lamp).await;
    let page = olga.get(path).await;
    assert_eq!(needs(&page), ["like/1"]);
    let wanted = page.text("[data-need='like/1'][data-room='room B']");
    assert!(wanted.starts_with("Floor lamp") && wanted.contains("Glow 5, 60 in (152.4 cm)"), "{wanted}");
    // People who gave one before come first.
    assert_eq!(page.attributes("[data-why]", "data-why"), ["received", "sponsor", "sponsor"]);
    let first = page.text("[data-why]");
    assert!(first.contains("Gideon Astley") && first.contains("40 × floor lamps"), "{first}");
    let unreached = page.all("[data-no-mail]");
    assert!(unreached.len() == 1 && unreached[0].contains("Winifred Tran"), "{unreached:?}");

    for (form, field) in [(vec![("act", "see"), ("need", "like/1")], "who"), (vec![("who", "2")], "need")] {
        let answer = olga.post(path, &form).await;
        assert_eq!((answer.status, answer.mistakes()), (422, vec![field.to_owned()]));
    }
    let nobody = olga.post(path, &[("act", "see"), ("need", "like/1")]).await;
    let (one, other) = (gideon.to_string(), silent.to_string());
    let unreached = [("need", "like/1"), ("who", other.as_str()), ("act", "send")];
    let answer = olga.post(path, &unreached).await;
    assert_eq!(answer.mistakes(), ["who"]);
    assert_ne!(answer.mistake("who"), nobody.mistake("who"), "people without email get another remedy");

    let form = |act| [("need", "like/1"), ("who", one.as_str()), ("words", "We collect it."), ("act", act)];
    let look = olga.post(path, &form("see")).await;
    assert_eq!((look.status, mails(&test)), (200, 0));
    let letter = look.text(".letter-text");
    for says in ["Gideon", "Glow 5", Room::A.as_str(), Room::B.as_str(), "We collect it."] {
        assert!(letter.contains(says), "{says}: {letter}");
    }
    assert_eq!(olga.post(path, &form("send")).await.location(), path);
    assert_eq!(mails(&test), 1);
    insta::assert_snapshot!("room-letter", without_links(&test.posted(1).await[0].text, "[link]"));
    olga.post(path, &form("send")).await;
    assert_eq!(mails(&test), 1, "once a day for the same items");
    let asked = olga.get(path).await.text("[data-need='like/1'] [data-said=asked][data-day='2026-11-25']");
    assert!(asked.contains("Gideon Astley"), "{asked}");

    let donation = "/events/1/rooms/donation-requests/1";
    assert_eq!(olga.post(donation, &[("said", "asked")]).await.status, 400);
    assert_eq!(olga.post(donation, &[("said", "promised")]).await.location(), path);
    let page = olga.get(path).await;
    assert!(page.has("[data-empty=wanted]") && !page.said().is_empty(), "{}", page.text("main"));
    let gift = olga.get("/events/1/guests/gifts/2").await;
    assert!(gift.says("1 × floor lamp"), "{}", gift.text("main"));
    assert_eq!(gift_state(&test, 2).await, "promised");
    let lamp = olga.get("/events/1/rooms/items/2").await;
    assert_eq!(lamp.fact("Room"), format!("{}, {}", Room::B, Room::B.has()));
    assert_eq!(state(&lamp), "promised");
    olga.post(donation, &[("said", "no")]).await;
    let page = olga.get(path).await;
    assert!(!page.said().is_empty());
    assert_eq!(page.mark("[data-request='1']", "said"), "promised", "a reply is already saved");

    // Once the gift is received, the lamp is on hand. If it falls through, one is needed.
    let here = [("received_on", "2026-11-25"), ("taken_by", "Olga Wren")];
    olga.post("/events/1/guests/gifts/2/received", &here).await;
    assert_eq!(state(&olga.get("/events/1/rooms/items/2").await), "here");
    test.sql("update gift set state = 'not coming', received_on = null where id = 2");
    let page = olga.get(path).await;
    assert_eq!(needs(&page), ["thing/2"]);
    let wanted = page.text("[data-need='thing/2'][data-room='room B']");
    assert!(wanted.starts_with("Floor lamp") && wanted.contains("Glow 5"), "{wanted}");
}

#[tokio::test]
async fn the_countdown_shows_the_rooms_and_what_has_no_match() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    add(&mut olga, &[("room", "both rooms"), ("what", "rug"), ("state", "in place")]).await;
    add(&mut olga, &[("room", "both rooms"), ("what", "sofa"), ("material", "foam"), ("state", "promised")]).await;
    let page = olga.get("/events/1").await;
    let pips = ".ready a[href='/events/1/rooms'] + .pips >";
    assert_eq!((page.count(&format!("{pips} .y")), page.count(&format!("{pips} span"))), (1, 3));
    let find = ".press .t > a[href='/events/1/rooms/shopping']";
    assert!(!page.has(find), "it is far off");
    // 25 days before burn day, Saturday, June 5, 2027.
    test.at(datetime!(2027-05-11 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    let (titles, beneath) = (page.all(find), page.text(&format!("{find} + .d")));
    assert_eq!(titles.len(), 1, "{titles:?}");
    assert!(titles[0].contains("floor lamp") && titles[0].contains(Room::B.as_str()), "{titles:?}");
    let left = words::count(25_usize, "day", "days");
    assert!(beneath.contains(Room::A.as_str()) && beneath.contains(&left), "{beneath}");
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    let decide = safety.get("/events/1").await.all(".press .t > a[href='/events/1/rooms/warnings']");
    assert!(decide.len() == 1 && decide[0].contains('1'), "{decide:?}");
}

#[tokio::test]
async fn a_move_of_the_burn_day_names_gifts_that_would_come_too_late() {
    let test = TestApp::asked().await;
    test.sql("update gift set promised_by = '2027-05-20' where id = 1");
    let mut olga = test.olga().await;
    let edit = "/events/1/rooms/items/1/edit";
    let form = olga.get(edit).await.form().with("source", "gift").with("gift", "1").with("state", "promised");
    assert_eq!(olga.submit(edit, &form).await.status, 303);
    let late = "main a[href='/events/1/rooms/items/1']";
    let told = olga.get("/events/1/move?burn_on=2027-05-15").await.all(late);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("floor lamp") && told[0].contains(Room::A.as_str()), "{told:?}");
    assert!(!olga.get("/events/1/move?burn_on=2027-06-12").await.has(late));
}

#[tokio::test]
async fn a_thing_has_one_photo_which_stands_beside_its_likes() {
    let test = TestApp::asked().await;
    let mut lead = test.somebody(Role::CrewLead).await;
    let (thing, path) = ("/events/1/rooms/items/1", "/events/1/rooms/items/1/photo");
    let mut remedies = Vec::new();
    for (name, file) in [("a.jpg", b"no picture".to_vec()), ("", Vec::new())] {
        let answer = lead.post_files(path, &[("version", "1")], &[("photo", name, file)]).await;
        assert_eq!((answer.status, answer.mistakes()), (422, vec!["photo".to_owned()]));
        remedies.push(answer.mistake("photo"));
    }
    assert_ne!(remedies[0], remedies[1], "no photo is another mistake than a bad one");
    let sent = [("photo", "lamp.jpg", picture([10, 90, 200]))];
    assert_eq!(lead.post_files(path, &[("version", "1")], &sent).await.location(), thing);
    let shown = lead.get(thing).await.attributes("img.photo", "src");
    assert_eq!(lead.get(&shown[0]).await.status, 200);
    assert_eq!(lead.get("/events/1/rooms/audit").await.attributes(".side img", "src"), shown);
    lead.post_files(path, &[("version", "1")], &sent).await;
    let page = lead.get(thing).await;
    assert!(!page.said().is_empty());
    assert_eq!(page.attributes("img.photo", "src"), shown, "nothing was changed");
    assert_eq!(lead.post_files(path, &[("version", "2"), ("act", "remove")], &[]).await.status, 303);
    assert!(lead.get(thing).await.attributes("img", "src").is_empty());
    assert_eq!(lead.get(&shown[0]).await.status, 404, "its row is gone with it");
}

/// A lamp for room A, and someone who was asked for one for room B.
async fn asked(test: &TestApp, olga: &mut Browser) -> i64 {
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    test.gift(gideon, "floor lamps", GiftStatus::Promised).await;
    add(olga, &[("room", "room A"), ("what", "floor lamp"), ("state", "here"), ("by_whom", "Gideon Astley")]).await;
    let id = gideon.to_string();
    let form = [("need", "like/1"), ("who", id.as_str()), ("act", "send")];
    assert_eq!(olga.post("/events/1/rooms/shopping", &form).await.status, 303);
    gideon
}

#[tokio::test]
async fn whoever_is_forgotten_is_named_nowhere_in_the_rooms() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let gideon = asked(&test, &mut olga).await;
    add(&mut olga, &[("room", "room A"), ("what", "foam block")]).await;
    // As it was saved when names were still typed.
    test.sql(
        "insert into room_ruling (event_id, hazard, what, quantity, decided, decided_by, decided_on)
         values (1, 'foam or plastics', 'foam block', 1, 'no', 'Gideon Astley', '2026-11-24')",
    );
    let pages = [ROOMS, "/events/1/rooms/items/1", "/events/1/rooms/warnings", "/events/1/rooms/shopping"];
    for path in &pages[1..] {
        assert!(olga.get(path).await.says("Astley"), "{path}");
    }
    assert_eq!(olga.post(&format!("/people/{gideon}/erase"), &[("version", "1")]).await.status, 303);
    for path in pages {
        assert!(!olga.get(path).await.says("Astley"), "{path}");
    }
}

#[tokio::test]
async fn a_plea_goes_with_whoever_two_rows_are_made_one_and_comes_back() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let gone = asked(&test, &mut olga).await;
    let keep = test.person("G. Astley-Bend", "g@example.org").await;
    let fields = [("with", gone.to_string()), ("version", "1".to_owned()), ("with_version", "1".to_owned())];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{keep}/merge"), &fields).await.status, 303);
    assert!(olga.get("/events/1/rooms/shopping").await.text("[data-request='1'] .d").starts_with("G. Astley-Bend"));
    let entry = olga.get(&format!("/people/{keep}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{keep}/undo-merge"), &[("entry", &entry)]).await.status, 303);
    assert!(olga.get("/events/1/rooms/shopping").await.text("[data-request='1'] .d").starts_with("Gideon Astley"));
}

#[tokio::test]
async fn what_is_typed_about_a_thing_is_never_read_as_markup() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let script = "<script>alert(1)</script>";
    let fields = ["what", "model", "material", "position", "condition", "by_whom"];
    let all: Vec<(&str, &str)> = fields.iter().map(|field| (*field, script)).chain([("room", "room A")]).collect();
    add(&mut olga, &all).await;
    for path in ["", "/items/1", "/items/1/edit", "/shopping", "/audit", "/warnings", "/build"] {
        let page = olga.get(&format!("{ROOMS}{path}")).await;
        assert_eq!(page.status, 200, "{path}");
        assert!(page.all("script:not([src])").is_empty(), "{path}");
    }
}
