use crate::support::{Answer, Browser, NOW, TestApp};
use burnday::accounts::{self, Role};
use burnday::db::journal::Actor;
use time::Duration;

async fn press(browser: &mut Browser, task: i64, state: &str) -> Answer {
    let fields = [("state", state), ("waiting_for", "the chief"), ("back", "/events/1")];
    browser.post(&format!("/events/1/tasks/{task}/state"), &fields).await
}

#[tokio::test]
async fn the_page_says_what_to_do_now_and_what_sets_the_date() {
    let test = TestApp::planned().await;
    let page = test.olga().await.get("/events/1").await;
    assert_eq!(page.text(".days b"), "192");
    assert_eq!(page.text(".days span"), "days to burn day");
    assert!(page.text(".what").contains("Sat 5 Jun 2027, 10:00"));
    assert!(page.text(".note b").contains("Burn day has"));
    assert!(page.text(".note").contains("Get the site owner's written permission"));
    assert!(page.text(".note").contains("your authority's rules come first"));
    assert_eq!(page.all(".ready li").len(), 9);
    assert!(page.text(".ready li").contains("0 of 7"));
    assert!(page.all(".ruler svg rect").len() > 3);
    assert_eq!(page.all(".ruler svg rect").len(), page.all("details tbody tr").len(), "the table behind the ruler");
}

#[tokio::test]
async fn one_press_marks_a_task_done_or_waiting_and_opens_it_again() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("goal").await;
    let answer = press(&mut olga, task, "waiting").await;
    assert_eq!((answer.status, answer.location()), (303, "/events/1"));
    let page = olga.get("/events/1").await;
    assert!(page.text("#said").contains("is waiting"));
    assert!(page.text(".waits").contains("Write down the goal"));
    assert_eq!(olga.get("/events/1").await.text("#said"), "", "said once");

    press(&mut olga, task, "done").await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    assert!(page.text("dl").contains("done"));
    assert!(page.text("dl").contains("said by Olga Wren, Wed 25 Nov 2026, 09:00"));
    assert!(page.all(".list").iter().any(|list| list.contains("Olga Wren set the state of")));
    assert!(olga.get("/events/1").await.text(".ready li").contains("1 of 7"));

    press(&mut olga, task, "to do").await;
    assert!(olga.get("/events/1").await.text(".ready li").contains("0 of 7"));
}

#[tokio::test]
async fn a_task_can_be_done_on_an_earlier_day_but_not_a_later_one() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = format!("/events/1/tasks/{}/state", test.task("goal").await);
    let late = olga.post(&path, &[("state", "done"), ("on", "2026-11-26")]).await;
    assert_eq!(late.status, 422);
    assert!(late.text("#on-mistake").contains("today or a day before"));
    assert_eq!(olga.post(&path, &[("state", "done"), ("on", "2026-11-20")]).await.status, 303);
    assert_eq!(test.tasks().await[0].done_on, Some(time::macros::date!(2026 - 11 - 20)));
}

#[tokio::test]
async fn a_press_on_what_somebody_changed_meanwhile_is_not_kept() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("goal").await;
    let path = format!("/events/1/tasks/{task}/state");
    olga.post(&path, &[("state", "done"), ("on", "2026-11-20"), ("seen", "to do")]).await;
    olga.post(&path, &[("state", "waiting"), ("waiting_for", "the chief"), ("seen", "to do")]).await;
    let page = olga.get("/events/1").await;
    assert!(page.text("#said").contains("Olga Wren set “Write down the goal"), "{}", page.text("#said"));
    assert!(page.text("#said").contains("Yours was not kept"));
    assert_eq!(test.tasks().await[0].done_on, Some(time::macros::date!(2026 - 11 - 20)));
}

