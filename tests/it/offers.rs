//! Requests for the rooms are answered by link, like every other question.

use crate::support::{Answer, BURN_ON, Browser, NOW, TestApp, picture};
use burnday::accounts::Role;
use burnday::asks::{self, Kind, Said, Way};
use burnday::gifts;
use burnday::guests::{self, Level, Side};
use burnday::reminders;
use burnday::rooms::Room;
use burnday::web::link::without_links;
use burnday::web::words::Reader;
use time::Duration;
use time::macros::{date, datetime};

const LIST: &str = "/events/1/rooms/shopping";

/// A lamp and a rug for room A, and Gideon, who was asked in one question for one of each
/// for room B. Returns its number.
async fn asked(test: &TestApp, olga: &mut Browser) -> i64 {
    let gideon = test.person("Gideon Astley", "gideon@example.org").await;
    test.guest(gideon, guests::Details::of(Side::Sponsor, Level::Sponsor)).await;
    for what in ["floor lamp", "rug"] {
        let form = olga.get("/events/1/rooms/new").await.form().with("room", "room A").with("what", what);
        assert_eq!(olga.submit("/events/1/rooms/new", &form.with("state", "here")).await.status, 303);
    }
    let who = gideon.to_string();
    let form =
        [("need", "like/1"), ("need", "like/2"), ("who", who.as_str()), ("words", "We fetch it."), ("act", "send")];
    assert_eq!(olga.post(LIST, &form).await.status, 303);
    let mut db = test.app.db.read().acquire().await.unwrap();
    let all = asks::of_event(&mut db, 1).await.unwrap();
    assert_eq!(all.len(), 1);
    assert_eq!(all[0].kind, Kind::Item);
    all[0].id
}

async fn say(test: &TestApp, request: i64, said: &str, fields: &[(&str, &str)], photo: Option<Vec<u8>>) -> Answer {
    let ask = asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks[0].id;
    let say = format!("{ask} {said}");
    let fields = [&[("say", say.as_str())], fields].concat();
    let files: Vec<_> = photo.into_iter().map(|photo| ("photo", "lamp.jpg", photo)).collect();
    test.stranger().post_files(&format!("{}/offer", test.answer_path(request)), &fields, &files).await
}

async fn stands(test: &TestApp, request: i64) -> Option<Said> {
    let request = asks::find(test.app.db.read(), request).await.unwrap().unwrap();
    request.asks[0].stands().map(|answer| answer.said)
}

/// What is still needed, from the page that asks for it.
pub fn needs(page: &Answer) -> Vec<String> {
    page.attributes("[data-need]", "data-need")
}

/// A gift's state. Its page shows its history, too.
pub async fn gift_state(test: &TestApp, id: i64) -> String {
    let mut db = test.app.db.read().acquire().await.unwrap();
    gifts::find(&mut db, 1, id).await.unwrap().unwrap().details.status.state().to_string()
}

fn rows(test: &TestApp, table: &str) -> usize {
    test.dump().lines().filter(|line| line.starts_with(&format!("INSERT INTO {table} VALUES"))).count()
}

#[tokio::test]
async fn the_link_in_the_mail_opens_the_question_in_a_copy_of_the_store_too() {
    let test = TestApp::planned().await;
    // As in a store that is a copy of another (copies.rs).
    test.sql("update mail_hold set copies = copies + 2");
    asked(&test, &mut test.olga().await).await;
    let mail = test.posted(1).await.remove(0);
    let filled = test.app.link_key.fill(&mail.text, "");
    let path = filled.split_whitespace().find(|word| word.starts_with("/answer/")).unwrap();
    assert_eq!(test.stranger().get(path).await.status, 200);
}

