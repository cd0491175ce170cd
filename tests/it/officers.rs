//! What an officer signs, and that no one decides about themselves.

use crate::crew::{assign, post, posts, qualify};
use crate::support::{BURN_ON, Browser, TestApp};
use burnday::accounts::{self, Role};
use burnday::rooms::Ruling;
use burnday::web::words::Reader;
use time::macros::date;

/// The person behind the account of a role.
async fn person_of(test: &TestApp, role: Role) -> i64 {
    let accounts = accounts::list(test.app.db.read()).await.unwrap();
    accounts.into_iter().find(|account| account.role == role).unwrap().person_id
}

async fn check(by: &mut Browser, person: i64) -> u16 {
    by.post(&format!("/events/1/crew/people/{person}/certificates/1/check"), &[("version", "1")]).await.status
}

/// Who checked this person's certificates.
async fn checked_by(test: &TestApp, person: i64) -> Option<String> {
    let snapshot = test.crew().await;
    let by = snapshot.held(person).find_map(|held| held.checked.clone());
    by.map(|(by, _)| by)
}

/// Does the text name every one of these roles?
fn names(text: &str, roles: &[Role]) -> bool {
    roles.iter().all(|role| text.contains(role.as_str()))
}

/// Who decided about fuel, as a page shows it.
fn signed(by: &str, signed_as: &str) -> String {
    let ruling = Ruling {
        hazard: "container under pressure".parse().unwrap(),
        what: String::new(),
        quantity: 1,
        decided: String::new(),
        by: by.to_owned(),
        signed_as: signed_as.to_owned(),
        on: BURN_ON,
    };
    ruling.says_by()
}

#[tokio::test]
async fn nobody_checks_their_own_certificates() {
    for (officer, others) in [
        (Role::SafetyOfficer, [Role::EducationOfficer, Role::IncidentCommander, Role::BurnBoss]),
        (Role::EducationOfficer, [Role::SafetyOfficer, Role::IncidentCommander, Role::BurnBoss]),
    ] {
        for role in others {
            let checker =
                if role == Role::EducationOfficer { "Olga Wren".to_owned() } else { format!("Somebody, {role}") };
            let (test, mut olga) = posts().await;
            let snapshot = test.crew().await;
            let as_role = async |role: Role| {
                if role == Role::EducationOfficer { test.olga().await } else { test.somebody(role).await }
            };
            let (mut own, mut other) = (as_role(officer).await, as_role(role).await);
            let person = person_of(&test, officer).await;
            assert_eq!(qualify(&mut olga, &snapshot, person, "Safety officer", "").await.status, 303);
            let here = format!("/events/1/crew/people/{person}");
            let button = format!("form[action='{here}/certificates/1/check']");
            let page = own.get(&here).await;
            assert!(page.all(&button).is_empty());
            assert!(names(&page.text("main"), &others), "{}", page.text("main"));
            let refused = own.post(&format!("{here}/certificates/1/check"), &[("version", "1")]).await;
            assert_eq!(refused.status, 403);
            assert!(names(&refused.text("main"), &others), "{}", refused.text("main"));
            assert_eq!(checked_by(&test, person).await, None);
            assert!(!olga.get(&here).await.text("main").contains(&checker));
            for role in [Role::CrewLead, Role::Timekeeper, Role::InformationOfficer, Role::Reader] {
                let mut wrong = test.somebody(role).await;
                assert_eq!(check(&mut wrong, person).await, 403, "{role}");
            }
            let stranger = test.stranger().post(&format!("{here}/certificates/1/check"), &[("version", "1")]).await;
            assert_eq!(stranger.status, 303);
            assert_eq!(checked_by(&test, person).await, None);
            assert_eq!(other.get(&here).await.all(&button).len(), 1);
            assert_eq!(check(&mut other, person).await, 303);
            assert_eq!(checked_by(&test, person).await.as_deref(), Some(checker.as_str()));
            assert!(olga.get(&here).await.text("main").contains(&checker));
        }
    }
}

#[tokio::test]
async fn whoever_commands_checks_no_others() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let ray = test.person("Ray Ortiz", "").await;
    qualify(&mut olga, &snapshot, ray, "Driver/operator", "").await;
    let mut boss = test.somebody(Role::BurnBoss).await;
    assert_eq!(check(&mut boss, ray).await, 403);
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    assert_eq!(check(&mut safety, ray).await, 303);
}

