//! The site's pages: drawn, undone, kept, accepted, and checked again when a fact changes.

use crate::support::{Answer, Browser, TestApp, picture};
use burnday::accounts::Role;
use burnday::background;
use burnday::site::MOST_ITEMS;

const SITE: &str = "/events/1/rooms/site";

impl TestApp {
    /// Rooms of the usual size, and a gate on the drawing of the site, which is kept once.
    pub async fn with_drawings(&self) {
        let mut olga = self.olga().await;
        let form = olga.get("/events/1/rooms/plan/size").await.form();
        assert_eq!(olga.submit("/events/1/rooms/plan/size", &form).await.status, 303);
        assert_eq!(add(&mut olga, "gate").await, 1);
        assert_eq!(olga.post(&format!("{SITE}/keep"), &[("name", "First")]).await.status, 303);
    }
}

async fn add(who: &mut Browser, kind: &str) -> u32 {
    let answer = who.post(&format!("{SITE}/items"), &[("kind", kind)]).await;
    assert_eq!(answer.status, 303, "{kind}");
    answer.location().rsplit_once("item-").unwrap().1.parse().unwrap()
}

async fn change(who: &mut Browser, item: u32, fields: &[(&str, &str)]) -> Answer {
    let path = format!("{SITE}/items/{item}");
    let mut form = who.get(&path).await.form();
    for (name, value) in fields {
        form = form.with(name, value);
    }
    who.submit(&path, &form).await
}

async fn put(who: &mut Browser, kind: &str, fields: &[(&str, &str)]) -> u32 {
    let item = add(who, kind).await;
    let answer = change(who, item, fields).await;
    assert_eq!(answer.status, 303, "{kind}: {:?}", answer.mistakes());
    item
}

/// Two rooms, and a crowd from 130 ft on.
async fn small_site(who: &mut Browser) -> (u32, u32, u32) {
    let a = put(who, "room A", &[("x", "100 ft"), ("y", "40 ft"), ("height", "10 ft")]).await;
    let b = put(who, "room B", &[("x", "130 ft"), ("y", "40 ft"), ("height", "10 ft")]).await;
    let crowd = "60 ft, 130 ft\n170 ft, 130 ft\n170 ft, 150 ft\n60 ft, 150 ft";
    (a, b, put(who, "crowd", &[("corners", crowd)]).await)
}

async fn basis(who: &mut Browser, fields: &[(&str, &str)]) -> Answer {
    let path = format!("{SITE}/basis");
    let mut form = who.get(&path).await.form();
    for (name, value) in fields {
        form = form.with(name, value);
    }
    who.submit(&path, &form).await
}

fn finding(page: &Answer, mark: &str) -> Option<(String, String)> {
    let keys = page.attributes("[data-finding]", "data-finding");
    let grades = page.attributes("[data-finding]", "data-grade");
    keys.into_iter().zip(grades).find(|(key, _)| key.split('/').next() == Some(mark))
}

fn grade(page: &Answer, mark: &str) -> String {
    finding(page, mark).map(|(_, grade)| grade).unwrap_or_default()
}

