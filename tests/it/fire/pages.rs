//! The fire's pages: what they rest on, comparing, pinning, heat and water.

use crate::support::{Answer, Browser, TestApp};
use burnday::accounts::Role;
use burnday::{background, fire};

const FIRE: &str = "/events/1/rooms/fire";
const HEAT: &str = "/events/1/rooms/heat";
const NEW: &str = "/events/1/rooms/fire/settings/new";
const EDIT: &str = "/events/1/rooms/fire/settings/1";

/// A basket, a curtain, and an armchair in the usual room.
const ITEMS: [(&str, [&str; 4]); 3] = [
    ("wastebasket", ["wastebasket", "5 to 20", "25 to 100", "15 to 45"]),
    ("curtain", ["curtain", "5 to 25", "100 to 250", "12 to 30"]),
    ("armchair", ["armchair", "15 to 60", "1000 to 2500", "75 to 150"]),
];

impl TestApp {
    /// Adds a setting, number 1, and an earlier burn, number 1.
    pub async fn with_fire(&self) {
        let mut olga = self.olga().await;
        save(&mut olga, NEW, &[]).await;
        let burn = [("name", "Open house"), ("burned_on", "10/3/2026"), ("alarm", "0:24"), ("flashover", "3:10")];
        assert_eq!(olga.post("/events/1/rooms/fire/earlier", &burn).await.status, 303);
    }
}

/// Fills the form in and sends it.
async fn send(olga: &mut Browser, path: &str, fields: &[(&str, &str)]) -> Answer {
    let mut form = olga.get(path).await.form();
    for (column, name) in ["kind", "delay", "peak", "rise"].into_iter().enumerate() {
        form = form.without(name);
        for (_, values) in ITEMS {
            form = form.and(name, values[column]);
        }
    }
    for (name, value) in fields {
        form = form.with(name, value);
    }
    olga.submit(path, &form).await
}

async fn save(olga: &mut Browser, path: &str, fields: &[(&str, &str)]) -> String {
    let answer = send(olga, path, fields).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    answer.location().to_owned()
}

/// A time's cell, as in "0:31 to 0:56".
fn inner(page: &Answer, time: &str) -> String {
    page.text(&format!("#times [data-time={time}] td:nth-child(3)"))
}

#[tokio::test]
async fn the_room_lists_say_what_burns() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get(FIRE).await.has("[data-empty=fire]"));
    assert!(olga.get(HEAT).await.has("[data-empty=heat]"));
    assert_eq!(olga.post("/events/1/rooms/template", &[]).await.status, 303);
    let page = olga.get(FIRE).await;
    assert_eq!(page.mark("#summary", "fires"), "300");
    let rests = page.all("#rests + dl dt");
    for item in ["Wastebasket", "Curtain", "Armchair", "Sofa"] {
        assert!(rests.contains(&item.to_owned()), "{rests:?}");
    }
    assert_eq!(page.count(".ruler svg"), 1);
    assert_eq!(page.attributes("[data-section]", "data-section"), ["A", "B"]);
    // The times come in their order.
    let middle = |time: &str| {
        let says = page.text(&format!("#times [data-time={time}] td:nth-child(2)"));
        let (minutes, seconds) = says.split_once(':').unwrap();
        minutes.parse::<u32>().unwrap() * 60 + seconds.parse::<u32>().unwrap()
    };
    assert!(middle("alarm") < middle("sprinkler") && middle("sprinkler") < middle("flashover"));
    // Without scripts, links lead to a moment.
    let links = page.attributes(".moment .also a", "href");
    assert!(links.len() > 4);
    let early = olga.get(&links[0]).await;
    assert_eq!(early.text(".moment .at"), "0:15");
    assert!(!early.has("[data-section=B][data-water]"));
    let late = olga.get(&format!("{FIRE}?setting=0&at=180")).await;
    assert!(late.has("[data-section=B][data-water]"));
}