#[tokio::test]
async fn a_promise_by_link_becomes_a_gift_and_a_thing() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let request = asked(&test, &mut olga).await;
    assert_eq!(rows(&test, "mail"), 1);
    let asking = test.posted(1).await.remove(0).text;
    for says in ["Floor lamp", "Rug", "We fetch it.", &Reader::Public.day(BURN_ON)] {
        assert!(asking.contains(says), "{says}: {asking}");
    }
    let path = test.answer_path(request);
    let page = test.stranger().get(&path).await;
    assert_eq!((page.status, page.text("h1").as_str()), (200, Kind::Item.question()));
    assert!(page.says("We fetch it."), "{}", page.text("main"));
    assert_eq!(page.count("input[name=line]"), 2);
    assert!(page.text(".tick .t").starts_with("Floor lamp"), "{}", page.text("main"));
    let line = page.text(".tick .d");
    assert!(["1", Room::B.as_str(), Room::A.as_str()].iter().all(|says| line.contains(says)), "{line}");
    assert_eq!(rows(&test, "answer"), 0, "looking records nothing");

    // Nothing checked: the page comes back with what was typed.
    let bare = say(&test, request, "yes", &[("what", "A brass lamp")], None).await;
    assert_eq!((bare.status, bare.mistakes()), (422, vec!["line".to_owned()]));
    assert!(bare.body.contains("A brass lamp"));

    let fields = [("line", "0"), ("what", "A brass lamp"), ("fetch", "Saturday after 2 p.m.")];
    let given = say(&test, request, "yes", &fields, Some(picture([90, 20, 20]))).await;
    assert_eq!(given.status, 303, "{}", given.text("main"));
    assert_eq!(stands(&test, request).await, Some(Said::Yes));
    let page = olga.get(LIST).await;
    let offer = page.text("[data-offer=yes][data-day='2026-11-25']");
    assert!(offer.contains("A brass lamp") && offer.contains("Saturday after 2 p.m."), "{}", page.text("main"));
    let photo = page.attributes("img.photo", "src").remove(0);
    assert_eq!(olga.get(&photo).await.status, 200);
    assert_eq!(test.stranger().get(&photo).await.status, 303, "not for strangers");
    let gift = olga.get("/events/1/guests/gifts/1").await;
    assert!(gift.says("1 × floor lamp"), "{}", gift.text("main"));
    assert!(gift.fact("Notes").contains("Saturday after 2 p.m."), "{}", gift.text("main"));
    assert_eq!(gift_state(&test, 1).await, "promised");
    let lamp = olga.get("/events/1/rooms/items/3").await;
    assert!(lamp.fact("Room").starts_with(Room::B.as_str()), "{}", lamp.text("main"));
    assert_eq!(lamp.mark("#state", "state"), "promised");
    assert_eq!(needs(&page), ["like/2"], "what wasn't checked is still needed");
    assert_eq!(page.mark("[data-need='like/2']", "room"), Room::B.as_str());
    assert!(page.text("[data-need='like/2']").starts_with("Rug"), "{}", page.text("main"));
    let answered = test.stranger().get(&path).await;
    let pressed = answered.attributes("button[name=say][aria-pressed=true]", "value");
    assert!(pressed.len() == 1 && pressed[0].ends_with(" yes"), "{pressed:?}");
    assert!(!answered.text("[data-answered] [data-stands=yes]").is_empty(), "the page says how it stands");
    assert!(answered.has("details[data-change]:not([open]) form[enctype]"), "the form is folded under it");
    let told = test.posted(1).await.pop().unwrap();
    // The question's lines name the rug, too. The promise doesn't.
    let promise = told.text.split("\n\n").find(|part| part.contains("Saturday after 2 p.m.")).unwrap();
    assert!(promise.contains("Floor lamp") && promise.contains("A brass lamp"), "{told:?}");
    assert!(!promise.contains("Rug"), "{told:?}");
    // A yes adds no calendar entry: pickup is on another day.
    assert!(!answered.has("a[href$='/calendar']") && told.calendars.is_empty());
    // Sent twice, it is one gift.
    say(&test, request, "yes", &fields, None).await;
    assert_eq!((rows(&test, "gift"), rows(&test, "room_thing")), (1, 3));
    assert!(test.dump().contains("answered"));
}

