//! The two rooms: paired, warned about, sourced, audited.

use crate::support::{Browser, TestApp, picture};
use burnday::accounts::Role;
use burnday::gifts::Stands;
use burnday::guests::{self, Level, Side};
use time::macros::{date, datetime};

const ROOMS: &str = "/events/1/rooms";
const NEW: &str = "/events/1/rooms/new";

/// Adds a thing by the form: what is given is filled in over what stands there.
async fn add(olga: &mut Browser, fields: &[(&str, &str)]) {
    let mut form = olga.get(NEW).await.form();
    for (name, value) in fields {
        form = form.with(name, value);
    }
    let answer = olga.submit(NEW, &form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
}

async fn fair(olga: &mut Browser) -> String {
    olga.get(ROOMS).await.text("#fair")
}

fn mails(test: &TestApp) -> usize {
    test.dump().lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).count()
}

#[tokio::test]
async fn an_empty_page_starts_from_a_living_room_once() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get(ROOMS).await.says("Start from a usual living room"));
    let mut reader = test.somebody(Role::Reader).await;
    let page = reader.get(ROOMS).await;
    assert!(page.says("Nothing is in the two rooms yet.") && page.all("main form").is_empty());
    assert_eq!(olga.post("/events/1/rooms/template", &[]).await.location(), ROOMS);
    let page = olga.get(ROOMS).await;
    // 43 things a room by the template; no model or material is known of any.
    assert_eq!(
        page.text("#fair"),
        "All 86 things are paired: 43 pairs, all only alike. Nothing that is known differs."
    );
    assert!(page.says("Of 43 pairs 0 are here and 0 stand in their rooms."));
    assert!(page.says("No building part is counted yet. Of 8 parts nobody has said how many yet."));
    olga.post("/events/1/rooms/template", &[]).await;
    assert!(olga.get(ROOMS).await.text("#said").contains("Nothing was added"));
    assert!(fair(&mut olga).await.starts_with("All 86 things"));
}

#[tokio::test]
async fn the_sentence_follows_what_is_in_the_rooms_and_the_worst_comes_first() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, &[("room", "both rooms"), ("what", "rug"), ("model", "Meadow")]).await;
    assert_eq!(
        fair(&mut olga).await,
        "All 2 things are paired: one pair, by the same model. Nothing that is known differs."
    );
    add(&mut olga, &[("room", "room A"), ("what", "Sofa"), ("material", "linen"), ("position", "left")]).await;
    assert_eq!(
        fair(&mut olga).await,
        "2 of 3 things are paired: one pair, by the same model. The worst: room B has nothing like the Sofa of room A."
    );
    add(&mut olga, &[("room", "room B"), ("what", "sofa "), ("material", "Leather"), ("position", "right")]).await;
    let page = olga.get(ROOMS).await;
    assert_eq!(
        page.text("#fair"),
        "All 4 things are paired: 2 pairs, 1 by the same model, 1 only alike. The worst is the Sofa, which differs in \
         material and position."
    );
    let lines = page.all(".twosides > li");
    assert!(lines[0].contains("Sofa differs in material stands elsewhere"), "{}", lines[0]);
    assert!(lines[1].starts_with("Rug A (no sprinkler) Meadow"), "{}", lines[1]);
    // Signs have a shape and a name each.
    assert_eq!(page.attributes(".twosides .mark", "aria-label"), ["alike", "same model"]);

    let edit = "/events/1/rooms/things/4/edit";
    let form = olga.get(edit).await.form().with("material", "LINEN").with("position", "left");
    assert_eq!(olga.submit(edit, &form).await.status, 303);
    assert_eq!(
        fair(&mut olga).await,
        "All 4 things are paired: 2 pairs, 1 by the same model, 1 by type and material. Nothing that is known differs."
    );
    assert!(olga.get("/events/1/rooms/things/3").await.says("1 of room B: same type and material"));
}

