//! Loans: asked for, handed over, brought back, in what condition.

use crate::support::{Answer, Browser, Filled, NOW, TestApp, picture, plan};
use burnday::accounts::Role;
use burnday::{asks, reminders};
use time::macros::datetime;
use time::{Duration, OffsetDateTime};

const LIST: &str = "/events/1/loans";
const NEW: &str = "/events/1/loans/new";
const CLOCK: &str = "/events/1/loans/1";
/// Burn day is Sat 5 June 2027; Monday morning after it.
const AFTER: OffsetDateTime = datetime!(2027-06-07 14:00 UTC);

impl TestApp {
    /// The school's clock, lent by Coach Bell; gives the number of the lender.
    pub async fn clock(&self) -> i64 {
        let coach = self.person("Coach Bell", "coach@example.org").await;
        let mut olga = self.olga().await;
        let edit = format!("/people/{coach}/edit");
        let form = olga.get(&edit).await.form().with("organisation", "Alder Bend Middle School");
        assert_eq!(olga.submit(&edit, &form).await.status, 303);
        let form = clock(&mut olga, coach).await;
        add(&mut olga, &form).await;
        coach
    }
}

async fn clock(olga: &mut Browser, lender: i64) -> Filled {
    let form = olga.get(NEW).await.form().with("what", "sports clock").with("kind", "clock").with("serial", "AB-0412");
    let form = form.with("lender", &lender.to_string()).and("is_school", "yes").with("keeper", "Olga Wren");
    let form = form.with("burn_free", "free").with("burn_from", "2027-06-03").with("burn_until", "2027-06-07");
    let form = form.with("checks", "screen: whole\npower: working").with("accessories", "remote: 1\ncable: 3");
    form.with("collect_place", "Gym door").with("collect_time", "15:30").with("distance", "60")
}

async fn add(olga: &mut Browser, form: &Filled) -> String {
    let answer = olga.submit(NEW, form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    answer.location().to_owned()
}

async fn note(olga: &mut Browser, step: &str, date: &str) -> Answer {
    let fields = [("step", step), ("date", date), ("on", "2026-11-24"), ("who", "Coach Bell"), ("note", "by letter")];
    olga.post(&format!("{CLOCK}/steps"), &fields).await
}

/// A record that can be kept: what is said of the screen, and how many remotes.
fn handing<'a>(on: &'a str, screen: &'a str, words: &'a str, remotes: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("check-0", screen),
        ("words-0", words),
        ("check-1", "well"),
        ("count-0", remotes),
        ("count-1", "3"),
        ("given_by", "Coach Bell"),
        ("taken_by", "Tomás Brandt"),
        ("on", on),
        ("at", "15:40"),
        ("notes", "Strap is frayed"),
    ]
}

async fn hand_over(olga: &mut Browser, on: &str) {
    let answer = olga.post_files(&format!("{CLOCK}/hand-over"), &handing(on, "well", "", "1"), &[]).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
}

async fn give_back(olga: &mut Browser, on: &str) {
    let record = handing(on, "otherwise", "scratched", "0");
    let answer = olga.post_files(&format!("{CLOCK}/return"), &record, &[]).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
}

/// Olga, who signs in anew on a later day.
async fn at(test: &TestApp, now: OffsetDateTime) -> Browser {
    test.at(now);
    test.olga().await
}

fn mails(test: &TestApp) -> Vec<String> {
    let rows = test.dump();
    rows.lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).map(str::to_owned).collect()
}