#[tokio::test]
async fn nobody_overrides_a_rule_about_themselves() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let pumps = post(&snapshot, "pump operator");
    let because = [("reason", "Certificate seen")];
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    let dele = person_of(&test, Role::SafetyOfficer).await;
    // The rule refuses it, and there is no form to override it for yourself.
    let refused = assign(&mut safety, pumps, dele, &[]).await;
    assert_eq!(refused.status, 422);
    assert!(refused.all("input[name=reason]").is_empty());
    let told = refused.text("section.note");
    assert!(names(&told, &[Role::EducationOfficer, Role::IncidentCommander, Role::BurnBoss]), "{told}");
    // A crafted post doesn't do it either.
    assert_eq!(assign(&mut safety, pumps, dele, &because).await.status, 422);
    assert_eq!(assign(&mut olga, pumps, 1, &because).await.status, 422, "nor the education officer");
    assert!(test.crew().await.assigned.is_empty());
    let mut commander = test.somebody(Role::IncidentCommander).await;
    assert_eq!(assign(&mut commander, pumps, dele, &because).await.status, 303);
    assert_eq!(assign(&mut safety, pumps, 1, &because).await.status, 303);
    let page = olga.get(&format!("/events/1/crew/positions/{pumps}")).await;
    let today = date!(2026 - 11 - 25);
    let decided = ["Certificate seen", "Somebody, incident commander", &Reader::App.near_day(today, today)];
    let main = page.text("main");
    let mut lines = main.match_indices(decided[0]).map(|(from, _)| main[from..].chars().take(90).collect::<String>());
    assert!(lines.any(|line| decided.iter().all(|part| line.contains(part))), "{main}");
    // They can still decide about anyone else.
    let ray = test.person("Ray Ortiz", "").await;
    assert_eq!(assign(&mut commander, pumps, ray, &because).await.status, 422);
    assert_eq!(assign(&mut safety, pumps, ray, &because).await.status, 303);
}

#[tokio::test]
async fn a_fuel_decision_is_signed_by_who_may_take_it() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/rooms/new").await.form();
    let form = form.with("room", "room A").with("what", "Air freshener, aerosol");
    assert_eq!(olga.submit("/events/1/rooms/new", &form).await.status, 303);
    let path = "/events/1/rooms/warnings";
    let decision = [
        ("hazard", "container under pressure"),
        ("what", "air freshener, aerosol"),
        ("decided", "It comes out"),
        ("by", "The Fire Marshal"),
        ("on", "2026-11-24"),
    ];
    let wrong = [Role::EducationOfficer, Role::InformationOfficer, Role::IncidentCommander];
    for role in wrong.into_iter().chain([Role::CrewLead, Role::Timekeeper, Role::Reader]) {
        let mut wrong = test.somebody(role).await;
        let page = wrong.get(path).await;
        assert!(page.all("main form").is_empty(), "{role}");
        assert!(page.has("section.post") && !page.has("section.post .note"), "not decided: {role}");
        let refused = wrong.post(path, &decision).await;
        assert_eq!(refused.status, 403, "{role}");
        assert!(names(&refused.text("main"), &[Role::SafetyOfficer, Role::BurnBoss]), "{}", refused.text("main"));
    }
    assert_eq!(test.stranger().post(path, &decision).await.status, 303);
    assert!(!olga.get(path).await.has("section.post .note"));
    let mut boss = test.somebody(Role::BurnBoss).await;
    assert!(boss.get(path).await.all("input[name=by]").is_empty(), "no name is typed");
    assert_eq!(boss.post(path, &decision).await.location(), path);
    let page = olga.get(path).await;
    let decided = page.text("section.post .note");
    let on = Reader::App.near_day(date!(2026 - 11 - 24), date!(2026 - 11 - 25));
    for part in ["It comes out", &signed("Somebody, burn boss", "burn boss"), &on] {
        assert!(decided.contains(part), "{part}: {decided}");
    }
    assert!(!page.says("Fire Marshal"), "a typed name signs nothing");
    // A name typed before there were signatures stays, and the page says so.
    test.sql("update room_ruling set signed_by = null, signed_as = '', decided_by = 'Fenwick Tamura'");
    let decided = olga.get(path).await.text("section.post .note");
    assert_ne!(signed("Fenwick Tamura", ""), "Fenwick Tamura");
    for part in [signed("Fenwick Tamura", ""), on] {
        assert!(decided.contains(&part), "{part}: {decided}");
    }
}