#[tokio::test]
async fn nothing_borrowed_goes_into_a_room_that_burns() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let form = olga.get(NEW).await.form().with("what", "wall clock").with("source", "loan").with("model", "Round 30");
    let answer = olga.submit(NEW, &form).await;
    assert_eq!(answer.status, 422);
    let why = answer.text("#source-mistake");
    assert!(why.contains("Nothing borrowed goes into a room that burns") && why.contains("as a gift"), "{why}");
    assert_eq!(answer.value("model"), "Round 30", "what was typed stays");
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn mistakes_stand_beside_their_fields() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    let before = test.dump();
    for (field, value, says) in [
        ("what", "", "can't be empty"),
        ("size", "60", "Say the unit as well"),
        ("size", "sixty cm", "Give up to three lengths"),
        ("size", "60 cm wide", "Leave out “wide”"),
        ("quantity", "1000", "from 0 to 999"),
        ("room", "room C", "Choose a room."),
        ("state", "lost", "Choose how far it is."),
        ("gift", "1", "This is for a gift alone"),
        ("gift", "99", "Choose one of the gifts in kind."),
        ("hazard", "ghosts", "Choose what it is about."),
    ] {
        let form = olga.get(NEW).await.form().with("what", "lamp").with(field, value);
        let answer = olga.submit(NEW, &form).await;
        assert_eq!(answer.status, 422, "{field}");
        assert!(answer.text(&format!("#{field}-mistake")).contains(says), "{field}: {}", answer.text("main"));
    }
    let edit = "/events/1/rooms/things/1/edit";
    let form = olga.get(edit).await.form().with("room", "both rooms");
    assert!(olga.submit(edit, &form).await.text("#room-mistake").contains("One line is of one room"));
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn sizes_in_either_unit_are_shown_in_both_and_compared() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, &[("room", "room A"), ("what", "lamp"), ("material", "steel"), ("size", "60 cm")]).await;
    add(&mut olga, &[("room", "room B"), ("what", "lamp"), ("material", "steel"), ("size", "24 in")]).await;
    let page = olga.get(ROOMS).await;
    assert!(page.says("60 cm (23.6 in)") && page.says("24 in (61 cm)"));
    assert!(page.text("#fair").contains("by type and material"), "{}", page.text("#fair"));
    assert!(page.says("within 5 % of the larger one or 2.5 cm (1 in), whichever is more"));

    let path = "/events/1/rooms/tolerance";
    let form = olga.get(path).await.form().with("percent", "0").with("length", "0.5 cm");
    assert_eq!(olga.submit(path, &form).await.location(), ROOMS);
    let page = olga.get(ROOMS).await;
    assert!(
        page.text("#fair").contains("only alike. The worst is the lamp, which differs in size."),
        "{}",
        page.text("#fair")
    );
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
    let edit = "/events/1/rooms/things/1/edit";
    let mine = olga.get(edit).await.form().with("model", "Glow 5").with("hazard", "foam or plastics");
    let theirs = olga.get(edit).await.form().with("model", "Beam 1");
    assert_eq!(olga.submit(edit, &theirs).await.status, 303);
    let answer = olga.submit(edit, &mine).await;
    assert_eq!(answer.status, 409);
    assert!(answer.says("Glow 5") && answer.says("Beam 1") && answer.says("foam or plastics"));
    let over = answer.attributes("form.acts input[name=version]", "value")[0].clone();
    assert_eq!(olga.submit(edit, &mine.with("version", &over)).await.status, 303);
    assert!(olga.get("/events/1/rooms/things/1").await.says("Glow 5"));
    // A button pressed on an old page changes nothing.
    let old = [("state", "in place"), ("version", "1")];
    olga.post("/events/1/rooms/things/1/state", &old).await;
    assert!(olga.get("/events/1/rooms/things/1").await.text("#said").contains("Nothing was changed"));
    olga.post("/events/1/rooms/things/1/remove", &[("version", "1")]).await;
    assert_eq!(olga.get("/events/1/rooms/things/1").await.status, 200);
    olga.post("/events/1/rooms/things/1/remove", &[("version", "3")]).await;
    assert_eq!(olga.get("/events/1/rooms/things/1").await.status, 404);
}

#[tokio::test]
async fn who_works_says_how_far_a_thing_is() {
    let test = TestApp::asked().await;
    let mut lead = test.somebody(Role::CrewLead).await;
    let thing = "/events/1/rooms/things/1";
    let page = lead.get(thing).await;
    assert!(page.all("button").contains(&"In place".to_owned()) && !page.says("Take it off the list"));
    assert_eq!(
        lead.post(&format!("{thing}/state"), &[("state", "in place"), ("version", "1")]).await.location(),
        thing
    );
    let page = lead.get(thing).await;
    assert!(page.says("It is noted as in place.") && page.says("state: wanted → in place"), "{}", page.text("main"));
    assert_eq!(lead.post(&format!("{thing}/copy"), &[]).await.status, 403);
    let mut reader = test.somebody(Role::Reader).await;
    assert!(!reader.get(thing).await.all("main button").contains(&"Here".to_owned()));
}