#[tokio::test]
async fn a_larger_front_and_another_head_are_compared_and_one_is_pinned() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    save(&mut olga, NEW, &[("name", "4 ft open"), ("panel", "4 ft")]).await;
    save(&mut olga, &format!("{NEW}?like=1"), &[("name", "Hotter head"), ("panel", "2 ft"), ("rating", "200")]).await;
    let page = olga.get(&format!("{FIRE}/compare?one=1&other=2")).await;
    let differs = page.all("#differs td:first-child");
    assert_eq!(differs, ["Open front", "Sprinkler"]);
    let cells = page.all("#times tbody tr:nth-child(2) td");
    assert_ne!(cells[1], cells[2], "the sprinkler's times differ: {cells:?}");

    assert_eq!(olga.post(&format!("{FIRE}/pin"), &[("setting", "1"), ("version", "1")]).await.status, 303);
    let page = olga.get(FIRE).await;
    assert!(page.has("#whose[data-plan][data-waiting]"));
    assert_eq!(page.mark("#summary", "fires"), "300");
    background::tick(&test.app).await.unwrap();
    let page = olga.get(FIRE).await;
    assert!(page.has("#whose[data-plan]") && !page.has("#whose[data-waiting]"));
    assert_eq!(page.mark("#summary", "fires"), "2000");
    assert!(!page.has("form[action$='/pin']"), "it is the plan already");
    let pinned = inner(&page, "sprinkler");

    // A change that the one who pins hasn't seen isn't pinned.
    let seen = olga.get(&format!("{FIRE}?setting=2")).await.form_at("form[action$='/pin']");
    save(&mut olga, "/events/1/rooms/fire/settings/2", &[("rating", "165")]).await;
    assert_eq!(olga.submit(&format!("{FIRE}/pin"), &seen).await.location(), format!("{FIRE}?setting=2"));
    assert_eq!(inner(&olga.get(FIRE).await, "sprinkler"), pinned);

    // The plan stays as it was pinned.
    save(&mut olga, EDIT, &[("rating", "300")]).await;
    assert_eq!(inner(&olga.get(FIRE).await, "sprinkler"), pinned);
    assert_ne!(inner(&olga.get(&format!("{FIRE}?setting=1")).await, "sprinkler"), pinned);
    assert_eq!(olga.post(&format!("{EDIT}/remove"), &[]).await.status, 303);
    assert_eq!(inner(&olga.get(FIRE).await, "sprinkler"), pinned);
    assert_eq!(olga.get(&format!("{FIRE}?setting=1")).await.status, 404);
    let plan = fire::plan(&mut test.app.db.read().acquire().await.unwrap(), 1).await.unwrap().unwrap();
    assert_eq!((plan.setup.name.as_str(), plan.bands.unwrap().count), ("4 ft open", 2000));
}

#[tokio::test]
async fn what_is_wrong_is_said_beside_its_field_and_what_was_typed_stays() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for (field, value) in [
        ("name", ""),
        ("length", "0 ft"),
        ("length", "8"),
        ("width", "-8 ft"),
        ("width", "900 ft"),
        ("height", "NaN"),
        ("height", "20 ft"),
        ("front_width", "12 ft"),
        ("front_height", "9 ft"),
        ("panel", "7 ft 6 in"),
        ("panel", "inf ft"),
        ("walls", "paper"),
        ("ceiling", "sky"),
        ("place", "outside"),
        ("surface", "6 ft"),
        ("surface", "2 ft to 1 ft"),
        ("air", "NaN"),
        ("air", "86 to 50"),
        ("air", "1e3"),
        ("rating", "0"),
        ("rating", "-155"),
        ("rating", "infinity"),
        ("head_distance", "0 ft"),
        ("head_distance", "12 ft"),
        ("alarm_distance", "12 ft"),
        ("rti", "0"),
        ("rti", "28 to 9999999"),
        ("conductance", "-1"),
        ("k_factor", "0"),
        ("head_psi", "NaN"),
        ("alarm", "loud"),
        ("alarm_distance", ""),
        ("flux", "20"),
        ("structure", "0"),
        ("structure", "7"),
        ("flux", "2"),
        ("hose_depth", "-3"),
        ("permit_distance", "far"),
        ("own_distance", "NaN"),
        ("tank", "0"),
        ("unusable", "-1"),
        ("tank_minutes", "0"),
        ("attack_gpm", "0"),
        ("attack_supply", "1e9"),
        ("backup_gpm", "99999"),
        ("backup_supply", "-5"),
        ("attack_minutes", ""),
        ("hose", "garden"),
        ("hose_length", "0"),
        ("nozzle_psi", "NaN"),
    ] {
        let answer = send(&mut olga, NEW, &[(field, value)]).await;
        assert_eq!(answer.status, 422, "{field} {value}");
        assert_eq!(answer.all(".mistake").len(), 1, "{field} {value}: {:?}", answer.all(".mistake"));
        assert!(answer.has(&format!("#{field}-mistake")), "{field} {value}: {:?}", answer.all(".mistake"));
        if answer.has(&format!("input#{field}")) {
            assert_eq!(answer.attributes(&format!("#{field}"), "value"), [value]);
        }
    }
    // The second item's fields are its own.
    let mut form = olga.get(NEW).await.form();
    for (name, values) in [
        ("kind", ["wastebasket", "armchair"]),
        ("delay", ["5", "NaN"]),
        ("peak", ["50", "0"]),
        ("rise", ["20", "75 to"]),
    ] {
        form = form.without(name).and(name, values[0]).and(name, values[1]);
    }
    let answer = olga.submit(NEW, &form).await;
    assert_eq!(answer.status, 422);
    for id in ["delay_2", "peak_2", "rise_2"] {
        assert!(answer.has(&format!("#{id}-mistake")), "{id}");
    }
    assert_eq!(answer.attributes("#peak_2", "value"), ["0"]);
    assert_eq!(answer.all(".mistake").len(), 3);
    assert!(!test.dump().contains("INSERT INTO fire_setting"));
}