#[tokio::test]
async fn a_task_waits_for_somebody_or_something() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("goal").await;
    let page = format!("/events/1/tasks/{task}");
    let path = format!("{page}/state");
    let before = test.dump();
    for nothing in ["", "  "] {
        let answer = olga.post(&path, &[("state", "waiting"), ("on", "2026-11-10"), ("waiting_for", nothing)]).await;
        assert_eq!(answer.status, 422);
        assert!(answer.text("#waiting_for-mistake").contains("for whom or what"));
        assert_eq!(answer.attributes("#since", "value"), ["2026-11-10"], "what was typed stays");
    }
    let answer = olga.post(&path, &[("state", "waiting"), ("waiting_for", "the county"), ("on", "2026-11-26")]).await;
    assert_eq!((answer.status, answer.value("waiting_for").as_str()), (422, "the county"));
    assert!(answer.text("#since-mistake").contains("today or a day before"));
    assert_eq!(before, test.dump());
    // No button of a list marks a task as waiting; it leads to where that is asked.
    for list in ["/events/1", "/events/1/tasks"] {
        let list = olga.get(list).await;
        assert_eq!(list.all("button[value='waiting']").len(), 0);
        assert!(list.attributes(".press .acts a", "href").contains(&format!("{page}#waiting")));
    }

    olga.post(&path, &[("state", "waiting"), ("waiting_for", "the county's reply")]).await;
    assert!(olga.get(&page).await.text("dl").contains("waiting for the county's reply"));
    assert!(olga.get("/events/1").await.text(".waits").contains("waiting for the county's reply"));
    // What was kept before anybody was asked says so, and nothing goes past the question.
    assert!(test.refuses("update task set waiting_for = '' where state = 'waiting'"));
    assert!(test.refuses("update task set state = 'waiting' where key = 'burn-permit'"));
}

#[tokio::test]
async fn a_press_can_be_taken_back() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("goal").await;
    let path = format!("/events/1/tasks/{task}/state");
    olga.post(&path, &[("state", "waiting"), ("on", "2026-11-10"), ("waiting_for", "the chief")]).await;
    let before = test.tasks().await[0].clone();
    olga.post(&path, &[("state", "done"), ("seen", "waiting"), ("back", "/events/1")]).await;
    let page = olga.get("/events/1").await;
    let names = page.attributes(".said input", "name");
    let values = page.attributes(".said input", "value");
    let fields: Vec<(&str, &str)> = names.iter().map(String::as_str).zip(values.iter().map(String::as_str)).collect();
    assert_eq!(olga.post(&page.attributes(".said form", "action")[0], &fields).await.location(), "/events/1");
    let after = test.tasks().await[0].clone();
    assert_eq!(
        (after.state, after.started_on, after.waiting_for.as_str()),
        (before.state, before.started_on, "the chief")
    );
}

#[tokio::test]
async fn work_under_way_keeps_its_start_and_the_same_press_twice_is_one() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("collect-furnishings").await;
    let path = format!("/events/1/tasks/{task}/state");
    for _ in 0..2 {
        olga.post(&path, &[("state", "begun"), ("on", "2026-11-20")]).await;
    }
    let page = olga.get(&path.replace("/state", "")).await;
    assert!(page.text("dl").contains("Sun 3 Jan"), "45 days from Fri 20 Nov: {}", page.text("dl"));
    assert_eq!(page.all("main .list .d.soft").iter().filter(|change| change.contains("begun")).count(), 1);
}

#[tokio::test]
async fn people_mark_their_own_tasks_and_nobody_elses() {
    let test = TestApp::planned().await;
    let mut jun = test.somebody(Role::InformationOfficer).await;
    let own = test.task("news-release").await;
    let others = test.task("goal").await;
    assert_eq!(press(&mut jun, own, "waiting").await.status, 303);
    assert_eq!(press(&mut jun, others, "done").await.status, 403);

    let page = jun.get("/events/1").await;
    assert!(page.text("h2").contains("Yours to do now"));
    let titles = page.all(".press .t a").join("; ");
    assert!(titles.contains("outlet list") && !titles.contains("goal"), "{titles}");
    assert!(!page.says("Move the burn day"));

    // A task given to a person by name is theirs, whatever its part.
    let mut olga = test.olga().await;
    let edit = format!("/events/1/tasks/{others}/edit");
    let form = olga.get(&edit).await.form().with("person", "Somebody, information officer").with("act", "save");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    assert_eq!(press(&mut jun, others, "done").await.status, 303);
}