#[tokio::test]
async fn things_are_drawn_moved_undone_and_done_again() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get(SITE).await.has("[data-empty=site]"));
    let (a, ..) = small_site(&mut olga).await;
    let page = olga.get(SITE).await;
    assert_eq!(page.count("#drawing [data-item]"), 3);
    let at = |page: &Answer| page.attributes(&format!("#item-{a}"), "data-at")[0].clone();
    assert_eq!(at(&page), "30.48,12.192");

    // As a script sends it.
    let version = page.attributes(&format!("#item-{a}"), "data-version")[0].clone();
    let to = [("at", "31.0896,12.192"), ("version", version.as_str())];
    assert_eq!(olga.post(&format!("{SITE}/items/{a}/move"), &to).await.status, 303);
    assert_eq!(at(&olga.get(SITE).await), "31.0896,12.192");
    assert_eq!(olga.get(&format!("{SITE}/items/{a}")).await.value("x"), "102 ft");
    // Somebody who looks at the old drawing moves nothing.
    olga.post(&format!("{SITE}/items/{a}/move"), &to).await;
    assert_eq!(at(&olga.get(SITE).await), "31.0896,12.192");

    // Back step by step, also after the page was loaded anew, and forward again.
    let undo = |page: &Answer| page.form_at("form[action$='/undo']");
    let page = olga.get(SITE).await;
    assert_eq!(olga.submit(&format!("{SITE}/undo"), &undo(&page)).await.status, 303);
    let page = olga.get(SITE).await;
    assert_eq!(at(&page), "30.48,12.192");
    let redo = page.form_at("form[action$='/redo']");
    assert_eq!(olga.submit(&format!("{SITE}/redo"), &redo).await.status, 303);
    assert_eq!(at(&olga.get(SITE).await), "31.0896,12.192");
    // A second press of the same button does nothing more.
    olga.submit(&format!("{SITE}/redo"), &redo).await;
    assert_eq!(at(&olga.get(SITE).await), "31.0896,12.192");

    // All the way back, to the empty drawing; then something else ends what could be redone.
    for _ in 0..20 {
        let page = olga.get(SITE).await;
        if !page.has("#undo") {
            break;
        }
        olga.submit(&format!("{SITE}/undo"), &undo(&page)).await;
    }
    let page = olga.get(SITE).await;
    assert!(page.has("[data-empty=site]") && page.has("#redo"));
    add(&mut olga, "gate").await;
    let page = olga.get(SITE).await;
    assert!(!page.has("#redo"));
    assert_eq!(page.count("#drawing [data-item]"), 1);
}

#[tokio::test]
async fn what_cannot_be_drawn_is_told_at_the_field_and_nothing_is_lost() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (a, _, crowd) = small_site(&mut olga).await;
    let before = olga.get(SITE).await.attributes("[data-item]", "data-at");
    let bow = "60 ft, 130 ft\n170 ft, 150 ft\n170 ft, 130 ft\n60 ft, 150 ft";
    let answer = change(&mut olga, crowd, &[("corners", bow)]).await;
    assert_eq!(answer.status, 422);
    assert!(!answer.mistake("corners").is_empty());
    assert_eq!(answer.text("#corners"), bow.replace('\n', " "));
    let answer = change(&mut olga, a, &[("width", "0 ft"), ("depth", "0"), ("turn", "left")]).await;
    assert_eq!(answer.status, 422);
    for field in ["width", "depth", "turn"] {
        assert!(!answer.mistake(field).is_empty(), "{field}");
    }
    for at in ["", "nonsense", "1,2,3", "NaN,1", "-5,1", "1e9,1", "30,12 31,13"] {
        let answer = olga.post(&format!("{SITE}/items/{a}/move"), &[("at", at), ("version", "1")]).await;
        assert!(matches!(answer.status, 303 | 400), "{at}: {}", answer.status);
    }
    assert_eq!(olga.post(&format!("{SITE}/items"), &[("kind", "castle")]).await.status, 400);
    assert_eq!(olga.get(&format!("{SITE}/items/99")).await.status, 404);
    let answer = basis(&mut olga, &[("crowd_line", "far"), ("wind_from", "400"), ("square_feet", "900")]).await;
    assert_eq!(answer.status, 422);
    assert_eq!(answer.mistakes().len(), 3, "{:?}", answer.mistakes());
    assert_eq!(answer.value("wind_from"), "400");
    assert_eq!(olga.get(SITE).await.attributes("[data-item]", "data-at"), before);

    // A photo that isn't one.
    let answer = olga.post_files(&format!("{SITE}/photo"), &[], &[("photo", "map.png", b"hello".to_vec())]).await;
    assert_eq!(answer.status, 422);
    assert!(!answer.mistake("photo").is_empty());
    assert_eq!(olga.post_files(&format!("{SITE}/photo"), &[], &[]).await.status, 422);
}

#[tokio::test]
async fn no_more_is_drawn_than_can_be_checked_at_once() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&mut olga, "vehicle").await;
    // As if somebody had pressed the button all day.
    let one = r#"{"id":%,"kind":"vehicle","at":[[5.0,5.0]],"width":2.0,"depth":5.0}"#;
    let all: Vec<String> = (1..=MOST_ITEMS).map(|id| one.replace('%', &id.to_string())).collect();
    test.sql(&format!(
        "update site_version set plan = json_set(plan, '$.items', json('[{}]'), '$.last', {MOST_ITEMS});",
        all.join(",")
    ));
    assert_eq!(olga.get(SITE).await.count("[data-item]"), MOST_ITEMS);
    olga.post(&format!("{SITE}/items"), &[("kind", "vehicle")]).await;
    let page = olga.get(SITE).await;
    assert_eq!(page.count("[data-item]"), MOST_ITEMS);
}

