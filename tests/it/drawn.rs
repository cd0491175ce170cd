//! The rooms, drawn: sizes, places, what the checks say, and what the fire estimate takes from
//! the drawing.

use crate::support::{Answer, Browser, TestApp};
use burnday::accounts::Role;
use burnday::rooms;

const PLAN: &str = "/events/1/rooms/plan";

async fn size(who: &mut Browser, fields: &[(&str, &str)]) -> Answer {
    let path = format!("{PLAN}/size");
    let mut form = who.get(&path).await.form();
    for (name, value) in fields {
        form = form.with(name, value);
    }
    who.submit(&path, &form).await
}

async fn put(who: &mut Browser, item: i64, fields: &[(&str, &str)]) -> Answer {
    let path = format!("{PLAN}/items/{item}");
    let mut form = who.get(&path).await.form();
    for (name, value) in fields {
        form = form.with(name, value);
    }
    who.submit(&path, &form).await
}

async fn thing(test: &TestApp, room: &str, what: &str) -> i64 {
    let all = rooms::of_event(&mut test.app.db.read().acquire().await.unwrap(), 1).await.unwrap();
    let is_it = |thing: &rooms::Thing| thing.details.room.letter() == room && thing.details.what == what;
    all.into_iter().find(is_it).unwrap().id
}

/// Both rooms with a living room's list, 12 by 10 ft, and the basket of room A placed.
async fn framed() -> (TestApp, Browser) {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert_eq!(olga.post("/events/1/rooms/template", &[]).await.status, 303);
    assert!(olga.get(PLAN).await.has("[data-empty=plan]"));
    assert_eq!(size(&mut olga, &[("width", "12 ft"), ("depth", "10 ft")]).await.status, 303);
    let basket = thing(&test, "A", "wastebasket").await;
    assert_eq!(put(&mut olga, basket, &[("x", "6 ft"), ("y", "7 in")]).await.status, 303);
    (test, olga)
}

fn marks(page: &Answer, grade: &str) -> Vec<String> {
    page.attributes(&format!(".findings [data-grade={grade}]"), "data-mark")
}

#[tokio::test]
async fn a_room_of_no_size_is_refused_and_what_was_typed_stays() {
    let (test, mut olga) = framed().await;
    let answer = size(&mut olga, &[("width", "0 ft"), ("height", "tall"), ("rod", "20 ft"), ("spare", "-1")]).await;
    assert_eq!(answer.status, 422);
    for field in ["width", "height", "rod", "spare"] {
        assert!(!answer.mistake(field).is_empty(), "{field}");
    }
    assert_eq!((answer.value("width"), answer.value("height")), ("0 ft".to_owned(), "tall".to_owned()));
    let answer = size(&mut olga, &[("height", "7 ft"), ("rod", "7 ft 6 in")]).await;
    assert!(!answer.mistake("rod").is_empty(), "a rod above the ceiling");
    let basket = thing(&test, "A", "wastebasket").await;
    let answer = put(&mut olga, basket, &[("x", "left"), ("turn", "a bit")]).await;
    assert_eq!((answer.status, answer.value("x")), (422, "left".to_owned()));
    for at in ["", "x", "1", "NaN,1", "-1,1", "99,1"] {
        let answer = olga.post(&format!("{PLAN}/items/{basket}/move"), &[("at", at), ("version", "1")]).await;
        assert_eq!(answer.status, 400, "{at}");
    }
    assert_eq!(olga.get(&format!("{PLAN}/items/{basket}")).await.value("x"), "6 ft");
    for item in [0, 9_999, -99] {
        assert_eq!(olga.get(&format!("{PLAN}/items/{item}")).await.status, 404, "{item}");
    }
}