#[tokio::test]
async fn a_clock_goes_from_asked_to_closed() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get(LIST).await.says("Nothing is borrowed yet."));
    test.clock().await;
    let page = olga.get(CLOCK).await;
    assert!(page.says("not asked yet") && page.says("Alder Bend Middle School (Coach Bell), a school"));
    assert!(page.says("Thu 3 Jun 2027, 15:30 · Gym door"), "{}", page.text("main"));
    assert!(page.says("60 ft (18 m) from the rooms; nothing borrowed goes into a room that burns"));
    assert_eq!(page.all("a.main"), ["Ask for it"]);

    let ask = format!("{CLOCK}/ask");
    let form = olga.get(&ask).await.form();
    let look = olga.submit(&ask, &form.clone().and("act", "see")).await;
    let letter = look.text(".letter");
    for says in ["sports clock, serial number AB-0412", "Thu 3 Jun 2027 to Mon 7 Jun 2027", "18 m"] {
        assert!(letter.contains(says), "{says}: {letter}");
    }
    assert!(mails(&test).is_empty(), "looking sends nothing");
    assert_eq!(olga.submit(&ask, &form.clone().and("act", "ask")).await.location(), CLOCK);
    assert!(olga.get(CLOCK).await.text("#said").contains("Coach Bell is asked by mail."));
    olga.submit(&ask, &form.and("act", "ask")).await;
    assert_eq!(mails(&test).len(), 1, "pressed twice, asked once");
    assert!(olga.get(&ask).await.says("It has been asked for."));
    assert!(olga.get(LIST).await.says("asked"));

    let request = asks::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!(request.asks.len(), 2, "both dates");
    for (ask, said) in request.asks.iter().zip(["yes", "no"]) {
        let say = format!("{} {said}", ask.id);
        assert_eq!(test.stranger().post(&test.answer_path(1), &[("say", &say)]).await.status, 303);
    }
    let page = olga.get(CLOCK).await;
    assert!(page.says("promised") && page.says("said yes for Sat 5 Jun") && page.says("said no for Sat 12 Jun"));
    assert!(page.says("Sports clock: not free on the rain date, Sat 12 Jun"), "{}", page.text("main"));

    assert_eq!(note(&mut olga, "confirmed in writing", "burn day").await.status, 303);
    assert!(olga.get(CLOCK).await.says("confirmed in writing"));
    assert_eq!(note(&mut olga, "promised", "burn day").await.status, 422, "it only goes forward");
    assert_eq!(note(&mut olga, "collected", "").await.status, 422, "that is noted by its condition record");

    hand_over(&mut olga, "2026-11-25").await;
    let page = olga.get(CLOCK).await;
    assert_eq!(page.all("a.main"), ["Bring it back"]);
    assert_eq!(note(&mut olga, "tested", "").await.status, 303);
    assert!(olga.get(LIST).await.says("tested"));
    give_back(&mut olga, "2026-11-25").await;
    let page = olga.get(CLOCK).await;
    assert!(page.says("screen: was whole, now scratched") && page.says("remote: 1 handed over, 0 returned"));
    assert!(page.says("damaged, something missing"));
    assert_eq!(page.all("a.main"), ["Write to the lender"]);
    assert_eq!(note(&mut olga, "closed", "").await.status, 303);
    assert!(olga.get(LIST).await.text("main").contains("Over 1"));
}

#[tokio::test]
async fn what_was_noted_last_is_taken_back_and_nothing_before_it() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    note(&mut olga, "promised", "burn day").await;
    note(&mut olga, "confirmed in writing", "burn day").await;
    olga.post(&format!("{CLOCK}/steps/1/back"), &[]).await;
    assert!(olga.get(CLOCK).await.text("#said").contains("only what was noted last"));
    olga.post(&format!("{CLOCK}/steps/2/back"), &[]).await;
    let page = olga.get(CLOCK).await;
    assert!(page.text("#said").contains("It is taken back."));
    assert!(page.all(".list del").iter().any(|gone| gone.starts_with("confirmed in writing")));
    assert!(olga.get(LIST).await.says("promised"));
    hand_over(&mut olga, "2026-11-25").await;
    olga.post(&format!("{CLOCK}/steps/3/back"), &[]).await;
    assert!(olga.get(&format!("{CLOCK}/condition")).await.says("Nothing is on record yet."));
    hand_over(&mut olga, "2026-11-25").await;
    assert_eq!(olga.post(&format!("{CLOCK}/steps/99/back"), &[]).await.status, 404);
}