#[tokio::test]
async fn an_item_without_numbers_gets_the_usual_ones() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let mut form = olga.get(NEW).await.form();
    for (name, values) in
        [("kind", ["wastebasket", "sofa"]), ("delay", ["5", ""]), ("peak", ["50", ""]), ("rise", ["20", " "])]
    {
        form = form.without(name).and(name, values[0]).and(name, values[1]);
    }
    assert_eq!(olga.submit(NEW, &form).await.status, 303);
    let page = olga.get(EDIT).await;
    let value = |id: &str| page.attributes(&format!("#{id}"), "value");
    assert_eq!(
        (value("peak_1"), value("delay_2"), value("peak_2")),
        (vec!["50".to_owned()], vec!["15 to 60".to_owned()], vec!["1500 to 3000".to_owned()])
    );
}

#[tokio::test]
async fn only_who_plans_the_fire_changes_it() {
    let test = TestApp::planned().await;
    test.with_fire().await;
    let mut olga = test.olga().await;
    for role in [Role::Reader, Role::InformationOfficer, Role::CrewLead, Role::Timekeeper] {
        let mut someone = test.somebody(role).await;
        assert!(!someone.get(FIRE).await.has("form[action$='/pin']"), "{role:?}");
        assert_eq!(someone.get(EDIT).await.status, 403, "{role:?}");
        for path in
            [NEW, EDIT, &format!("{EDIT}/remove"), &format!("{FIRE}/earlier"), &format!("{FIRE}/earlier/1/remove")]
        {
            assert_eq!(someone.post(path, &[("name", "x")]).await.status, 403, "{role:?} {path}");
        }
        let refused = someone.post(&format!("{FIRE}/pin"), &[("setting", "1"), ("version", "1")]).await;
        assert!(refused.status == 403 && refused.has("#error"), "{role:?}");
        assert!(!olga.get(FIRE).await.has("#whose[data-plan]"), "{role:?}");
    }
    for role in [Role::SafetyOfficer, Role::BurnBoss] {
        let mut someone = test.somebody(role).await;
        assert_eq!(someone.get(EDIT).await.status, 200, "{role:?}");
        assert_eq!(
            someone.post(&format!("{FIRE}/pin"), &[("setting", "1"), ("version", "1")]).await.status,
            303,
            "{role:?}"
        );
        assert!(olga.get(FIRE).await.has("#whose[data-plan]"), "{role:?}");
    }
}