#[tokio::test]
async fn the_burn_day_is_not_ticked_off_or_removed() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let burn = test.task("burn").await;
    assert_eq!(press(&mut olga, burn, "done").await.status, 400);
    assert_eq!(olga.get(&format!("/events/1/tasks/{burn}/remove")).await.status, 400);
    assert_eq!(olga.post(&format!("/events/1/tasks/{burn}/remove"), &[("version", "1")]).await.status, 404);
    let edit = format!("/events/1/tasks/{burn}/edit");
    let form = olga.get(&edit).await.form().with("lead", "40").with("duration", "9").with("act", "save");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    let draft = test.tasks().await.into_iter().find(|task| task.is_burn).unwrap().draft;
    assert_eq!((draft.lead.days, draft.duration), (0, 1));
}

#[tokio::test]
async fn tasks_are_filtered_by_person_strand_and_state() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    press(&mut olga, test.task("goal").await, "done").await;
    let count = |page: &Answer| page.all(".press > li").len();
    assert_eq!(count(&olga.get("/events/1/tasks").await), 91);
    assert_eq!(count(&olga.get("/events/1/tasks?state=all").await), 92);
    assert_eq!(count(&olga.get("/events/1/tasks?state=done").await), 1);
    assert_eq!(count(&olga.get("/events/1/tasks?strand=Loans").await), 6);
    assert_eq!(count(&olga.get("/events/1/tasks?who=presenter").await), 2);
    assert!(olga.get("/events/1/tasks?state=waiting").await.says("No task fits"));
}

#[tokio::test]
async fn a_new_task_shows_what_it_changes_before_it_is_saved() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let permits = test.task("permits-in-hand").await.to_string();
    let new = olga.get("/events/1/tasks/new?strand=Press").await.form();
    let form = new.with("title", "Ask the county once more").with("lead", "10").with("lead_basis", "working");
    let form = form.with("duration", "3").with("earlier", &permits).with("lag", "40");
    let form = form.with("lag_basis", "calendar");

    let seen = olga.submit("/events/1/tasks/new", &form.clone().with("act", "see")).await;
    assert_eq!(seen.status, 200);
    assert!(
        seen.text(".note").contains("What this changes. The chain that sets the date goes from"),
        "{}",
        seen.text(".note")
    );
    assert!(seen.text("table").contains("Ask the county once more"));
    assert_eq!(seen.value("title"), "Ask the county once more");
    assert_eq!(test.tasks().await.len(), 92);

    let saved = olga.submit("/events/1/tasks/new", &form.with("act", "save")).await;
    assert_eq!(saved.status, 303);
    let page = olga.get(saved.location()).await;
    assert!(page.text("dl").contains("10 working days before burn day"));
    assert!(page.text("dl").contains("Fri 21 May 2027"), "{}", page.text("dl"));
    assert!(page.says("then 40 days of waiting"));
    assert_eq!(test.tasks().await.len(), 93);
}

#[tokio::test]
async fn mistakes_in_a_task_stand_beside_their_fields() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let goal = test.task("goal").await.to_string();
    let form = olga.get("/events/1/tasks/new").await.form().with("title", " ").with("lead", "-3").with("duration", "0");
    let form = form.with("earlier", &goal).and("earlier", &goal).with("lag", "0").and("lag", "many");
    let form = form.with("lag_basis", "calendar").and("lag_basis", "calendar").with("act", "save");
    let answer = olga.submit("/events/1/tasks/new", &form).await;
    assert_eq!(answer.status, 422);
    assert!(answer.text(".summary").contains("4 things need a look"));
    assert!(answer.text("#title-mistake").contains("can't be empty"));
    assert!(answer.text("#lead-mistake").contains("from 0 to 1000"));
    assert!(answer.text("#duration-mistake").contains("from 1 to 400"));
    assert!(answer.says("is chosen twice"));
    assert_eq!(answer.value("lead"), "-3");
    assert_eq!(answer.attributes("select[name=earlier] option[selected]", "value")[..2], [goal.clone(), goal]);
}

