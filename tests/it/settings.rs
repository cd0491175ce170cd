use crate::support::{OFFICER, TestApp};
use burnday::accounts::Role;

#[tokio::test]
async fn two_people_changing_the_department_see_both_texts() {
    let test = TestApp::planned().await;
    let (mut olga, mut other) = (test.olga().await, test.olga().await);
    let form = olga.get("/settings/department").await.form();
    let theirs = form.clone().with("phone", "555-0142");
    assert_eq!(other.submit("/settings/department", &theirs).await.status, 303);
    let answer = olga.submit("/settings/department", &form.with("phone", "555-0199")).await;
    assert_eq!(answer.status, 409);
    assert!(answer.says("555-0142") && answer.says("555-0199"));
    assert_eq!(answer.value("version"), "2");
    let again = [("name", "Alder Bend Fire District"), ("zone", "Mars"), ("phone", ""), ("version", "2")];
    assert_eq!(olga.post("/settings/department", &again).await.status, 422);
}

#[tokio::test]
async fn closed_days_are_checked_and_listed_with_the_holidays() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = olga.get("/settings/closed-days").await;
    assert!(page.says("Thanksgiving Day") && page.says("Thu 26 Nov 2026"));
    assert!(page.says("Juneteenth National Independence Day, observed") && page.says("Fri 18 Jun 2027"));
    for (on, until, field) in
        [("", "", "on"), ("2027-03-05", "2027-03-01", "until"), ("2027-01-01", "2027-12-31", "until")]
    {
        let answer = olga.post("/settings/closed-days", &[("on", on), ("until", until)]).await;
        assert_eq!(answer.status, 422);
        assert!(!answer.text(&format!("#{field}-mistake")).is_empty());
    }
    olga.post("/settings/closed-days", &[("on", "2027-03-05"), ("reason", "Inventory")]).await;
    olga.post("/settings/closed-days", &[("on", "2027-03-05"), ("reason", "Again")]).await;
    let page = olga.get("/settings/closed-days").await;
    assert!(page.text("#said").contains("Closed already"));
    assert!(page.says("Fri 5 Mar 2027") && page.says("Inventory"));
    assert!(olga.get("/journal").await.says("Olga Wren added closed day “Fri 5 Mar 2027”"));
    let reader = test.somebody(Role::Reader).await.get("/settings/closed-days").await;
    assert_eq!(reader.all("main form").len(), 0);
}

#[tokio::test]
async fn the_journal_tells_the_department_and_each_event_apart() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for n in 0..70 {
        let path = format!("/events/1/tasks/{}/state", test.task("goal").await);
        olga.post(&path, &[("state", if n % 2 == 0 { "waiting" } else { "to do" }), ("waiting_for", "the chief")])
            .await;
    }
    let newest = olga.get("/events/1/journal").await;
    assert_eq!(newest.all(".plain-list > li").len(), 60);
    let older = newest.attributes("main p a.btn", "href")[0].clone();
    let older = olga.get(&older).await;
    assert_eq!(older.all(".plain-list > li").len(), 13);
    assert!(older.says("Olga Wren added task “92 usual tasks”"));
    assert!(older.says("Olga Wren added permit “8 usual permits and notices”"));
    assert!(olga.get("/journal").await.says("Olga Wren set up department “Alder Bend Fire District”"));
    assert!(!olga.get("/journal").await.says("usual tasks"));
}

#[tokio::test]
async fn ones_own_account_shows_where_one_is_signed_in() {
    let test = TestApp::planned().await;
    let _other = test.olga().await;
    let page = test.olga().await.get("/you").await;
    assert!(page.says("2 devices") && page.says(OFFICER));
}