#[tokio::test]
async fn room_b_is_drawn_like_room_a_and_what_differs_is_named() {
    let (test, mut olga) = framed().await;
    let (a, b) = (thing(&test, "A", "wastebasket").await, thing(&test, "B", "wastebasket").await);
    let page = olga.get(PLAN).await;
    assert_eq!(page.count("[data-room=A] [data-item]"), 1);
    assert_eq!(page.count("[data-room=B] [data-item]"), 0);
    // Its own form proposes the twin's place.
    assert_eq!(olga.get(&format!("{PLAN}/items/{b}")).await.value("x"), "6 ft");
    assert_eq!(olga.post(&format!("{PLAN}/like-a"), &[]).await.status, 303);
    assert_eq!(olga.get(PLAN).await.count("[data-room=B] [data-item]"), 1);
    assert_eq!(olga.post(&format!("{PLAN}/usual"), &[]).await.status, 303);
    let page = olga.get(PLAN).await;
    assert!(marks(&page, "good").contains(&"fuse hole".to_owned()), "it is behind the basket");
    assert!(!marks(&page, "wrong").contains(&"moved".to_owned()));

    // Six inches aside is elsewhere, and the pair audit says so.
    assert_eq!(put(&mut olga, b, &[("x", "6 ft 6 in")]).await.status, 303);
    let page = olga.get(PLAN).await;
    assert!(marks(&page, "wrong").contains(&"moved".to_owned()));
    assert_eq!(page.text("[data-mark=moved] .number"), "6 in (152 mm)");
    assert!(olga.get("/events/1/rooms/audit").await.has("[data-mark=moved]"));
    // Two are the same place: three inches is the limit.
    assert_eq!(put(&mut olga, b, &[("x", "6 ft 2 in")]).await.status, 303);
    assert!(!marks(&olga.get(PLAN).await, "wrong").contains(&"moved".to_owned()));

    // Dragged, with the version that was seen; undone with what the page offers.
    let version = olga.get(PLAN).await.attributes(&format!("#item-{a}"), "data-version")[0].clone();
    let path = format!("{PLAN}/items/{a}/move");
    assert_eq!(olga.post(&path, &[("at", "2.5,0.2"), ("version", &version)]).await.status, 303);
    let page = olga.get(PLAN).await;
    let undo = page.form_at(".said form");
    let at = |page: &Answer| page.attributes(&format!("#item-{a}"), "data-at")[0].clone();
    assert_eq!(at(&page), "2.5,0.2");
    olga.post(&path, &[("at", "1,1"), ("version", &version)]).await;
    assert_eq!(at(&olga.get(PLAN).await), "2.5,0.2", "an old page moves nothing");
    olga.submit(&path, &undo).await;
    assert_eq!(at(&olga.get(PLAN).await), "1.8288,0.1778");
}

#[tokio::test]
async fn the_drawing_follows_the_lists() {
    let (test, mut olga) = framed().await;
    let basket = thing(&test, "A", "wastebasket").await;
    let path = |page: &Answer| page.attributes(&format!("#item-{basket} .body"), "d")[0].clone();
    let before = olga.get(PLAN).await;
    assert_eq!(before.attributes(&format!("#item-{basket}"), "data-state"), ["wanted"]);
    assert!(olga.get(&format!("{PLAN}/items/{basket}")).await.says("usual one"));
    // Its size is a fact of the list alone.
    let edit = format!("/events/1/rooms/items/{basket}/edit");
    let form = olga.get(&edit).await.form().with("size", "20 × 20 × 13 in");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    let page = olga.get(PLAN).await;
    assert_ne!(path(&page), path(&before));
    assert!(marks(&page, "look").contains(&"basket size".to_owned()));
    // It arrives.
    test.sql(&format!("update room_thing set state = 'here' where id = {basket};"));
    let page = olga.get(PLAN).await;
    assert_eq!(page.attributes(&format!("#item-{basket}"), "data-state"), ["here"]);
    let home = olga.get("/events/1").await;
    assert_eq!((home.mark(".minirooms", "here"), home.mark(".minirooms", "all")), ("1".to_owned(), "1".to_owned()));
    assert!(olga.get("/events/1/wall").await.has(".poster .minirooms"));
    // Taken off the list, it is off the drawing.
    let item = olga.get(&format!("/events/1/rooms/items/{basket}")).await;
    let form = item.form_at("form[action$='/remove']");
    assert_eq!(olga.submit(&format!("/events/1/rooms/items/{basket}/remove"), &form).await.status, 303);
    assert_eq!(olga.get(PLAN).await.count("[data-item]"), 0);
    assert!(!olga.get("/events/1").await.has(".minirooms"));
}