#[tokio::test]
async fn two_people_change_the_drawing_and_neither_loses_anything() {
    let test = TestApp::planned().await;
    let (mut olga, mut boss) = (test.olga().await, test.somebody(Role::BurnBoss).await);
    let (a, b, _) = small_site(&mut olga).await;
    let (path_a, path_b) = (format!("{SITE}/items/{a}"), format!("{SITE}/items/{b}"));
    let (hers, his) = (olga.get(&path_a).await.form(), boss.get(&path_b).await.form());
    // Different things: both are saved.
    assert_eq!(olga.submit(&path_a, &hers.with("name", "Left room")).await.status, 303);
    assert_eq!(boss.submit(&path_b, &his.with("name", "Right room")).await.status, 303);
    // The same thing: the second one sees both.
    let (hers, his) = (olga.get(&path_a).await.form(), boss.get(&path_a).await.form());
    assert_eq!(olga.submit(&path_a, &hers.with("name", "Room one")).await.status, 303);
    let conflict = boss.submit(&path_a, &his.with("name", "Unprotected")).await;
    assert_eq!(conflict.status, 409);
    assert_eq!(olga.get(&path_a).await.value("name"), "Room one");
    assert_eq!(boss.submit(&path_a, &conflict.form_at("main form[method=post]")).await.status, 303);
    assert_eq!(olga.get(&path_a).await.value("name"), "Unprotected");
    assert_eq!(olga.get(&path_b).await.value("name"), "Right room");
    // What the checks rest on likewise.
    let his = boss.get(&format!("{SITE}/basis")).await.form();
    assert_eq!(basis(&mut olga, &[("wind_from", "NW")]).await.status, 303);
    let conflict = boss.submit(&format!("{SITE}/basis"), &his.with("wind_from", "90")).await;
    assert_eq!(conflict.status, 409);
    assert_eq!(olga.get(&format!("{SITE}/basis")).await.value("wind_from"), "NW");
    // A thing that was removed can't be changed, and what was typed elsewhere stays.
    let his = boss.get(&path_b).await.form();
    assert_eq!(olga.post(&format!("{path_b}/remove"), &[]).await.status, 303);
    assert_eq!(boss.submit(&path_b, &his).await.status, 404);
}

#[tokio::test]
async fn versions_are_kept_and_come_back() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (a, ..) = small_site(&mut olga).await;
    assert_eq!(olga.post(&format!("{SITE}/keep"), &[("name", "North lot")]).await.status, 303);
    olga.post(&format!("{SITE}/keep"), &[("name", "North lot")]).await;
    assert_eq!(olga.post(&format!("{SITE}/keep"), &[("name", " ")]).await.status, 400);
    assert_eq!(olga.get(SITE).await.count("#versions li"), 1, "a name is given once");
    assert_eq!(olga.post(&format!("{SITE}/items/{a}/remove"), &[]).await.status, 303);
    assert_eq!(olga.get(SITE).await.count("[data-item]"), 2);
    assert_eq!(olga.post(&format!("{SITE}/kept/1"), &[]).await.status, 303);
    assert_eq!(olga.get(SITE).await.count("[data-item]"), 3);
    // What is added next gets a number that nothing had.
    assert_eq!(add(&mut olga, "gate").await, 4);
    assert_eq!(olga.post(&format!("{SITE}/kept/7"), &[]).await.status, 404);
}