#[tokio::test]
async fn a_promise_holds_for_its_date_alone() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    note(&mut olga, "confirmed in writing", "burn day").await;
    let to_a_new_day = olga.get("/events/1/move?burn_on=2027-06-19&rain_on=").await;
    assert!(to_a_new_day.says("Sports clock: ask again about Sat 19 Jun 2027"), "{}", to_a_new_day.text("main"));

    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().with("rain_free", "free").with("rain_from", "2027-06-10");
    assert_eq!(olga.submit(&edit, &form.with("rain_until", "2027-06-14")).await.status, 303);
    let to_the_rain_date = olga.get("/events/1/move?burn_on=2027-06-12&rain_on=").await;
    let says = to_the_rain_date.text("main");
    assert!(
        says.contains("Sports clock: back on Mon 14 Jun 2027")
            && says.contains("Mon 14 Jun 2027 instead of Mon 7 Jun 2027"),
        "{says}"
    );

    let form = olga.get(&edit).await.form().with("rain_free", "not free").with("rain_from", "").with("rain_until", "");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    let to_the_rain_date = olga.get("/events/1/move?burn_on=2027-06-12&rain_on=").await;
    assert!(to_the_rain_date.says("Sports clock: not free on Sat 12 Jun"));
    assert!(to_the_rain_date.says("no backup is named"));

    let moved = [("burn_on", "2027-06-19"), ("rain_on", ""), ("chosen", "yes"), ("version", "1")];
    assert_eq!(olga.post("/events/1/move", &moved).await.status, 303);
    let page = olga.get(CLOCK).await;
    assert!(page.text("main p b").contains("not asked yet"), "{}", page.text("main"));
    assert!(page.says("confirmed in writing for Sat 5 Jun 2027, which is no date of the burn any more"));
}

#[tokio::test]
async fn what_there_is_only_one_of_needs_a_backup() {
    let test = TestApp::planned().await;
    let coach = test.clock().await;
    let mut olga = test.olga().await;
    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().and("is_single", "yes");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    assert!(olga.get(LIST).await.text(".note").contains("Sports clock: no backup."));
    let mut near = at(&test, datetime!(2027-05-24 15:00 UTC)).await;
    assert!(near.get("/events/1").await.says("Name a backup: Sports clock"));
    let mut olga = at(&test, NOW).await;

    let timers = olga.get(NEW).await.form().with("what", "hand timers").with("kind", "timers");
    add(&mut olga, &timers.with("lender", &coach.to_string())).await;
    let form = olga.get(&edit).await.form();
    let own = olga.submit(&edit, &form.clone().with("backup_id", "1")).await;
    assert!(own.says("Choose another thing of this event."));
    assert_eq!(olga.submit(&edit, &form.with("backup_id", "2")).await.status, 303);
    assert!(olga.get(CLOCK).await.says("Backup hand timers"));
    assert_eq!(olga.get(LIST).await.all(".note").len(), 0);

    let gone = [("step", "not lent"), ("on", "2026-11-24"), ("who", "Coach Bell")];
    assert_eq!(olga.post("/events/1/loans/2/steps", &gone).await.status, 303);
    assert!(olga.get(LIST).await.text(".note").contains("Sports clock: no backup."), "it isn't lent after all");
}

#[tokio::test]
async fn one_thing_at_two_events_on_the_same_days_is_told_to_both() {
    let test = TestApp::planned().await;
    let coach = test.clock().await;
    plan(&test.app).await;
    let mut olga = test.olga().await;
    let other = "/events/2/loans/new";
    let form = clock(&mut olga, coach).await;
    assert_eq!(olga.submit(other, &form.clone().with("serial", "another")).await.status, 303);
    assert_eq!(olga.get(LIST).await.all(".note").len(), 0, "another clock of the same school");
    assert_eq!(olga.submit(other, &form.with("serial", " ab-0412")).await.status, 303);
    for list in [LIST, "/events/2/loans"] {
        let note = olga.get(list).await.text(".note");
        assert!(note.contains("Sports clock: wanted by two events at once."), "{list}: {note}");
        assert!(note.contains("from Thu 3 Jun 2027 to Mon 7 Jun 2027"), "{note}");
    }
    assert!(olga.get(CLOCK).await.says("Also in Two Rooms, One Spark"));

    // The other event moves to days that lie behind these.
    let moved = [("burn_on", "2027-06-19"), ("rain_on", ""), ("chosen", "yes"), ("version", "1")];
    assert_eq!(olga.post("/events/2/move", &moved).await.status, 303);
    assert_eq!(olga.get(LIST).await.all(".note").len(), 0);
}