#[tokio::test]
async fn one_like_it_is_listed_once_for_the_other_room() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    let edit = "/events/1/rooms/things/1/edit";
    let form = olga.get(edit).await.form().with("model", "Glow 5").with("state", "in place").with("quantity", "2");
    olga.submit(edit, &form).await;
    assert!(olga.get(ROOMS).await.all(".late-word").contains(&"nothing like it".to_owned()));
    for _ in 0..2 {
        olga.post("/events/1/rooms/things/1/copy", &[]).await;
    }
    let page = olga.get(ROOMS).await;
    assert!(page.text("#said").contains("it has its match already"));
    assert_eq!(
        page.text("#fair"),
        "All 4 things are paired: 2 pairs, all by the same model. Nothing that is known differs."
    );
    assert!(olga.get("/events/1/rooms/things/2").await.says("wanted"));
}

#[tokio::test]
async fn what_may_not_burn_is_warned_about_until_it_is_decided() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, &[("room", "both rooms"), ("what", "Air freshener, aerosol")]).await;
    assert!(olga.get(ROOMS).await.says("1 warning is not decided."));
    let path = "/events/1/rooms/warnings";
    let page = olga.get(path).await;
    for says in [
        "Air freshener, aerosol: container under pressure",
        "its text says “aerosol”",
        "your authority having jurisdiction decides",
        "Check against the edition your authority has adopted.",
    ] {
        assert!(page.says(says), "{says}: {}", page.text("main"));
    }
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
    assert!(page.says(
        "Both come out on the day before. Decided by Somebody, safety officer, safety officer on Tue 24 Nov, for 2."
    ));
    assert!(!olga.get(ROOMS).await.says("not decided"));
    let paper = olga.get("/events/1/rooms/audit").await;
    assert!(paper.says("Decided by Somebody, safety officer") && paper.says("1 in room A, 1 in room B"));
    assert!(olga.get("/events/1/journal").await.says("decided warning “air freshener, aerosol”"));

    // A third one was not what was decided about.
    add(&mut olga, &[("room", "room B"), ("what", "air freshener, AEROSOL")]).await;
    assert!(olga.get(ROOMS).await.says("1 warning is not decided."));
    let gone = [("hazard", "asbestos"), ("what", "sofa"), ("decided", "no"), ("on", "2026-11-24")];
    assert_eq!(safety.post(path, &gone).await.status, 422);
}

#[tokio::test]
async fn parts_are_summed_with_a_spare_share() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get("/events/1/rooms/build").await.says("No building part is listed yet."));
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
    assert!(rows.iter().any(|row| row.contains("48 in") && row.ends_with("not said yet")), "{rows:?}");
    assert_eq!(
        page.text(".verdict"),
        "42 of 43 building parts are paired, 21 pairs only alike; 1 have no match. Of 1 part nobody has said how many yet."
    );
    // Parts are none of the things that the fairness of the rooms is told by.
    assert_eq!(fair(&mut olga).await, "Neither room holds anything yet.");
}