#[tokio::test]
async fn the_safety_officer_accepts_a_finding_until_it_gets_worse() {
    let test = TestApp::planned().await;
    let (mut olga, mut safety) = (test.olga().await, test.somebody(Role::SafetyOfficer).await);
    small_site(&mut olga).await;
    basis(&mut olga, &[("crowd_line", "80 ft")]).await;
    test.sql("update event set audience = 200;");
    let page = safety.get(SITE).await;
    assert_eq!(grade(&page, "capacity"), "wrong", "163 fit by hand: 110 × 20 ft, less a fifth");
    let (key, _) = finding(&page, "capacity").unwrap();
    let number = page.text(&format!("[data-finding='{key}'] .number"));
    let accept = |reason: &str| {
        [("finding", key.clone()), ("number", number.clone()), ("reason", reason.to_owned())]
            .map(|(name, value)| (name.to_owned(), value))
    };
    let send =
        |all: &[(String, String); 3]| all.iter().map(|(name, value)| (name.clone(), value.clone())).collect::<Vec<_>>();
    let fields = send(&accept("Half of them come later."));
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    // Only the safety officer decides, with a reason, and on the number that was read.
    assert_eq!(olga.post(&format!("{SITE}/accept"), &fields).await.status, 403);
    let without: Vec<(&str, &str)> = fields[..2].to_vec();
    assert_eq!(safety.post(&format!("{SITE}/accept"), &without).await.status, 400);
    let stale = [fields[0], ("number", "1 of 2"), fields[2]];
    safety.post(&format!("{SITE}/accept"), &stale).await;
    assert_eq!(grade(&safety.get(SITE).await, "capacity"), "wrong");
    assert_eq!(safety.post(&format!("{SITE}/accept"), &fields).await.status, 303);
    let page = olga.get(SITE).await;
    assert_eq!(grade(&page, "capacity"), "accepted");
    assert!(page.text(&format!("[data-finding='{key}']")).contains("Half of them come later."));
    assert!(olga.get("/events/1/journal").await.says("Half of them come later."));

    // More people than were accepted: it is open again. Fewer: it still holds.
    test.sql("update event set audience = 220;");
    assert_eq!(grade(&olga.get(SITE).await, "capacity"), "wrong");
    test.sql("update event set audience = 190;");
    assert_eq!(grade(&olga.get(SITE).await, "capacity"), "accepted");
    let back = [("finding", key.as_str()), ("act", "take back")];
    assert_eq!(safety.post(&format!("{SITE}/accept"), &back).await.status, 303);
    assert_eq!(grade(&olga.get(SITE).await, "capacity"), "wrong");
    // What isn't found anymore can't be accepted.
    test.sql("update event set audience = 20;");
    safety.post(&format!("{SITE}/accept"), &fields).await;
    assert_eq!(grade(&olga.get(SITE).await, "capacity"), "good");
}

#[tokio::test]
async fn the_checks_follow_the_date_the_hour_the_place_and_the_fire() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    small_site(&mut olga).await;
    let page = olga.get(SITE).await;
    assert_eq!(grade(&page, "no place"), "unknown");
    assert_eq!(grade(&page, "no wind"), "unknown");
    assert_eq!(grade(&page, "no heat"), "unknown");
    // In the middle of the afternoon in January, and at night.
    test.sql(
        "update event set latitude = 42.1, longitude = -94.02, burn_time = '10:00',
              burn_on = '2027-01-09', rain_on = '2027-01-16';",
    );
    let page = olga.get(SITE).await;
    assert_eq!(grade(&page, "daylight"), "good");
    let morning = finding(&page, "daylight").map(|(key, _)| page.text(&format!("[data-finding='{key}'] .number")));
    test.sql("update event set burn_time = '16:30';");
    assert_ne!(grade(&olga.get(SITE).await, "daylight"), "good");
    // Half a year later the sun sets later.
    test.sql("update event set burn_time = '10:00', burn_on = '2027-06-05', rain_on = '2027-06-12';");
    let page = olga.get(SITE).await;
    let summer = finding(&page, "daylight").map(|(key, _)| page.text(&format!("[data-finding='{key}'] .number")));
    assert_ne!(summer, morning);

    // A pinned estimate says how far the line must be.
    test.with_fire().await;
    assert_eq!(olga.post("/events/1/rooms/fire/pin", &[("setting", "1"), ("version", "1")]).await.status, 303);
    assert_eq!(grade(&olga.get(SITE).await, "no heat"), "unknown", "its fires aren't there yet");
    background::tick(&test.app).await.unwrap();
    basis(&mut olga, &[("crowd_line", "20 ft")]).await;
    assert_eq!(grade(&olga.get(SITE).await, "line"), "wrong");
    basis(&mut olga, &[("crowd_line", "300 ft")]).await;
    let page = olga.get(SITE).await;
    assert_eq!(grade(&page, "line"), "good");
    assert_eq!(grade(&page, "inside"), "wrong", "the crowd is nearer than the line now");
    // The bar counts it until it is settled.
    let counted = olga.get("/events/1").await.attributes(".places a[href$='/rooms']", "data-count");
    assert!(!counted.is_empty());
    basis(&mut olga, &[("wind_from", "360")]).await;
    assert_eq!(grade(&olga.get(SITE).await, "smoke"), "wrong", "wind from the north blows to the crowd");
    basis(&mut olga, &[("wind_from", "S")]).await;
    assert_eq!(grade(&olga.get(SITE).await, "smoke"), "good");
}