#[tokio::test]
async fn a_change_of_mind_takes_the_promise_back_in_sight() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let request = asked(&test, &mut olga).await;
    let both = [("line", "0"), ("line", "1")];
    say(&test, request, "yes", &both, None).await;
    assert_eq!((rows(&test, "gift"), rows(&test, "room_thing")), (2, 4));
    assert!(olga.get(LIST).await.has("[data-empty=wanted]"));

    // Only the rug, after all.
    say(&test, request, "yes", &[("line", "1")], None).await;
    assert_eq!(gift_state(&test, 1).await, "not coming");
    assert_eq!(gift_state(&test, 2).await, "promised");
    let page = olga.get(LIST).await;
    assert_eq!(needs(&page), ["thing/3"], "the lamp of room B");
    assert!(page.text("[data-need][data-room='room B']").starts_with("Floor lamp"), "{}", page.text("main"));

    say(&test, request, "no", &[("what", "Sold the house")], None).await;
    assert_eq!(gift_state(&test, 2).await, "not coming");
    let page = olga.get(LIST).await;
    assert_eq!(needs(&page), ["thing/3", "thing/4"]);
    assert!(page.text("[data-need='thing/4'][data-room='room B']").starts_with("Rug"), "{}", page.text("main"));
    let offer = page.text("[data-offer=no][data-day='2026-11-25']");
    assert!(offer.contains("Sold the house"), "{}", page.text("main"));
    assert_eq!(rows(&test, "gift"), 2, "nothing is deleted");

    say(&test, request, "yes", &both, None).await;
    assert!(olga.get(LIST).await.has("[data-empty=wanted]"));
    assert_eq!((rows(&test, "gift"), rows(&test, "room_thing")), (2, 4), "the same gifts again");

    // What has arrived stays.
    let here = [("received_on", "2026-11-25"), ("taken_by", "Olga Wren")];
    assert_eq!(olga.post("/events/1/guests/gifts/1/received", &here).await.status, 303);
    say(&test, request, "no", &[], None).await;
    assert_eq!(gift_state(&test, 1).await, "received");
    assert_eq!(gift_state(&test, 2).await, "not coming");
}

#[tokio::test]
async fn what_was_noted_by_hand_stays_and_stands_in_the_ledger() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let request = asked(&test, &mut olga).await;
    let address = |id: i64| format!("/events/1/rooms/donation-requests/{id}");
    assert_eq!(olga.post(&address(1), &[("said", "no")]).await.location(), LIST);
    assert_eq!(stands(&test, request).await, None, "the rug is still open");
    let promised = [("said", "promised"), ("way", "in person")];
    assert_eq!(olga.post(&address(2), &promised).await.location(), LIST);
    assert_eq!(stands(&test, request).await, Some(Said::Yes));
    let noted = asks::find(test.app.db.read(), request).await.unwrap().unwrap();
    assert_eq!(noted.asks[0].stands().map(|answer| answer.way), Some(Way::InPerson));
    assert!(olga.get(&format!("/events/1/replies/{request}")).await.says(Way::InPerson.as_str()));
    // A different answer by link later: the promise recorded by hand stays, and both show.
    test.at(NOW + Duration::HOUR);
    say(&test, request, "no", &[], None).await;
    assert_eq!(gift_state(&test, 1).await, "promised");
    let page = olga.get(LIST).await;
    assert!(page.has("[data-request='2'][data-said=promised] [data-offer=no][data-day='2026-11-25']"));
    assert!(page.text("[data-request='2'] .who").contains("promised"), "{}", page.text("main"));

    // The general pages neither ask nor record this kind.
    assert!(!olga.get("/events/1/replies/new").await.all("p.also a").iter().any(|kind| kind == "item"));
    let ask = asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks[0].id.to_string();
    let record = [("ask", ask.as_str()), ("said", "yes"), ("way", "phone"), ("evidence", "called")];
    assert_eq!(olga.post(&format!("/events/1/replies/{request}/answers"), &record).await.status, 400);
    let say = format!("{ask} yes");
    let plain = test.stranger().post(&test.answer_path(request), &[("say", say.as_str())]).await;
    assert_eq!(plain.status, 303);
    assert_eq!(stands(&test, request).await, Some(Said::No), "without an offer there is no answer");
}

#[tokio::test]
async fn a_no_stops_the_reminders_and_silence_does_not() {
    for said in ["", "no", "maybe"] {
        let test = TestApp::planned().await;
        let mut olga = test.olga().await;
        let request = asked(&test, &mut olga).await;
        if !said.is_empty() {
            assert_eq!(say(&test, request, said, &[], None).await.status, 303);
            assert_eq!(rows(&test, "mail"), 2, "it is confirmed");
        }
        // 40 days before burn day, Saturday, June 5, 2027, after 09:00 in Chicago.
        test.at(datetime!(2027-04-26 14:30 UTC));
        reminders::tick(&test.app).await.unwrap();
        let dump = test.dump();
        let mails = dump.lines().filter(|line| line.starts_with("INSERT INTO mail VALUES"));
        let chased = mails.filter(|line| line.contains("'reminder'") && line.contains("gideon@")).count();
        assert_eq!(chased, usize::from(said.is_empty()), "{said}");
    }
}