#[tokio::test]
async fn what_is_wanted_is_asked_for_and_a_promise_becomes_a_gift() {
    let test = TestApp::planned().await;
    let (wren, gideon) = (
        test.person("Wren Ibarra", "wren@example.org").await,
        test.person("Gideon Astley", "gideon@example.org").await,
    );
    let silent = test.person("Winifred Tran", "").await;
    test.gift(gideon, "floor lamps", Stands::Received { on: date!(2026 - 11 - 20), taken_by: "Olga Wren".to_owned() })
        .await;
    for sponsor in [wren, silent] {
        test.guest(sponsor, guests::Details::of(Side::Sponsor, Level::Sponsor)).await;
    }
    let mut olga = test.olga().await;
    let path = "/events/1/rooms/sourcing";
    assert!(olga.get(path).await.says("Nothing is wanted."));
    let lamp = [("room", "room A"), ("what", "floor lamp"), ("model", "Glow 5"), ("state", "here"), ("size", "60 in")];
    add(&mut olga, &lamp).await;
    let page = olga.get(path).await;
    assert!(page.says("Floor lamp, room B like the one in room A: Glow 5, 60 in (152.4 cm)"), "{}", page.text("main"));
    // Whoever gave one before comes first.
    let who = page.all("fieldset:nth-of-type(2) li");
    assert!(who[0].contains("Gideon Astley") && who[0].contains("gave 40 × floor lamps"), "{who:?}");
    assert!(who.iter().any(|line| line.contains("Winifred Tran") && line.contains("no mail reaches them")));

    for (form, field) in [(vec![("act", "see"), ("need", "like/1")], "who"), (vec![("who", "2")], "need")] {
        let answer = olga.post(path, &form).await;
        assert_eq!(answer.status, 422);
        assert!(!answer.text(&format!("#{field}-mistake")).is_empty(), "{field}");
    }
    let (one, other) = (gideon.to_string(), silent.to_string());
    let unreached = [("need", "like/1"), ("who", other.as_str()), ("act", "send")];
    assert!(olga.post(path, &unreached).await.text("#who-mistake").contains("Call them"));

    let form = |act| [("need", "like/1"), ("who", one.as_str()), ("words", "We collect it."), ("act", act)];
    let look = olga.post(path, &form("see")).await;
    assert_eq!((look.status, mails(&test)), (200, 0));
    let letter = look.text(".letter-text");
    for says in ["Hello Gideon", "1 for room B, like the one in room A: Glow 5", "nothing comes back", "We collect it."]
    {
        assert!(letter.contains(says), "{says}: {letter}");
    }
    assert_eq!(olga.post(path, &form("send")).await.location(), path);
    assert_eq!(mails(&test), 1);
    olga.post(path, &form("send")).await;
    assert_eq!(mails(&test), 1, "once a day for the same");
    assert!(olga.get(path).await.says("Gideon Astley asked Wed 25 Nov"));

    let plea = "/events/1/rooms/pleas/1";
    assert_eq!(olga.post(plea, &[("said", "asked")]).await.status, 400);
    assert_eq!(olga.post(plea, &[("said", "promised")]).await.location(), path);
    let page = olga.get(path).await;
    assert!(page.says("Nothing is wanted.") && page.says("The promise is noted under Gifts"), "{}", page.text("main"));
    let gift = olga.get("/events/1/guests/gifts/2").await;
    assert!(gift.says("1 × floor lamp") && gift.says("promised"), "{}", gift.text("main"));
    let lamp = olga.get("/events/1/rooms/things/2").await;
    assert!(lamp.says("room B, sprinkler") && lamp.says("Status promised"), "{}", lamp.text("main"));
    olga.post(plea, &[("said", "no")]).await;
    assert!(olga.get(path).await.text("#said").contains("noted already"));

    // Once the gift is here, so is the lamp; if it fell through, one is wanted.
    let here = [("received_on", "2026-11-25"), ("taken_by", "Olga Wren")];
    olga.post("/events/1/guests/gifts/2/received", &here).await;
    assert!(olga.get("/events/1/rooms/things/2").await.says("Status here"));
    test.sql("update gift set state = 'not coming', received_on = null where id = 2");
    assert!(olga.get(path).await.says("Floor lamp, room B Glow 5"));
}