#[tokio::test]
async fn a_ring_is_refused_and_named() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let edit = format!("/events/1/tasks/{}/edit", test.task("goal").await);
    let approval = test.task("chief-approval").await.to_string();
    for act in ["see", "save"] {
        let form = olga.get(&edit).await.form().with("earlier", &approval).with("lag", "0").with("act", act);
        let answer = olga.submit(&edit, &form.with("lag_basis", "calendar")).await;
        assert_eq!(answer.status, 422);
        let mistake = answer.text(".mistake");
        assert!(mistake.contains("wait for each other in a ring"), "{mistake}");
        for title in ["Write down the goal", "Decide whether the rooms", "Get the fire chief's"] {
            assert!(mistake.contains(title), "{mistake}");
        }
    }
    assert!(test.tasks().await[0].draft.links.is_empty());
}

#[tokio::test]
async fn two_people_saving_one_task_lose_nothing() {
    let test = TestApp::planned().await;
    let (mut olga, mut other) = (test.olga().await, test.olga().await);
    let id = test.task("site-plan").await;
    let edit = format!("/events/1/tasks/{id}/edit");
    let (mine, theirs) = (olga.get(&edit).await.form(), other.get(&edit).await.form());
    let theirs = theirs.with("title", "Draw the site plan with the county").with("lead", "90").with("act", "save");
    assert_eq!(other.submit(&edit, &theirs).await.status, 303);

    let mine = mine.with("title", "Draw the site plan twice").with("act", "save");
    let conflict = olga.submit(&edit, &mine).await;
    assert_eq!(conflict.status, 409);
    assert!(conflict.says("Draw the site plan with the county") && conflict.says("Draw the site plan twice"));
    assert!(conflict.says("90 calendar days before burn day") && conflict.says("104 calendar days before burn day"));
    let stands = || async { test.tasks().await.into_iter().find(|task| task.id == id).unwrap().draft };
    assert_eq!(stands().await.title, "Draw the site plan with the county");
    let links = stands().await.links;

    // "Save mine over it" sends what was typed with the version that was seen.
    let hidden = conflict.attributes("main form input[type=hidden]", "name");
    let values = conflict.attributes("main form input[type=hidden]", "value");
    let fields: Vec<(&str, &str)> = hidden.iter().map(String::as_str).zip(values.iter().map(String::as_str)).collect();
    assert_eq!(olga.post(&edit, &fields).await.status, 303);
    assert_eq!((stands().await.title.as_str(), stands().await.lead.days), ("Draw the site plan twice", 104));
    assert_eq!(stands().await.links, links);
}

#[tokio::test]
async fn of_many_savers_at_once_each_wins_or_is_told() {
    let test = TestApp::planned().await;
    let id = test.task("site-plan").await;
    let edit = format!("/events/1/tasks/{id}/edit");
    let mut olga = test.olga().await;
    let form = olga.get(&edit).await.form();
    let mut savers = tokio::task::JoinSet::new();
    for n in 0..20 {
        let mut saver = test.olga().await;
        let form = form.clone().with("title", &format!("Title {n}")).with("act", "save");
        let edit = edit.clone();
        savers.spawn(async move { saver.submit(&edit, &form).await.status });
    }
    let statuses = savers.join_all().await;
    assert_eq!(statuses.iter().filter(|status| **status == 303).count(), 1, "{statuses:?}");
    assert_eq!(statuses.iter().filter(|status| **status == 409).count(), 19, "{statuses:?}");
}

#[tokio::test]
async fn a_removed_task_leaves_the_order_of_the_others() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (plan, owner, permit) =
        (test.task("site-plan").await, test.task("site-permission").await, test.task("burn-permit").await);
    let path = format!("/events/1/tasks/{plan}/remove");
    let page = olga.get(&path).await;
    assert!(page.says("will wait for what it waited for"));
    assert!(page.says("What this changes"));
    let stale = olga.post(&path, &[("version", "7")]).await;
    assert!(stale.location().ends_with(&format!("/tasks/{plan}")));
    assert_eq!(test.tasks().await.len(), 92);

    assert_eq!(olga.post(&path, &[("version", "1")]).await.status, 303);
    let tasks = test.tasks().await;
    assert_eq!(tasks.len(), 91);
    let permit = tasks.iter().find(|task| task.id == permit).unwrap();
    assert!(permit.draft.links.iter().any(|link| link.earlier == owner && link.lag == 0));
    assert!(olga.get("/events/1/journal").await.says("Olga Wren removed task “Draw the site plan”"));
    assert_eq!(olga.get("/events/1").await.status, 200);
}