/// The calendar is the federal one with the department's closed days: Mon 7 June
/// 2027 is open, so it is the next working day after Sat 5 June.
#[tokio::test]
async fn a_schools_things_go_back_on_the_next_working_day_and_others_as_agreed() {
    let test = TestApp::planned().await;
    let coach = test.clock().await;
    let mut olga = test.olga().await;
    assert!(olga.get(LIST).await.says("goes back Mon 7 Jun"));
    let closed = [("on", "2027-06-07"), ("reason", "Founders' Day")];
    assert_eq!(olga.post("/settings/closed-days", &closed).await.status, 303);
    assert!(olga.get(LIST).await.says("goes back Tue 8 Jun"));

    let form = clock(&mut olga, coach).await.without("is_school").with("burn_return", "2027-06-06");
    let other = add(&mut olga, &form.with("what", "barriers").with("serial", "")).await;
    assert!(olga.get(&other).await.says("Sun 6 Jun 2027 (as agreed)"), "{}", olga.get(&other).await.text("main"));
}

#[tokio::test]
async fn what_is_not_back_is_due_on_burn_day_evening_and_the_officers_two_days_after() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let crew = test.somebody(Role::CrewLead).await;
    drop(crew);
    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().with("keeper", "Somebody, crew lead");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    hand_over(&mut olga, "2026-11-25").await;
    let line = "Bring back: Sports clock";
    // Noon, then half past six in the evening, at the place of the burn.
    let mut olga = at(&test, datetime!(2027-06-05 17:00 UTC)).await;
    assert!(!olga.get("/events/1").await.says(line));
    test.at(datetime!(2027-06-05 23:30 UTC));
    let page = olga.get("/events/1?who=").await;
    let due = page.all(".press > li").into_iter().find(|due| due.contains(line)).unwrap();
    assert!(due.contains("Somebody, crew lead"), "{due}");
    assert!(olga.get("/events/1/lists").await.says(line), "it is on the printed lists");
    let mut olga = at(&test, AFTER + Duration::DAY).await;
    let page = olga.get("/events/1?who=").await;
    let due = page.all(".press > li").into_iter().find(|due| due.contains(line)).unwrap();
    assert!(due.contains("Olga Wren") && due.contains("1 day late"), "{due}");
    let list = olga.get(LIST).await;
    assert!(list.text("h2").starts_with("Late"), "late ones come first");
    assert!(list.says("1 day late, was due Mon 7 Jun"), "{}", list.text("main"));
    give_back(&mut olga, "2027-06-08").await;
    assert!(!olga.get("/events/1?who=").await.says(line));
    assert!(olga.get("/events/1?who=").await.says("Settle with the lender: Sports clock"));
}

fn reminded(test: &TestApp, about: &str) -> Vec<String> {
    mails(test).into_iter().filter(|mail| mail.contains("'reminder'") && mail.contains(about)).collect()
}