#[tokio::test]
async fn a_photo_lies_under_the_drawing_to_scale() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let photo = format!("{SITE}/photo");
    let image = [("photo", "lot.png", picture([90, 120, 60]))];
    assert_eq!(olga.post_files(&photo, &[], &image).await.status, 303);
    let page = olga.get(&photo).await;
    let form = page.form_at("form[action$='/scale']");
    let wrong = form.with("x1", "0").with("y1", "0").with("x2", "0.5").with("y2", "0").with("length", "100 ft");
    let answer = olga.submit(&format!("{SITE}/scale"), &wrong).await;
    assert_eq!(answer.status, 422);
    assert!(!answer.mistake("x2").is_empty());
    assert_eq!(answer.value("length"), "100 ft");
    let right = wrong.with("x2", "100");
    assert_eq!(olga.submit(&format!("{SITE}/scale"), &right).await.status, 303);
    add(&mut olga, "gate").await;
    let page = olga.get(SITE).await;
    assert_eq!(page.attributes("#drawing image", "href"), ["/photos/1"]);
    // Its width is 100 ft in the drawing's own units.
    let scale: f64 = page.mark("#drawing", "scale").parse().unwrap();
    let width: f64 = page.attributes("#drawing image", "width")[0].parse().unwrap();
    assert!((width * scale - 30.48).abs() < 0.05, "{width} {scale}");
    // Removed, undone, and never lost on the way.
    assert_eq!(olga.post(&format!("{photo}/remove"), &[]).await.status, 303);
    assert_eq!(olga.get(SITE).await.count("#drawing image"), 0);
    let undo = olga.get(SITE).await.form_at("form[action$='/undo']");
    olga.submit(&format!("{SITE}/undo"), &undo).await;
    assert_eq!(olga.get(SITE).await.count("#drawing image"), 1);
    assert_eq!(olga.get("/photos/1").await.status, 200);
}

/// A drawing much wider than it is high, with the sun up; and one with nothing to look at yet.
#[tokio::test]
async fn a_drawing_of_any_shape_is_shown() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.sql("update event set latitude = 42.1, longitude = -94.02, burn_time = '10:00';");
    put(&mut olga, "crowd", &[("corners", "0 ft, 0 ft\n90 ft, 0 ft\n90 ft, 20 ft")]).await;
    for path in ["", "/sheet", "/drawing.svg"] {
        let page = olga.get(&format!("{SITE}{path}")).await;
        assert!(page.status == 200 && !page.body.contains("NaN") && !page.body.contains("inf\""), "{path}");
    }
    put(&mut olga, "school or hospital", &[("x", "2500 ft"), ("y", "60 ft")]).await;
    put(&mut olga, "room A", &[("x", "100 ft"), ("y", "40 ft")]).await;
    for path in ["", "/sheet", "/drawing.svg"] {
        assert_eq!(olga.get(&format!("{SITE}{path}")).await.status, 200, "{path}");
    }
}

#[tokio::test]
async fn a_form_that_was_wrong_once_still_loses_nobodys_change() {
    let test = TestApp::planned().await;
    let (mut olga, mut boss) = (test.olga().await, test.somebody(Role::BurnBoss).await);
    let gate = add(&mut olga, "gate").await;
    let path = format!("{SITE}/items/{gate}");
    let hers = olga.get(&path).await.form();
    assert_eq!(change(&mut boss, gate, &[("name", "North gate")]).await.status, 303);
    let wrong = olga.submit(&path, &hers.with("width", "wide")).await;
    assert_eq!(wrong.status, 422);
    let conflict = olga.submit(&path, &wrong.form().with("width", "12 ft")).await;
    assert_eq!(conflict.status, 409);
    assert_eq!(boss.get(&path).await.value("name"), "North gate");
}