#[tokio::test]
async fn built_parts_are_drawn_and_a_clear_panel_says_how_it_is_held() {
    let (_test, mut olga) = framed().await;
    assert_eq!(olga.post(&format!("{PLAN}/usual"), &[]).await.status, 303);
    let page = olga.get(PLAN).await;
    assert_eq!(page.count("[data-room=A] [data-item^='-']"), 4);
    assert_eq!(page.count("[data-room=B] [data-item^='-']"), 4);
    assert_eq!(marks(&page, "good").iter().filter(|mark| *mark == "panel").count(), 2);
    assert!(!marks(&page, "wrong").contains(&"sprinkler in A".to_owned()));
    // In larger rooms, what is where it usually is goes along.
    assert_eq!(size(&mut olga, &[("width", "14 ft"), ("depth", "11 ft")]).await.status, 303);
    assert!(!marks(&olga.get(PLAN).await, "wrong").contains(&"outside".to_owned()));
    assert_eq!(size(&mut olga, &[("width", "12 ft"), ("depth", "10 ft")]).await.status, 303);
    // A screwed panel can't be taken off room B.
    assert_eq!(put(&mut olga, -13, &[("held", "screwed")]).await.status, 303);
    assert!(marks(&olga.get(PLAN).await, "wrong").contains(&"panel".to_owned()));
    assert_eq!(put(&mut olga, -13, &[("held", ""), ("built", "yes")]).await.status, 303);
    let page = olga.get(PLAN).await;
    assert_eq!(marks(&page, "good").iter().filter(|mark| *mark == "panel").count(), 1);
    assert_eq!(page.attributes("#item--13", "data-state"), ["here"]);
    // Moved by script, it keeps how it is held and that it is built.
    let version = page.attributes("#item--13", "data-version")[0].clone();
    let to = [("at", "1.8,3.0"), ("version", version.as_str())];
    assert_eq!(olga.post(&format!("{PLAN}/items/-13/move"), &to).await.status, 303);
    assert_eq!(olga.get(PLAN).await.attributes("#item--13", "data-state"), ["here"]);
    assert_eq!(olga.post(&format!("{PLAN}/items/-13/remove"), &[]).await.status, 303);
    assert_eq!(olga.get(PLAN).await.count("#item--13"), 0);
    // The cut list by hand, for 12 × 10 × 8 ft: two carpets of that size, one catch board.
    let cuts = olga.get(PLAN).await.all("#cuts tbody td:nth-child(2)");
    assert_eq!(cuts[0], "2");
    assert_eq!(olga.get(PLAN).await.all("#cuts tbody td:nth-child(3)")[0], "10 ft × 12 ft (3.05 × 3.66 m)");
}

#[tokio::test]
async fn the_fire_estimate_takes_the_rooms_size_and_distances_from_the_drawing() {
    let (test, mut olga) = framed().await;
    let b = thing(&test, "B", "wastebasket").await;
    assert_eq!(put(&mut olga, b, &[("x", "3 ft"), ("y", "1 ft")]).await.status, 303);
    assert_eq!(olga.post(&format!("{PLAN}/usual"), &[]).await.status, 303);
    // The head is in the middle, 6 ft from the left and 5 ft from the back: 3, 4, and 5 make a
    // right triangle.
    let form = olga.get("/events/1/rooms/fire/settings/new").await.form();
    assert_eq!(form.value("head_distance"), "5 ft");
    assert_eq!((form.value("width"), form.value("length"), form.value("height")), ("12 ft", "10 ft", "8 ft"));
    assert_eq!((form.value("front_width"), form.value("panel")), ("12 ft", "4 ft"));
    // On the page with the way up, too.
    assert!(olga.get(PLAN).await.text("#reaches").contains("5 ft (1.52 m) across"));
    // A room higher than the estimate can take, with the head over the basket, still gives one.
    let high = TestApp::planned().await;
    let mut other = high.olga().await;
    assert_eq!(other.post("/events/1/rooms/template", &[]).await.status, 303);
    assert_eq!(size(&mut other, &[("height", "16 ft")]).await.status, 303);
    let basket = thing(&high, "B", "wastebasket").await;
    assert_eq!(put(&mut other, basket, &[("x", "4 ft"), ("y", "4 ft")]).await.status, 303);
    assert_eq!(other.post(&format!("{PLAN}/usual"), &[]).await.status, 303);
    assert!(other.get("/events/1/rooms/fire").await.has("#summary"));
    // An estimate of another room says so, until one of the two is changed.
    test.with_fire().await;
    let page = olga.get("/events/1/rooms/fire").await;
    assert!(!page.has("[data-caution=drawn]"));
    assert_eq!(size(&mut olga, &[("width", "11 ft")]).await.status, 303);
    assert!(olga.get("/events/1/rooms/fire").await.has("[data-caution=drawn]"));
    // Without a drawing it is the usual room.
    let plain = TestApp::planned().await;
    let mut other = plain.olga().await;
    assert_eq!(other.post("/events/1/rooms/template", &[]).await.status, 303);
    assert_eq!(other.get("/events/1/rooms/fire/settings/new").await.form().value("width"), "8 ft");
}

