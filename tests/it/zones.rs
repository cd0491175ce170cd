//! Time zones as people choose and read them.

use crate::support::TestApp;
use burnday::accounts;

/// The options of the field, in its two groups.
const LISTED: &str = "#zone optgroup:first-of-type option";

#[tokio::test]
async fn whoever_sets_up_chooses_a_zone() {
    let test = TestApp::empty().await;
    let link = test.app.db.write(|tx| Box::pin(accounts::set_up_link(tx, crate::support::NOW))).await.unwrap().unwrap();
    let link = format!("/set-up/{}", link.reveal());
    let mut olga = test.stranger();
    let page = olga.get(&link).await;
    assert_eq!(page.attributes("#zone option[selected]", "value"), [""], "none is chosen for them");
    let listed = page.all(LISTED);
    assert!(listed.len() == 11 && listed.contains(&"Central Time".to_owned()), "{listed:?}");
    let all = page.attributes("#zone option", "value");
    assert_eq!(all.iter().filter(|name| *name == "America/Chicago").count(), 1, "each stands there once");
    assert!(page.all("#zone optgroup:last-of-type option").contains(&"Europe/London".to_owned()));

    let form = page.form().with("department", "Alder Bend").with("name", "Olga").with("mail", "olga@example.org");
    let form = form.with("password", "four unrelated wet words");
    let answer = olga.submit(&link, &form).await;
    assert_eq!((answer.status, answer.all(".mistake").len()), (422, 1));
    assert_eq!(answer.all("#zone-mistake").len(), 1);
    // What is no zone is no reason to choose another one for them.
    let answer = olga.submit(&link, &form.clone().with("zone", "Mars")).await;
    assert_eq!(answer.attributes("#zone option[selected]", "value"), [""]);
    assert_eq!(olga.submit(&link, &form.with("zone", "America/Denver")).await.status, 303);
}

#[tokio::test]
async fn a_burn_takes_the_departments_zone_and_people_read_its_plain_name() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for path in ["/events/new", "/events/1/edit", "/settings/department"] {
        let page = olga.get(path).await;
        assert_eq!(page.attributes("#zone option[selected]", "value"), ["America/Chicago"], "{path}");
        assert_eq!(page.text("#zone option[selected]"), "Central Time");
    }
    let form = olga.get("/settings/department").await.form();
    olga.submit("/settings/department", &form.clone().with("zone", "Pacific/Honolulu")).await;
    assert!(olga.get("/settings").await.says("Hawaii Time"));
    let stale = olga.submit("/settings/department", &form.with("zone", "America/Phoenix")).await;
    assert_eq!(stale.status, 409);
    let event = olga.get("/events/1/edit").await.form();
    olga.submit("/events/1/edit", &event.clone().with("zone", "America/New_York")).await;
    let stale_event = olga.submit("/events/1/edit", &event.with("zone", "Europe/London")).await;
    assert_eq!(stale_event.status, 409);
    assert!(stale_event.says("Eastern Time") && stale_event.says("Europe/London"));
    for page in [
        stale,
        stale_event,
        olga.get("/settings").await,
        olga.get("/journal").await,
        olga.get("/events/1/journal").await,
    ] {
        let raw = ["America/", "Pacific/"].iter().any(|part| page.text("main").contains(part));
        assert!(!raw, "{}", page.text("main"));
    }
    assert_eq!(olga.get("/events/new").await.attributes("#zone option[selected]", "value"), ["Pacific/Honolulu"]);
}