#[tokio::test]
async fn whoever_answers_for_it_is_reminded_and_stops_being_once_it_is_back() {
    let test = TestApp::planned().await;
    test.clock().await;
    test.person("Rae Lund", "rae@example.org").await;
    let mut olga = test.olga().await;
    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().with("keeper", "Rae Lund");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    hand_over(&mut olga, "2026-11-25").await;
    let goes_back = "Sports clock goes back to Alder Bend Middle School (Coach Bell) by Mon 7 Jun 2027.";
    // A quarter to six and a quarter past six in the evening.
    test.at(datetime!(2027-06-05 22:45 UTC));
    reminders::tick(&test.app).await.unwrap();
    assert_eq!(reminded(&test, goes_back).len(), 0);
    for minutes in [15, 16] {
        test.at(datetime!(2027-06-05 23:00 UTC) + Duration::minutes(minutes));
        reminders::tick(&test.app).await.unwrap();
    }
    let all = reminded(&test, goes_back);
    assert_eq!(all.len(), 1, "once: {all:?}");
    assert!(all[0].contains("'rae@example.org'") && all[0].contains("/events/1/loans/1"));
    let mut olga = at(&test, datetime!(2027-06-06 01:00 UTC)).await;
    give_back(&mut olga, "2027-06-05").await;
    test.at(datetime!(2027-06-06 15:00 UTC));
    reminders::tick(&test.app).await.unwrap();
    assert_eq!(reminded(&test, goes_back).len(), 1, "it is back");
}

#[tokio::test]
async fn the_lenders_reminder_says_how_things_stand_now() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let ask = format!("{CLOCK}/ask");
    let form = olga.get(&ask).await.form().and("act", "ask");
    olga.submit(&ask, &form).await;
    let asks = asks::find(test.app.db.read(), 1).await.unwrap().unwrap().asks;
    test.stranger().post(&test.answer_path(1), &[("say", &format!("{} yes", asks[0].id))]).await;
    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().with("collect_place", "Back door of the gym");
    olga.submit(&edit, &form.with("collect_by", "Tomás Brandt")).await;
    // Five days before burn day, at nine.
    test.at(datetime!(2027-05-31 14:00 UTC));
    reminders::tick(&test.app).await.unwrap();
    let all = reminded(&test, "coach@example.org");
    assert_eq!(all.len(), 1, "{all:?}");
    for says in ["Thu 3 Jun 2027, 15:30 · Back door of the gym · Tomás Brandt drives", "Mon 7 Jun 2027", "18 m"] {
        assert!(all[0].contains(says), "{says}: {}", all[0]);
    }
}

#[tokio::test]
async fn what_was_typed_stays_and_each_line_says_what_it_needs() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let path = format!("{CLOCK}/hand-over");
    let empty = olga.post_files(&path, &[], &[]).await;
    assert_eq!(empty.status, 422);
    assert_eq!(empty.all(".mistake").len(), 8, "{:?}", empty.all(".mistake"));
    let mut record = handing("2026-11-26", "otherwise", "", "many");
    record.retain(|(name, _)| *name != "check-1");
    let page = olga.post_files(&path, &record, &[]).await;
    assert_eq!(page.status, 422);
    for says in ["Say how it is if it isn't whole", "Choose one of the three.", "0 if there are none", "still to come"]
    {
        assert!(page.says(says), "{says}: {}", page.text("main"));
    }
    assert_eq!((page.value("given_by"), page.value("count-1")), ("Coach Bell".to_owned(), "3".to_owned()));
    assert!(page.text("textarea").contains("Strap is frayed"));
    assert_eq!(before, test.dump());
}

/// Files that are no photograph, or none that fits.
fn bad_files() -> Vec<(&'static str, Vec<u8>)> {
    let mut half = picture([10, 120, 200]);
    half.truncate(half.len() / 2);
    // Ten thousand by ten thousand pixels in 70 bytes: a PNG's header (RFC 2083,
    // section 4.1.1) with its checksum, and no more.
    let mut header = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    header.extend(10_000_u32.to_be_bytes());
    header.extend(10_000_u32.to_be_bytes());
    header.extend([8, 2, 0, 0, 0]);
    header.extend(crc(&header[12..]).to_be_bytes());
    header.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e\0\0\0\0IEND\xae\x42\x60\x82");
    let mut heic = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec();
    heic.extend([0; 200]);
    vec![
        ("half.jpg", half),
        ("huge.png", header),
        ("phone.heic", heic),
        (
            "old.gif",
            b"GIF89a\x01\0\x01\0\x80\0\0\0\0\0\xff\xff\xff!\xf9\x04\0\0\0\0\0,\0\0\0\0\x01\0\x01\0\0\x02\x02D\x01\0;"
                .to_vec(),
        ),
        ("drawn.svg", b"<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>".to_vec()),
        ("page.jpg", b"<!doctype html><script>alert(1)</script>".to_vec()),
        ("empty.jpg", Vec::new()),
    ]
}