/// A hose through the crowd has no number to read, and can still get worse.
#[tokio::test]
async fn what_got_worse_since_it_was_read_is_not_accepted() {
    let test = TestApp::planned().await;
    let (mut olga, mut safety) = (test.olga().await, test.somebody(Role::SafetyOfficer).await);
    small_site(&mut olga).await;
    let hose = put(&mut olga, "hose line", &[("corners", "50 ft, 148 ft\n70 ft, 148 ft")]).await;
    let page = safety.get(SITE).await;
    let (key, state) = finding(&page, "hose in crowd").unwrap();
    assert_eq!(state, "wrong");
    let read = page.form_at(&format!("[data-finding='{key}'] form")).with("reason", "It is dry.");
    change(&mut olga, hose, &[("corners", "50 ft, 140 ft\n160 ft, 140 ft")]).await;
    safety.submit(&format!("{SITE}/accept"), &read).await;
    assert_eq!(grade(&safety.get(SITE).await, "hose in crowd"), "wrong");
    change(&mut olga, hose, &[("corners", "50 ft, 148 ft\n70 ft, 148 ft")]).await;
    safety.submit(&format!("{SITE}/accept"), &read).await;
    assert_eq!(grade(&safety.get(SITE).await, "hose in crowd"), "accepted");
}

/// Too quiet by 8.6 dB was accepted; too loud by 7.3 dB is less, and still something else. By
/// hand: 92 − 25.6 − 65 dB at 19 m, and 102 − 9.7 dBA at 3 m.
#[tokio::test]
async fn a_speaker_turned_up_is_a_new_finding() {
    let test = TestApp::planned().await;
    let (mut olga, mut safety) = (test.olga().await, test.somebody(Role::SafetyOfficer).await);
    small_site(&mut olga).await;
    let speaker = put(&mut olga, "speaker", &[("x", "115 ft"), ("y", "120 ft"), ("level", "92")]).await;
    let page = safety.get(SITE).await;
    let (key, state) = finding(&page, "speech").unwrap();
    assert_ne!(state, "good");
    let read = page.form_at(&format!("[data-finding='{key}'] form")).with("reason", "Everyone has a receiver.");
    safety.submit(&format!("{SITE}/accept"), &read).await;
    assert_eq!(grade(&safety.get(SITE).await, "speech"), "accepted");
    change(&mut olga, speaker, &[("level", "102")]).await;
    assert_eq!(grade(&safety.get(SITE).await, "speech"), "look");
    change(&mut olga, speaker, &[("level", "92")]).await;
    assert_eq!(grade(&safety.get(SITE).await, "speech"), "accepted");
}

/// By hand: 86 ft from the fronts, floors at 10 ft, watched 3 ft above them, rows of 3 ft 3 in
/// on level ground. C = (F − E)·T/(D + T) (practice's form of the C-value for level ground):
/// standing (3.9624 − 1.55)·0.9906/27.2034 = 87.8 mm, seated (3.9624 − 1.15)·0.9906/27.2034 =
/// 102.4 mm.
#[tokio::test]
async fn each_row_is_listed_with_what_it_sees() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    small_site(&mut olga).await;
    let page = olga.get(SITE).await;
    let first = page.all("#rows tbody tr:first-child td");
    assert_eq!(first, ["Row 2", "89 ft (27.2 m)", "3.5 in (88 mm)", "4.0 in (102 mm)"]);
    assert!(page.count("#rows tbody tr") > 5);
}