#[tokio::test]
async fn notes_are_kept_and_read_by_everybody() {
    let test = TestApp::planned().await;
    let id = test.task("site-plan").await;
    let mut dele = test.somebody(Role::SafetyOfficer).await;
    let path = format!("/events/1/tasks/{id}/notes");
    assert_eq!(dele.post(&path, &[("text", "  ")]).await.status, 422);
    assert_eq!(dele.post(&path, &[("text", "The gate is 3 m wide.\nAsk for the key.")]).await.status, 303);
    let page = test.somebody(Role::Reader).await.get(&format!("/events/1/tasks/{id}")).await;
    assert!(page.says("The gate is 3 m wide. Ask for the key.") && page.says("Somebody, safety officer"));
    assert_eq!(page.all("[data-keep=note]").len(), 0, "a reader has no form");
}

#[tokio::test]
async fn on_paper_each_person_has_a_list_and_the_wall_the_whole_plan() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    press(&mut olga, test.task("goal").await, "not needed").await;
    let lists = olga.get("/events/1/lists").await;
    assert_eq!(lists.all("section.alone h2").len(), 9);
    assert!(!lists.text("section.alone").contains("Write down the goal"));
    let one = olga.get("/events/1/lists?who=burn%20boss").await;
    assert_eq!(one.all("section.alone h2").len(), 1);
    let wall = olga.get("/events/1/wall").await;
    assert_eq!(wall.all("tbody tr").len(), 91);
    assert!(wall.says("Burn the rooms"));
}

#[tokio::test]
async fn with_time_tasks_become_late_and_the_page_says_by_how_much() {
    let test = TestApp::planned().await;
    // The goal is due 180 days before Sat 5 Jun 2027: Mon 7 Dec.
    test.at(NOW + Duration::days(14));
    let page = test.olga().await.get("/events/1").await;
    assert!(page.text(".press li").contains("Write down the goal"));
    assert_eq!(page.text(".press .due.late"), "2 days late");
    assert_eq!(page.attributes(".press li svg", "aria-label")[0], "late");
    assert!(page.text("h2 small").starts_with("1 late"));
}

#[tokio::test]
async fn after_the_burn_what_follows_is_left() {
    let test = TestApp::planned().await;
    test.at(NOW + Duration::days(194));
    let page = test.olga().await.get("/events/1").await;
    assert_eq!(page.text(".days span"), "days since burn day");
    assert!(page.text(".note b").starts_with("The burn is over;"));
    let mut olga = test.olga().await;
    for task in test.tasks().await.iter().filter(|task| task.draft.lead.days >= 0 && !task.is_burn) {
        press(&mut olga, task.id, "done").await;
    }
    let page = olga.get("/events/1").await;
    assert!(page.text(".note b").contains("11 tasks are left"), "{}", page.text(".note b"));
    assert!(page.text(".press").contains("Return the loans"));
}

#[tokio::test]
async fn closed_days_move_what_is_counted_in_working_days() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = format!("/events/1/tasks/{}", test.task("press-reminder").await);
    assert!(olga.get(&path).await.text("dl").contains("Fri 4 Jun 2027"));
    let closed = [("on", "2027-06-03"), ("until", "2027-06-04"), ("reason", "Founders' Days")];
    assert_eq!(olga.post("/settings/closed-days", &closed).await.status, 303);
    assert!(olga.get("/settings/closed-days").await.text("#said").contains("2 closed days are added"));
    assert!(olga.get(&path).await.text("dl").contains("Wed 2 Jun 2027"));
    assert_eq!(olga.post("/settings/closed-days/remove", &[("on", "2027-06-04")]).await.status, 303);
    assert!(olga.get(&path).await.text("dl").contains("Fri 4 Jun 2027"));
}

/// Gives a task to somebody by name.
async fn name(test: &TestApp, task: i64, person: &str) {
    let mut olga = test.olga().await;
    let edit = format!("/events/1/tasks/{task}/edit");
    let form = olga.get(&edit).await.form().with("person", person).with("act", "save");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
}

/// The entries of the filter by person.
fn whose(page: &Answer) -> Vec<String> {
    page.all("#who option")
}