/// The checksum of PNG chunks: CRC-32 as ISO 3309 has it (RFC 2083, section 3.4).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 })
    })
}

#[tokio::test]
async fn a_photo_that_is_none_is_refused_by_name_and_the_rest_stays() {
    assert_eq!(crc(b"IEND"), 0xae42_6082, "as every PNG ends");
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let path = format!("{CLOCK}/hand-over");
    for (name, bytes) in bad_files() {
        let files = [("photo-0", "good.jpg", picture([200, 60, 20])), ("photo-2", name, bytes)];
        let page = olga.post_files(&path, &handing("2026-11-25", "well", "", "1"), &files).await;
        assert_eq!(page.status, 422, "{name}");
        assert_eq!(page.all(".mistake").len(), 1, "{name}: {:?}", page.all(".mistake"));
        assert!(!page.text("#photo-2-mistake").is_empty(), "{name}");
        assert_eq!(page.value("given_by"), "Coach Bell", "{name}");
        assert!(page.text("textarea").contains("Strap is frayed"), "{name}");
        assert_eq!(page.attributes("input[value=well][checked]", "name"), ["check-0", "check-1"], "{name}");
        assert_eq!(page.value("photo-0_kept").len(), 64, "{name}: the good one is kept");
    }
    assert!(!test.dump().contains("INSERT INTO loan_photo"));
    let files = [("photo-2", "bad.gif", bad_files().remove(3).1)];
    let page = olga.post_files(&path, &handing("2026-11-25", "well", "", "1"), &files).await;
    assert_eq!(page.status, 422);
    let mut again = handing("2026-11-25", "well", "", "1");
    let kept = olga
        .post_files(&path, &handing("2026-11-25", "well", "", "x"), &[("photo-0", "good.jpg", picture([1, 2, 3]))])
        .await
        .value("photo-0_kept");
    again.push(("photo-0_kept", &kept));
    let side = [("photo-3", "side.jpg", picture([9, 9, 90]))];
    assert_eq!(olga.post_files(&path, &again, &side).await.status, 303);
    let page = olga.get(&format!("{CLOCK}/condition")).await;
    assert_eq!(
        page.attributes(".shots img", "alt"),
        [
            "sports clock, serial number AB-0412, front, handed over",
            "sports clock, serial number AB-0412, right side, handed over"
        ]
    );
    let photo = page.attributes(".shots a", "href")[0].clone();
    let shown = olga.get(&photo).await;
    assert_eq!(shown.header("content-type"), "image/jpeg");
}

#[tokio::test]
async fn the_return_shows_what_was_found_and_ticks_nothing() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    assert!(olga.get(&format!("{CLOCK}/return")).await.says("It isn't here yet: first comes the hand-over."));
    let early = olga.post_files(&format!("{CLOCK}/return"), &handing("2026-11-25", "well", "", "1"), &[]).await;
    assert_eq!(early.status, 422);
    hand_over(&mut olga, "2026-11-24").await;
    let page = olga.get(&format!("{CLOCK}/return")).await;
    assert!(page.says("screen was whole") && page.says("remote 1 handed over"), "{}", page.text("main"));
    assert!(page.attributes("input[checked]", "name").is_empty());
    assert_eq!(page.value("count-0"), "");
    let before = olga.post_files(&format!("{CLOCK}/return"), &handing("2026-11-23", "well", "", "1"), &[]).await;
    assert!(before.says("This is before it was handed over to us."));
    let again = olga.post_files(&format!("{CLOCK}/hand-over"), &handing("2026-11-25", "well", "", "1"), &[]).await;
    assert_eq!(again.status, 422);
    assert!(again.says("It has been handed over to us already."));
    let back = olga.post_files(&format!("{CLOCK}/return"), &handing("2026-11-25", "well", "", "1"), &[]).await;
    assert_eq!(back.status, 303);
    assert!(olga.get(&format!("{CLOCK}/condition")).await.says("It came back as it went out."));
}