/// A random life of the drawing: whatever is pressed, undo and redo lead through the same
/// states, and no number is given twice.
#[tokio::test]
async fn undo_and_redo_lead_through_a_random_life() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let mut seed: u64 = 20_261_130;
    let mut roll = move |sides: u64| {
        // A linear congruential generator (Knuth's MMIX), so that the life is the same each time.
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) % sides
    };
    // What the drawing was after each change, and where it is now.
    let (mut states, mut here) = (vec![Vec::new()], 0);
    let mut given: Vec<String> = Vec::new();
    for step in 0..70 {
        let page = olga.get(SITE).await;
        let shown: Vec<String> = page.attributes("[data-item]", "data-item");
        let things: Vec<String> =
            shown.iter().zip(page.attributes("[data-item]", "data-at")).map(|(id, at)| format!("{id} {at}")).collect();
        let mut sorted = things.clone();
        sorted.sort();
        assert_eq!(sorted, states[here], "step {step}");
        assert_eq!(page.has("#undo"), here > 0, "step {step}");
        assert_eq!(page.has("#redo"), here + 1 < states.len(), "step {step}");
        let chosen = shown.get(usize::try_from(roll(7)).unwrap());
        match (roll(10), chosen) {
            (0..=2, _) => {
                if page.has("#undo") {
                    olga.submit(&format!("{SITE}/undo"), &page.form_at("form[action$='/undo']")).await;
                    here -= 1;
                }
                continue;
            }
            (3, _) => {
                if page.has("#redo") {
                    olga.submit(&format!("{SITE}/redo"), &page.form_at("form[action$='/redo']")).await;
                    here += 1;
                }
                continue;
            }
            (4..=5, Some(item)) => {
                let version = page.attributes(&format!("#item-{item}"), "data-version")[0].clone();
                let at = format!("{},{}", 1 + roll(60), 1 + roll(40));
                let to = [("at", at.as_str()), ("version", version.as_str())];
                assert_eq!(olga.post(&format!("{SITE}/items/{item}/move"), &to).await.status, 303);
            }
            (6, Some(item)) => {
                assert_eq!(olga.post(&format!("{SITE}/items/{item}/remove"), &[]).await.status, 303);
            }
            _ => {
                let new = add(&mut olga, "vehicle").await.to_string();
                assert!(!given.contains(&new), "step {step}: {new} was given before");
                given.push(new);
            }
        }
        let page = olga.get(SITE).await;
        let mut now: Vec<String> = page
            .attributes("[data-item]", "data-item")
            .iter()
            .zip(page.attributes("[data-item]", "data-at"))
            .map(|(id, at)| format!("{id} {at}"))
            .collect();
        now.sort();
        states.truncate(here + 1);
        states.push(now);
        here += 1;
    }
    assert!(given.len() > 10 && states.len() > 5);
}

#[tokio::test]
async fn readers_look_and_change_nothing() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (a, ..) = small_site(&mut olga).await;
    let before = olga.get(SITE).await.attributes("[data-item]", "data-at");
    for role in [Role::Reader, Role::Timekeeper, Role::InformationOfficer, Role::CrewLead] {
        let mut other = test.somebody(role).await;
        let page = other.get(SITE).await;
        assert_eq!(page.status, 200);
        assert!(page.has("#drawing .mark") && !page.has("#drawing a"));
        assert_eq!(page.count(&format!("main form[action^='{SITE}']")), 0);
        assert_eq!(other.get(&format!("{SITE}/items/{a}")).await.status, 403);
        for path in ["items", "undo", "redo", "keep", "basis", "scale", "accept", "photo/remove"] {
            let answer = other.post(&format!("{SITE}/{path}"), &[("kind", "gate"), ("name", "x")]).await;
            assert_eq!(answer.status, 403, "{role} {path}");
        }
    }
    assert_eq!(olga.get(SITE).await.attributes("[data-item]", "data-at"), before);
}

#[tokio::test]
async fn the_drawing_is_a_file_and_a_sheet_at_the_same_scale() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    small_site(&mut olga).await;
    let file = olga.get(&format!("{SITE}/drawing.svg")).await;
    assert_eq!(file.header("content-type"), "image/svg+xml");
    let (head, _) = file.body.split_once("<title>").unwrap();
    let sheet = olga.get(&format!("{SITE}/sheet")).await;
    // By hand: 75 × 55 m are 246.06 × 180.45 ft. At 30 ft to the inch it would be 6.01 in high,
    // more than the sheet has; at 40 ft it is 6.152 in wide.
    assert_eq!(sheet.attributes(".sitesheet svg", "width"), ["6.152in"]);
    assert!(head.contains("width=\"6.152in\""), "{head}");
    assert!(sheet.text("#ratio").contains("1:480"));
}