#[tokio::test]
async fn two_people_who_change_one_estimate_see_both() {
    let test = TestApp::planned().await;
    test.with_fire().await;
    let (mut olga, mut boss) = (test.olga().await, test.somebody(Role::BurnBoss).await);
    let form = boss.get(EDIT).await.form();
    save(&mut olga, EDIT, &[("rating", "165")]).await;
    let answer = boss.submit(EDIT, &form.with("rating", "175")).await;
    assert_eq!(answer.status, 409);
    assert!(answer.body.contains("165") && answer.body.contains("175"), "{}", answer.text("main"));
    assert_eq!(boss.submit(EDIT, &answer.form_at("form.acts[action$='/settings/1']")).await.status, 303);
    assert_eq!(olga.get(EDIT).await.attributes("#rating", "value"), ["175"]);
    // A name stands for one estimate.
    let answer = send(&mut olga, NEW, &[("name", "As listed")]).await;
    assert_eq!((answer.status, answer.has("#name-mistake")), (422, true));
}

#[tokio::test]
async fn earlier_burns_are_beside_the_estimate() {
    let test = TestApp::planned().await;
    test.with_fire().await;
    let mut olga = test.olga().await;
    let measured = |page: &Answer, time: &str| page.text(&format!("#times [data-time={time}] td:last-child"));
    let page = olga.get(FIRE).await;
    assert_eq!((measured(&page, "alarm"), measured(&page, "flashover")), ("0:24".to_owned(), "3:10".to_owned()));
    assert_eq!(measured(&page, "sprinkler"), "–");
    let earlier = format!("{FIRE}/earlier");
    for (fields, wrong) in [
        ([("name", ""), ("burned_on", "10/3/2026"), ("alarm", "0:24")], "name"),
        ([("name", "x"), ("burned_on", "10/3/2099"), ("alarm", "0:24")], "burned_on"),
        ([("name", "x"), ("burned_on", "10/3/2026"), ("alarm", "NaN")], "alarm"),
        ([("name", "x"), ("burned_on", "10/3/2026"), ("alarm", "")], "alarm"),
        ([("name", "x"), ("burned_on", "10/3/2026"), ("sprinkler", "99:00")], "sprinkler"),
    ] {
        let answer = olga.post(&earlier, &fields).await;
        assert_eq!((answer.status, answer.all(".mistake").len()), (422, 1), "{fields:?}");
        assert!(answer.has(&format!("#{wrong}-mistake")), "{fields:?}");
    }
    assert_eq!(olga.post(&format!("{earlier}/1/remove"), &[]).await.status, 303);
    assert_eq!(measured(&olga.get(FIRE).await, "alarm"), "–");
}

/// The feet of a line of distances.
fn feet(page: &Answer, rule: &str) -> f64 {
    let says = page.text(&format!("[data-rule={rule}] .due"));
    says.split(' ').next().unwrap().replace(',', "").parse().unwrap()
}

#[tokio::test]
async fn the_larger_rule_decides_and_both_rooms_count() {
    let test = TestApp::planned().await;
    test.with_fire().await;
    let mut olga = test.olga().await;
    let page = olga.get(HEAT).await;
    let heat = feet(&page, "heat");
    // One open front of 8 × 8 ft at 900 °C alone reaches 46.5 ft; the flame adds to it.
    assert!((47.0..75.0).contains(&heat), "{heat}");
    assert!(page.has("[data-rule=heat][data-decides]"));
    assert!(feet(&page, "things") < heat && feet(&page, "crew") < feet(&page, "things"));
    save(&mut olga, EDIT, &[("permit_distance", "150")]).await;
    let page = olga.get(HEAT).await;
    assert!(page.has("[data-rule=permit][data-decides]") && page.count("[data-decides]") == 1);
    // With wind, it is no shorter.
    assert!(page.all("#line b").iter().all(|says| says.starts_with("150 ft")), "{:?}", page.all("#line b"));
    assert!((feet(&page, "heat") - heat).abs() < 0.5);

    let form = olga.get("/events/1/edit").await.form().with("format", "both at once");
    assert_eq!(olga.submit("/events/1/edit", &form.and("act", "save")).await.status, 303);
    let both = feet(&olga.get(HEAT).await, "heat");
    assert!((both / heat - 2.0_f64.sqrt()).abs() < 0.05, "{both} and {heat}");
}