#[tokio::test]
async fn a_role_and_the_name_of_its_holder_are_one_list() {
    let test = TestApp::planned().await;
    name(&test, test.task("goal").await, "Olga Wren").await;
    let mut olga = test.olga().await;
    for path in ["/events/1", "/events/1/tasks", "/events/1/lists"] {
        let entries = whose(&olga.get(path).await);
        assert_eq!(entries.iter().filter(|entry| entry.contains("Olga Wren")).count(), 1, "{path}: {entries:?}");
        assert!(entries.iter().all(|entry| !entry.contains("education officer")), "{path}: {entries:?}");
        // Nobody has an account as safety officer, and a group needs none.
        assert!(entries.iter().any(|entry| entry == "safety officer (nobody holds this role yet)"), "{path}");
        assert!(entries.iter().any(|entry| entry == "volunteers"), "{path}: {entries:?}");
    }
    let lists = olga.get("/events/1/lists").await;
    let of_olga: Vec<String> = lists.all("section.alone h2").into_iter().filter(|h| h.contains("Olga Wren")).collect();
    assert_eq!(of_olga.len(), 1, "{of_olga:?}");
    // By name, by role in an old address, and as her own: the same tasks.
    let number = olga.get("/events/1/lists").await.attributes("#who option", "value");
    let number = number.iter().find(|value| value.parse::<i64>().is_ok()).unwrap().clone();
    let by_name = olga.get(&format!("/events/1/lists?who={number}")).await.all("tbody tr");
    let by_role = olga.get("/events/1/lists?who=education%20officer").await.all("tbody tr");
    let tasks = test.tasks().await;
    let hers = tasks.iter().filter(|task| task.draft.owner.as_str() == "education officer" && !task.is_burn).count();
    assert_eq!(by_name.len(), hers);
    assert_eq!(by_name, by_role);
    let chosen = olga.get("/events/1/lists?who=education%20officer").await;
    assert_eq!(chosen.attributes("#who option[selected]", "value"), [number]);
}

#[tokio::test]
async fn two_holders_of_a_role_both_have_its_tasks_on_their_own_list() {
    let test = TestApp::planned().await;
    let mut ida = test.somebody(Role::SafetyOfficer).await;
    let second = test.app.db.write(|tx| {
        Box::pin(async move {
            let role = Role::SafetyOfficer;
            accounts::invite(tx, Actor::System, "Ben Ode", "ben@example.org", role, NOW).await
        })
    });
    second.await.unwrap().unwrap();
    let task = test.tasks().await.into_iter().find(|task| task.draft.owner.as_str() == "safety officer").unwrap();
    let page = ida.get(&format!("/events/1/tasks/{}", task.id)).await;
    assert!(page.says("Somebody, safety officer and Ben Ode"), "{}", page.text("dl"));
    let lists = ida.get("/events/1/lists").await;
    let sheets = lists.all("section.alone");
    for (own, other) in [("Somebody, safety officer", "with Ben Ode"), ("Ben Ode", "with Somebody, safety officer")] {
        let sheet = sheets.iter().find(|sheet| sheet.trim_start().starts_with(own)).unwrap();
        assert!(sheet.contains(&task.draft.title) && sheet.contains(other), "{own}: {sheet}");
    }
    assert!(ida.get("/events/1?who=").await.status == 200);
    // Somebody named takes it off the list of the other.
    name(&test, task.id, "Ben Ode").await;
    let tasks = test.tasks().await;
    assert_eq!(tasks.iter().find(|known| known.id == task.id).unwrap().who(), "Ben Ode");
    let lists = ida.get("/events/1/lists").await.all("section.alone");
    let has = |own: &str| lists.iter().any(|s| s.trim_start().starts_with(own) && s.contains(&task.draft.title));
    assert!(has("Ben Ode") && !has("Somebody, safety officer"));
    // An account that is closed holds nothing.
    let number = accounts::find_by_mail(test.app.db.read(), "safety-officer@example.org").await.unwrap().unwrap().id;
    test.sql(&format!("update account set disabled_at = 1 where id = {number}"));
    let entries = whose(&test.olga().await.get("/events/1/lists").await);
    assert!(entries.iter().all(|entry| !entry.contains("Somebody, safety officer")), "{entries:?}");
}