#[tokio::test]
async fn the_lender_is_written_to_once_in_the_words_of_the_officer() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    hand_over(&mut olga, "2026-11-24").await;
    give_back(&mut olga, "2026-11-25").await;
    let path = format!("{CLOCK}/letter");
    let drafted = olga.get(&path).await.text("textarea");
    assert!(drafted.contains("- screen: was whole, now scratched - remote: 1 handed over, 0 returned"), "{drafted}");
    let own = "The screen is scratched and the remote is missing.\n\nWe pay for both.";
    let letter = [("about", "its condition"), ("text", own), ("act", "mail")];
    assert_eq!(olga.post(&path, &[("about", "its condition"), ("text", own), ("act", "see")]).await.status, 200);
    assert!(mails(&test).is_empty());
    assert_eq!(olga.post(&path, &[("text", " "), ("act", "mail")]).await.status, 422);
    assert_eq!(olga.post(&path, &letter).await.location(), CLOCK);
    let all = mails(&test);
    assert_eq!(all.len(), 1);
    assert!(all[0].contains("'coach@example.org'") && all[0].contains("We pay for both."), "{}", all[0]);
    let page = olga.get(CLOCK).await;
    assert!(page.says("about its condition, mail"), "{}", page.text("main"));
    assert_eq!(page.all("a.main"), [""; 0], "nothing is left to be done first");

    let mut olga = at(&test, AFTER + Duration::DAY).await;
    let late = format!("{path}?about=its%20return");
    assert!(olga.get(&late).await.status == 200);
    let unsaid = [("about", "its return"), ("text", "It comes back on [day and time]."), ("act", "mail")];
    assert!(olga.post(&path, &unsaid).await.says("Put the day and time in place of the words in brackets."));
}

#[tokio::test]
async fn an_old_edit_is_shown_beside_the_new_one() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let edit = format!("{CLOCK}/edit");
    let old = olga.get(&edit).await.form();
    assert_eq!(olga.submit(&edit, &old.clone().with("power", "120 V, 3 A")).await.status, 303);
    let page = olga.submit(&edit, &old.with("power", "240 V")).await;
    assert_eq!(page.status, 409);
    assert!(page.says("120 V, 3 A") && page.says("240 V"));
    assert!(olga.get(CLOCK).await.says("120 V, 3 A"));
}

#[tokio::test]
async fn labels_lead_to_the_thing_in_its_own_event() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/loans/labels").await;
    assert_eq!(page.attributes(".tag svg", "role"), ["img"]);
    assert!(page.text(".tag").contains("Belongs to Alder Bend Middle School (Coach Bell)"));
    assert!(!page.body.contains("<?xml"));
    assert_eq!(olga.get("/loans/1").await.location(), CLOCK);
    assert_eq!(olga.get("/loans/99").await.status, 404);
    assert!(test.stranger().get("/loans/1").await.location().starts_with("/sign-in?next=/loans/1"));
}

#[tokio::test]
async fn the_agreement_says_what_is_not_agreed() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let page = olga.get(&format!("{CLOCK}/agreement")).await;
    assert!(page.says("Not agreed yet: its value, who insures it."), "{}", page.text("main"));
    let paper = page.text(".paper");
    for says in [
        "Nothing borrowed goes into a room that burns",
        "60 ft (18 m) from the rooms",
        "It is back by Mon 7 Jun 2027, the lender's next working day after the burn.",
        "Have your counsel look at this wording.",
        "For Alder Bend Middle School",
        "For Alder Bend Fire District",
    ] {
        assert!(paper.contains(says), "{says}: {paper}");
    }
}