#[tokio::test]
async fn water_that_is_short_is_said_and_stops_nobody() {
    let test = TestApp::planned().await;
    test.with_fire().await;
    let mut olga = test.olga().await;
    let page = olga.get(HEAT).await;
    let short = page.attributes("[data-short][data-water]", "data-water");
    assert_eq!(short, ["tank", "attack", "backup"], "nothing was said about the supplies");
    // 4.9 × √7 × 10 = 129.6 gal, and 150 gpm × 5 min × 1.5 = 1,125 gal.
    for (tank, attack, backup, short) in [
        ("130", "1125", "1125", &[][..]),
        ("129", "1125", "1125", &["tank"]),
        ("130", "1124", "1125", &["attack"]),
        ("130", "1125", "1000", &["backup"]),
    ] {
        let fields = [("tank", tank), ("attack_supply", attack), ("backup_supply", backup)];
        save(&mut olga, EDIT, &fields).await;
        let page = olga.get(HEAT).await;
        assert_eq!(page.attributes("[data-short][data-water]", "data-water"), short, "{fields:?}");
    }
    save(&mut olga, EDIT, &[("attack_gpm", "90"), ("attack_supply", "2000")]).await;
    assert!(olga.get(HEAT).await.has("[data-water=attack][data-short]"), "below 95 gpm");
}

#[tokio::test]
async fn cautions_name_what_the_estimate_leaves_out() {
    let test = TestApp::planned().await;
    test.with_fire().await;
    let mut olga = test.olga().await;
    let cautions = |page: &Answer| page.attributes("[data-caution]", "data-caution");
    let usual = cautions(&olga.get(FIRE).await);
    // Nothing is listed yet, and then a sofa and a bookcase are.
    assert_eq!(usual.iter().filter(|mark| *mark == "not-listed").count(), 3);
    assert_eq!(olga.post("/events/1/rooms/template", &[]).await.status, 303);
    let usual = cautions(&olga.get(FIRE).await);
    assert!(usual.contains(&"left-out".to_owned()) && !usual.contains(&"not-listed".to_owned()), "{usual:?}");
    assert!(usual.contains(&"front".to_owned()) && usual.contains(&"wind".to_owned()), "{usual:?}");
    assert!(!usual.contains(&"joists".to_owned()) && !usual.contains(&"lining".to_owned()));
    for (field, value, mark) in [
        ("walls", "plywood", "lining"),
        ("ceiling", "exposed joists or beams", "joists"),
        ("front_width", "1 ft", "small"),
        ("front_width", "1 ft", "air"),
        ("head_distance", "11 ft", "far"),
    ] {
        save(&mut olga, EDIT, &[("walls", "gypsum board"), ("front_width", "8 ft"), (field, value)]).await;
        let found = cautions(&olga.get(FIRE).await);
        assert!(found.contains(&mark.to_owned()), "{field} {value}: {found:?}");
    }
    let form = olga.get(EDIT).await.form().without("kind").without("delay").without("peak").without("rise");
    let form = ITEMS[..1].iter().fold(form.with("front_width", "8 ft"), |form, (_, [kind, delay, peak, rise])| {
        form.and("kind", kind).and("delay", delay).and("peak", peak).and("rise", rise)
    });
    assert_eq!(olga.submit(EDIT, &form).await.status, 303);
    let page = olga.get(FIRE).await;
    assert!(cautions(&page).contains(&"fuel".to_owned()));
    assert_eq!(page.text("#times [data-time=flashover] td:nth-child(5)"), "100 of 100");
}

#[tokio::test]
async fn an_item_on_loan_too_close_to_the_heat_is_named() {
    let test = TestApp::planned().await;
    test.with_fire().await;
    let mut olga = test.olga().await;
    let lender = test.person("Wren Ibarra", "wren@example.org").await.to_string();
    let form = olga.get("/events/1/loans/new").await.form();
    let form = form.with("what", "sports clock").with("lender", &lender).with("distance", "20");
    let answer = olga.submit("/events/1/loans/new", &form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    assert!(!olga.get("/events/1/loans/1").await.has("[data-too-close]"), "there is no plan yet");
    assert_eq!(olga.post(&format!("{FIRE}/pin"), &[("setting", "1"), ("version", "1")]).await.status, 303);
    background::tick(&test.app).await.unwrap();
    assert!(olga.get("/events/1/loans/1").await.has("[data-too-close]"));
    let form = olga.get("/events/1/loans/1/edit").await.form().with("distance", "60");
    assert_eq!(olga.submit("/events/1/loans/1/edit", &form).await.status, 303);
    assert!(!olga.get("/events/1/loans/1").await.has("[data-too-close]"));
}