#[tokio::test]
async fn a_photo_by_link_is_bounded_in_size_count_and_rate() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let request = asked(&test, &mut olga).await;
    let no_picture = say(&test, request, "yes", &[("line", "0")], Some(b"no picture".to_vec())).await;
    assert_eq!(no_picture.status, 422);
    assert!(!no_picture.text("#photo-mistake").is_empty());
    assert_eq!(rows(&test, "answer"), 0);
    // Larger than a photo may be: refused before all of it is read.
    let huge = say(&test, request, "yes", &[("line", "0")], Some(vec![0; asks::MOST_OFFERED + 1])).await;
    assert!([400, 413].contains(&huge.status), "{}", huge.status);
    for color in 0..6_u8 {
        let answer = say(&test, request, "yes", &[("line", "0")], Some(picture([color * 40, 9, 9]))).await;
        assert_eq!(answer.status, if color < 5 { 303 } else { 422 }, "{color}");
    }
    assert_eq!(rows(&test, "photo"), 5);
    // Ten at once, then one every two minutes.
    let mut last = 0;
    for _ in 0..4 {
        last = say(&test, request, "yes", &[("line", "0")], None).await.status;
    }
    assert_eq!(last, 429);
    // No link, no look at a picture.
    let dead = test.answer_path(99) + "/offer";
    assert_eq!(test.stranger().post_files(&dead, &[], &[("photo", "a.jpg", picture([1, 1, 1]))]).await.status, 404);
    assert_eq!(rows(&test, "photo"), 5);
}

#[tokio::test]
async fn whoever_is_forgotten_leaves_no_offer() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let request = asked(&test, &mut olga).await;
    let fields = [("line", "0"), ("what", "Granny's lamp"), ("fetch", "12 Elm Street")];
    say(&test, request, "yes", &fields, Some(picture([5, 5, 90]))).await;
    let gideon = asks::find(test.app.db.read(), request).await.unwrap().unwrap().person_id;
    let version = olga.get(&format!("/people/{gideon}/erase")).await.value("version");
    assert_eq!(olga.post(&format!("/people/{gideon}/erase"), &[("version", version.as_str())]).await.status, 303);
    let page = olga.get(LIST).await;
    assert!(!page.says("Granny") && !page.says("Elm Street"), "{}", page.text("main"));
    assert_eq!(rows(&test, "photo"), 0);
    let offer = test.dump();
    assert!(!offer.lines().any(|line| line.starts_with("INSERT INTO offer") && line.contains("Elm")));
}

#[tokio::test]
async fn the_list_is_the_officers_to_send_and_record() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    asked(&test, &mut olga).await;
    let mut reader = test.somebody(Role::Reader).await;
    assert!(reader.get(LIST).await.all("main form button").is_empty());
    assert_eq!(reader.post("/events/1/rooms/donation-requests/1", &[("said", "no")]).await.status, 403);
    assert_eq!(test.stranger().post("/events/1/rooms/donation-requests/1", &[("said", "no")]).await.status, 303);
}

/// A donation isn't for one day.
#[tokio::test]
async fn a_promise_goes_along_with_the_burn_day() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let request = asked(&test, &mut olga).await;
    say(&test, request, "yes", &[("line", "0")], None).await;
    test.at(NOW + Duration::hours(1));
    test.tick().await;
    let preview = olga.get("/events/1/move?burn_on=2027-06-19&rain_on=").await;
    assert!(preview.all("input[name=again]").is_empty(), "no one needs to be asked again");
    let fields = [("burn_on", "2027-06-19"), ("rain_on", ""), ("version", "1"), ("again", "yes")];
    assert_eq!(olga.post("/events/1/move", &fields).await.location(), "/events/1");
    assert_eq!(stands(&test, request).await, Some(Said::Yes));
    let told = test.posted(1).await.pop().unwrap();
    assert!(told.text.contains(&Reader::Public.day(date!(2027 - 06 - 19))), "{told:?}");
    insta::assert_snapshot!("offer-goes-along", without_links(&told.text, "[link]"));
    test.at(datetime!(2027-07-10 12:00 UTC));
    assert_eq!(test.stranger().get(&test.answer_path(request)).await.status, 200, "the link outlives the old date");
}