#[tokio::test]
async fn two_people_draw_and_a_reader_looks() {
    let (test, mut olga) = framed().await;
    let basket = thing(&test, "A", "wastebasket").await;
    let mut boss = test.somebody(Role::BurnBoss).await;
    let path = format!("{PLAN}/items/{basket}");
    let (hers, his) = (olga.get(&path).await.form(), boss.get(&path).await.form());
    assert_eq!(olga.submit(&path, &hers.with("x", "5 ft")).await.status, 303);
    let conflict = boss.submit(&path, &his.with("x", "7 ft")).await;
    assert_eq!(conflict.status, 409);
    assert_eq!(boss.submit(&path, &conflict.form_at("main form[method=post]")).await.status, 303);
    assert_eq!(olga.get(&path).await.value("x"), "7 ft");
    let (hers, his) = (olga.get(&format!("{PLAN}/size")).await.form(), boss.get(&format!("{PLAN}/size")).await.form());
    assert_eq!(olga.submit(&format!("{PLAN}/size"), &hers.with("spare", "5")).await.status, 303);
    assert_eq!(boss.submit(&format!("{PLAN}/size"), &his.with("spare", "15")).await.status, 409);

    // Placed once, taken off, and placed again, it isn't what an old page shows; taken off for
    // good, what was typed stays.
    let sofa = format!("{PLAN}/items/{}", thing(&test, "A", "sofa").await);
    let form = olga.get(&sofa).await.form().with("x", "6 ft");
    assert_eq!(olga.submit(&sofa, &form).await.status, 303);
    let (stale, other) = (boss.get(&sofa).await.form(), boss.get(&sofa).await.form());
    test.at(crate::support::NOW + time::Duration::minutes(5));
    assert_eq!(olga.post(&format!("{sofa}/remove"), &[]).await.status, 303);
    let gone = boss.submit(&sofa, &stale.with("x", "4 ft 4 in")).await;
    assert_eq!((gone.status, gone.value("x")), (409, "4 ft 4 in".to_owned()));
    let form = olga.get(&sofa).await.form().with("x", "9 ft");
    assert_eq!(olga.submit(&sofa, &form).await.status, 303);
    assert_eq!(boss.submit(&sofa, &other).await.status, 409);
    assert_eq!(olga.get(&sofa).await.value("x"), "9 ft");

    let mut reader = test.somebody(Role::Reader).await;
    let page = reader.get(PLAN).await;
    assert!(page.has("[data-room=A] .mark") && !page.has("svg a") && !page.has("main form"));
    for path in ["size", "usual", "like-a"].map(|path| format!("{PLAN}/{path}")) {
        assert_eq!(reader.post(&path, &[]).await.status, 403, "{path}");
    }
    assert_eq!(reader.post(&format!("{path}/move"), &[("at", "1,1"), ("version", "3")]).await.status, 403);
    assert!(olga.get("/events/1/journal").await.says("7 ft"));
}