#[tokio::test]
async fn loans_go_along_when_two_become_one_and_come_back() {
    let test = TestApp::planned().await;
    let coach = test.clock().await;
    let other = test.person("Bell, Coach", "").await;
    let mut olga = test.olga().await;
    let version = olga.get(&format!("/people/{coach}/edit")).await.value("version");
    let fields = [("with", coach.to_string()), ("version", "1".to_owned()), ("with_version", version)];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{other}/merge"), &fields).await.status, 303);
    assert!(olga.get(LIST).await.says("Bell, Coach"), "{}", olga.get(LIST).await.text("main"));
    let entry = olga.get(&format!("/people/{other}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{other}/separate"), &[("entry", &entry)]).await.status, 303);
    assert!(olga.get(LIST).await.says("(Coach Bell)"));
}

#[tokio::test]
async fn whoever_is_forgotten_is_in_no_loan_any_more() {
    let test = TestApp::planned().await;
    let lender = test.person("Zeb Vantongeren", "zeb@example.org").await;
    let mut olga = test.olga().await;
    let form = clock(&mut olga, lender).await.without("is_school").with("their", "Zeb Vantongeren");
    let form = form
        .with("keeper", "Zeb Vantongeren")
        .with("collect_by", "Zeb Vantongeren")
        .with("return_by", "Zeb Vantongeren");
    add(&mut olga, &form.with("operator", "Zeb Vantongeren").with("notes", "Secretnote")).await;
    let step = [
        ("step", "promised"),
        ("date", "burn day"),
        ("on", "2026-11-24"),
        ("who", "Zeb Vantongeren"),
        ("note", "Secretnote"),
    ];
    assert_eq!(olga.post(&format!("{CLOCK}/steps"), &step).await.status, 303);
    let mut record = handing("2026-11-24", "well", "", "1");
    record.retain(|(name, _)| !["given_by", "notes"].contains(name));
    record.extend([("given_by", "Zeb Vantongeren"), ("notes", "Secretnote")]);
    assert_eq!(olga.post_files(&format!("{CLOCK}/hand-over"), &record, &[]).await.status, 303);
    give_back(&mut olga, "2026-11-25").await;
    let letter = [("about", "its condition"), ("text", "Dear Zeb Vantongeren, Secretnote"), ("act", "mail")];
    assert_eq!(olga.post(&format!("{CLOCK}/letter"), &letter).await.status, 303);
    assert!(test.dump().contains("Secretnote"));
    let forget = olga.post(&format!("/people/{lender}/forget"), &[("version", "1")]).await;
    assert_eq!(forget.status, 303, "{}", forget.text("main"));
    let dump = test.dump();
    for secret in ["Zeb", "Vantongeren", "Secretnote", "zeb@example.org"] {
        let line = dump.lines().find(|line| line.contains(secret));
        assert_eq!(line, None, "{secret}");
    }
    assert!(olga.get(CLOCK).await.says(&format!("Forgotten person {lender}")));
}

#[tokio::test]
async fn the_lender_is_thanked_once_it_is_back() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    hand_over(&mut olga, "2026-11-24").await;
    let mut olga = at(&test, AFTER).await;
    let thanks = "/events/1/guests/thanks";
    assert!(!olga.get(thanks).await.says("lending sports clock"));
    give_back(&mut olga, "2027-06-07").await;
    assert!(olga.get(thanks).await.says("lending sports clock"), "{}", olga.get(thanks).await.text("main"));
}

#[tokio::test]
async fn a_thing_of_another_event_is_not_found() {
    let test = TestApp::planned().await;
    test.clock().await;
    plan(&test.app).await;
    let mut olga = test.olga().await;
    for end in ["", "/edit", "/ask", "/hand-over", "/return", "/condition", "/agreement", "/letter"] {
        assert_eq!(olga.get(&format!("/events/2/loans/1{end}")).await.status, 404, "{end}");
    }
    assert_eq!(
        olga.post_files("/events/2/loans/1/return", &handing("2026-11-25", "well", "", "1"), &[]).await.status,
        404
    );
}