#[tokio::test]
async fn the_countdown_shows_the_rooms_and_what_has_no_match() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    add(&mut olga, &[("room", "both rooms"), ("what", "rug"), ("state", "in place")]).await;
    add(&mut olga, &[("room", "both rooms"), ("what", "sofa"), ("material", "foam"), ("state", "promised")]).await;
    let ready = olga.get("/events/1").await.all(".ready li");
    let rooms = ready.iter().find(|line| line.starts_with("Rooms")).unwrap();
    assert!(rooms.ends_with("1 of 3"), "{rooms}");
    assert!(!olga.get("/events/1").await.says("Find a match for room B"), "it is far off");
    // 25 days before burn day, Sat 5 June 2027.
    test.at(datetime!(2027-05-11 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    assert!(page.says("Find a match for room B: floor lamp") && page.says("room A has it; 25 days left"));
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    assert!(safety.get("/events/1").await.says("Have 1 warning about the rooms decided"));
}

#[tokio::test]
async fn a_move_of_the_burn_day_names_gifts_that_would_come_too_late() {
    let test = TestApp::asked().await;
    test.sql("update gift set promised_by = '2027-05-20' where id = 1");
    let mut olga = test.olga().await;
    let edit = "/events/1/rooms/things/1/edit";
    let form = olga.get(edit).await.form().with("source", "gift").with("gift", "1").with("state", "promised");
    assert_eq!(olga.submit(edit, &form).await.status, 303);
    let late = "floor lamp for room A comes too late";
    assert!(olga.get("/events/1/move?burn_on=2027-05-15").await.says(late));
    assert!(!olga.get("/events/1/move?burn_on=2027-06-12").await.says(late));
}

#[tokio::test]
async fn a_thing_has_one_photo_which_stands_beside_its_likes() {
    let test = TestApp::asked().await;
    let mut lead = test.somebody(Role::CrewLead).await;
    let (thing, path) = ("/events/1/rooms/things/1", "/events/1/rooms/things/1/photo");
    for (name, file, says) in [("a.jpg", b"no picture".to_vec(), ""), ("", Vec::new(), "Choose a photo first.")] {
        let answer = lead.post_files(path, &[("version", "1")], &[("photo", name, file)]).await;
        assert_eq!(answer.status, 422);
        let why = answer.text("#photo-mistake");
        assert!(!why.is_empty() && why.contains(says), "{why}");
    }
    let sent = [("photo", "lamp.jpg", picture([10, 90, 200]))];
    assert_eq!(lead.post_files(path, &[("version", "1")], &sent).await.location(), thing);
    let shown = lead.get(thing).await.attributes("img.photo", "src");
    assert_eq!(lead.get(&shown[0]).await.status, 200);
    assert_eq!(lead.get("/events/1/rooms/audit").await.attributes(".side img", "src"), shown);
    lead.post_files(path, &[("version", "1")], &sent).await;
    assert!(lead.get(thing).await.text("#said").contains("Nothing was changed"));
    assert_eq!(lead.post_files(path, &[("version", "2"), ("act", "remove")], &[]).await.status, 303);
    assert!(lead.get(thing).await.attributes("img", "src").is_empty());
    assert_eq!(lead.get(&shown[0]).await.status, 404, "its row is gone with it");
}

/// A lamp for room A, and somebody who was asked for one for room B.
async fn asked(test: &TestApp, olga: &mut Browser) -> i64 {
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    test.gift(gideon, "floor lamps", Stands::Promised).await;
    add(olga, &[("room", "room A"), ("what", "floor lamp"), ("state", "here"), ("by_whom", "Gideon Astley")]).await;
    let id = gideon.to_string();
    let form = [("need", "like/1"), ("who", id.as_str()), ("act", "send")];
    assert_eq!(olga.post("/events/1/rooms/sourcing", &form).await.status, 303);
    gideon
}

#[tokio::test]
async fn whoever_is_forgotten_is_named_nowhere_in_the_rooms() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let gideon = asked(&test, &mut olga).await;
    add(&mut olga, &[("room", "room A"), ("what", "foam block")]).await;
    // As it was noted when names were typed.
    test.sql(
        "insert into room_ruling (event_id, hazard, what, quantity, decided, decided_by, decided_on)
         values (1, 'foam or plastics', 'foam block', 1, 'no', 'Gideon Astley', '2026-11-24')",
    );
    let pages = [ROOMS, "/events/1/rooms/things/1", "/events/1/rooms/warnings", "/events/1/rooms/sourcing"];
    for path in &pages[1..] {
        assert!(olga.get(path).await.says("Astley"), "{path}");
    }
    assert_eq!(olga.post(&format!("/people/{gideon}/forget"), &[("version", "1")]).await.status, 303);
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
    assert!(olga.get("/events/1/rooms/sourcing").await.says("G. Astley-Bend, asked"));
    let entry = olga.get(&format!("/people/{keep}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{keep}/separate"), &[("entry", &entry)]).await.status, 303);
    assert!(olga.get("/events/1/rooms/sourcing").await.says("Gideon Astley, asked"));
}

#[tokio::test]
async fn what_is_typed_about_a_thing_is_never_read_as_markup() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let script = "<script>alert(1)</script>";
    let fields = ["what", "model", "material", "position", "condition", "by_whom"];
    let all: Vec<(&str, &str)> = fields.iter().map(|field| (*field, script)).chain([("room", "room A")]).collect();
    add(&mut olga, &all).await;
    for path in ["", "/things/1", "/things/1/edit", "/sourcing", "/audit", "/warnings", "/build"] {
        let page = olga.get(&format!("{ROOMS}{path}")).await;
        assert_eq!(page.status, 200, "{path}");
        assert!(page.all("script:not([src])").is_empty(), "{path}");
    }
}
