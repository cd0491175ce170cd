use crate::support::{Answer, BURN_ON, Browser, NOW, TestApp};
use burnday::accounts::{self, Role};
use burnday::calc::calendar::Basis;
use burnday::countdown::TaskState;
use burnday::db::journal::{self, Actor};
use burnday::gifts;
use burnday::web::words::{self, Reader};
use time::Duration;
use time::macros::{date, datetime, time};

async fn press(browser: &mut Browser, task: i64, state: &str) -> Answer {
    let fields = [("state", state), ("waiting_for", "the chief"), ("back", "/events/1")];
    browser.post(&format!("/events/1/tasks/{task}/state"), &fields).await
}

/// The title of a task in the template.
async fn title(test: &TestApp, key: &str) -> String {
    test.tasks().await.into_iter().find(|task| task.key.as_deref() == Some(key)).unwrap().details.title
}

/// A link to a task.
fn link(task: i64) -> String {
    format!("a[href='/events/1/tasks/{task}']")
}

/// How many tasks of the first strand are done, and how many it has.
async fn approved(browser: &mut Browser) -> (String, String) {
    let page = browser.get("/events/1").await;
    (page.mark("[data-ready=Approval]", "done"), page.mark("[data-ready=Approval]", "all"))
}

#[tokio::test]
async fn the_page_says_what_to_do_now_and_what_sets_the_date() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    assert_eq!(page.text(".days b"), "192");
    assert!(page.text(".what").contains(&Reader::App.moment(BURN_ON.with_time(time!(10:00)))));
    // Thu, Mar 18 is the first day the usual plan can meet.
    assert_eq!((page.mark("#chain", "earliest").as_str(), page.mark("#chain", "spare").as_str()), ("2027-03-18", "79"));
    assert!(page.has(&format!("#chain ol {}", link(test.task("site-permission").await))));
    assert!(page.has("#chain [data-note=common-practice]"));
    assert_eq!(page.all(".ready li").len(), 9);
    assert_eq!(approved(&mut olga).await, ("0".to_owned(), "7".to_owned()));
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
    assert!(!page.said().is_empty());
    assert!(page.has(&format!(".waits {}", link(task))));
    assert_eq!(olga.get("/events/1").await.said(), "", "said once");

    press(&mut olga, task, "done").await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    assert_eq!(page.mark("[data-state]", "state"), "done");
    let when = Reader::App.moment(datetime!(2026-11-25 09:00));
    assert!(page.fact("Status").contains(&format!("Olga Wren, {when}")), "{}", page.fact("Status"));
    let history = page.all(".history li");
    assert!(history.len() == 2 && history[0].contains("Olga Wren"), "{history:?}");
    assert_eq!(approved(&mut olga).await.0, "1");

    press(&mut olga, task, "to do").await;
    assert_eq!(approved(&mut olga).await.0, "0");
}

#[tokio::test]
async fn a_task_can_be_done_on_an_earlier_day_but_not_a_later_one() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = format!("/events/1/tasks/{}/state", test.task("goal").await);
    let late = olga.post(&path, &[("state", "done"), ("on", "2026-11-26")]).await;
    assert_eq!(late.status, 422);
    assert_eq!(late.mistakes(), ["on"]);
    assert_eq!(olga.post(&path, &[("state", "done"), ("on", "2026-11-20")]).await.status, 303);
    assert_eq!(test.tasks().await[0].done_on, Some(date!(2026 - 11 - 20)));
}

#[tokio::test]
async fn a_press_on_what_somebody_changed_meanwhile_is_not_kept() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("goal").await;
    let path = format!("/events/1/tasks/{task}/state");
    olga.post(&path, &[("state", "done"), ("on", "2026-11-20"), ("seen", "to do")]).await;
    olga.post(&path, &[("state", "waiting"), ("waiting_for", "the chief"), ("seen", "to do")]).await;
    let said = olga.get("/events/1").await.said();
    assert!(said.contains("Olga Wren") && said.contains(&title(&test, "goal").await), "who was faster: {said}");
    let goal = test.tasks().await[0].clone();
    assert_eq!((goal.state, goal.waiting_for.as_str()), (TaskState::Done, ""));
    assert_eq!(goal.done_on, Some(date!(2026 - 11 - 20)));
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
        assert_eq!(answer.mistakes(), ["waiting_for"]);
        assert_eq!(answer.attributes("#since", "value"), ["2026-11-10"], "what was typed stays");
    }
    let answer = olga.post(&path, &[("state", "waiting"), ("waiting_for", "the county"), ("on", "2026-11-26")]).await;
    assert_eq!((answer.status, answer.value("waiting_for").as_str()), (422, "the county"));
    assert_eq!(answer.mistakes(), ["since"]);
    assert_eq!(before, test.dump());
    // No button in a list marks a task as waiting. It leads to the form that asks what for.
    for list in ["/events/1", "/events/1/tasks"] {
        let list = olga.get(list).await;
        assert_eq!(list.all("button[value='waiting']").len(), 0);
        assert!(list.attributes(".press .acts a", "href").contains(&format!("{page}#waiting")));
    }

    olga.post(&path, &[("state", "waiting"), ("waiting_for", "the county's reply")]).await;
    let page = olga.get(&page).await;
    assert_eq!(page.mark("[data-state]", "state"), "waiting");
    assert!(page.fact("Status").contains("the county's reply"), "{}", page.fact("Status"));
    assert!(olga.get("/events/1").await.text(".waits").contains("the county's reply"));
    // The store refuses a waiting task that doesn't say what it waits for.
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
    let end = Reader::App.near_day(date!(2027 - 01 - 03), date!(2026 - 11 - 25));
    assert!(page.fact("Projected finish").contains(&end), "45 days from Fri 20 Nov: {}", page.text("dl"));
    assert_eq!(page.count(".history li"), 1);
    let told = journal::of(test.app.db.read(), "task", task).await.unwrap();
    assert_eq!(told.len(), 1);
    assert_eq!(told[0].changes.iter().map(|change| change.field.as_str()).collect::<Vec<_>>(), ["started"]);
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
    assert!(page.has("[data-mine]"));
    let outlets = test.task("outlet-list").await;
    assert!(page.has(&format!(".press {}", link(outlets))) && !page.has(&format!(".press {}", link(others))));
    assert!(!page.has("a[href='/events/1/move']"));

    // A task given to a person by name is theirs, whatever its role.
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
    let draft = test.tasks().await.into_iter().find(|task| task.is_burn).unwrap().details;
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
    assert!(olga.get("/events/1/tasks?state=waiting").await.has("[data-empty=tasks]"));
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
    assert_eq!(seen.mark("#effects", "was"), olga.get("/events/1").await.mark("#chain", "spare"));
    let (was, spare): (i32, i32) =
        (seen.mark("#effects", "was").parse().unwrap(), seen.mark("#effects", "spare").parse().unwrap());
    assert!(spare < was, "{was} to {spare}");
    for days in [was, spare].map(|days| words::days(days.unsigned_abs(), Basis::Calendar)) {
        assert!(seen.text("#effects").contains(&days), "{days}: {}", seen.text("#effects"));
    }
    assert!(seen.text("table").contains("Ask the county once more"));
    assert_eq!(seen.value("title"), "Ask the county once more");
    assert_eq!(test.tasks().await.len(), 92);

    let saved = olga.submit("/events/1/tasks/new", &form.with("act", "save")).await;
    assert_eq!(saved.status, 303);
    assert_eq!(olga.get("/events/1").await.mark("#chain", "spare"), spare.to_string(), "as it was told");
    let page = olga.get(saved.location()).await;
    assert!(page.fact("Lead time").contains(&words::days(10, Basis::Working)), "{}", page.fact("Lead time"));
    assert_eq!(page.mark("[data-due]", "due"), "2027-05-21");
    let earlier = page.text(&format!("[data-task='{permits}']"));
    assert!(earlier.contains(&words::days(40, Basis::Calendar)), "{earlier}");
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
    assert_eq!(answer.mistakes(), ["title", "lead", "duration", "links"]);
    assert!(answer.text(".summary").contains('4'), "{}", answer.text(".summary"));
    assert!(answer.mistake("links").contains(&title(&test, "goal").await));
    let typed = [("title", " "), ("lead", "-3"), ("duration", "0"), ("links", "the goal, twice")];
    let remedies = typed.map(|(field, value)| format!("{field}: {value} → {}", answer.mistake(field)));
    insta::assert_snapshot!("mistakes-in-a-task", remedies.join("\n"));
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
        assert_eq!(answer.mistakes(), ["links"]);
        let mistake = answer.mistake("links");
        for key in ["goal", "format", "chief-approval"] {
            assert!(mistake.contains(&title(&test, key).await), "{key}: {mistake}");
        }
    }
    assert!(test.tasks().await[0].details.links.is_empty());
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
    let cells = conflict.all("main td");
    for days in ["90 ", "104 "] {
        assert_eq!(cells.iter().filter(|cell| cell.starts_with(days)).count(), 1, "{days}: {cells:?}");
    }
    let stands = || async { test.tasks().await.into_iter().find(|task| task.id == id).unwrap().details };
    assert_eq!(stands().await.title, "Draw the site plan with the county");
    let links = stands().await.links;

    // Saving mine over theirs sends what was typed with the version that was seen.
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
    let name = title(&test, "site-plan").await;
    let page = olga.get(&path).await;
    assert!(page.text("[data-note=later-tasks]").contains(&title(&test, "burn-permit").await), "{}", page.text("main"));
    assert!(page.has("#effects"));
    let stale = olga.post(&path, &[("version", "7")]).await;
    assert!(stale.location().ends_with(&format!("/tasks/{plan}")));
    assert_eq!(test.tasks().await.len(), 92);

    assert_eq!(olga.post(&path, &[("version", "1")]).await.status, 303);
    let tasks = test.tasks().await;
    assert_eq!(tasks.len(), 91);
    let permit = tasks.iter().find(|task| task.id == permit).unwrap();
    assert!(permit.details.links.iter().any(|link| link.earlier == owner && link.lag == 0));
    let told = journal::of(test.app.db.read(), "task", plan).await.unwrap();
    assert_eq!(
        (told[0].who.as_str(), told[0].verb.as_str(), told[0].title.as_str()),
        ("Olga Wren", "removed", name.as_str())
    );
    let newest = olga.get("/events/1/journal").await.text(".history li");
    assert!(newest.contains("Olga Wren") && newest.contains(&name), "{newest}");
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
async fn on_paper_each_person_has_a_list() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    press(&mut olga, test.task("goal").await, "not needed").await;
    let lists = olga.get("/events/1/lists?who=all").await;
    assert_eq!(lists.all("section.alone h2").len(), 9);
    let goal = title(&test, "goal").await;
    assert!(lists.all("section.alone").iter().all(|list| !list.contains(&goal)));
    let one = olga.get("/events/1/lists?who=burn%20boss").await;
    assert_eq!(one.all("section.alone h2").len(), 1);
}

#[tokio::test]
async fn with_time_tasks_become_late_and_the_page_says_by_how_much() {
    let test = TestApp::planned().await;
    // The goal is due 180 days before Sat, Jun 5, 2027: Mon, Dec 7.
    test.at(NOW + Duration::days(14));
    let page = test.olga().await.get("/events/1").await;
    assert!(page.text(".press li").contains(&title(&test, "goal").await));
    let late = page.text(".press .due.late");
    assert!(late.contains(&words::days(2, Basis::Calendar)), "{late}");
    assert_eq!(page.attributes(".press li svg", "aria-label")[0], "late");
    assert_eq!(page.mark("#now", "late"), "1");
}

#[tokio::test]
async fn after_the_burn_what_follows_is_left() {
    let test = TestApp::planned().await;
    let before = test.olga().await.get("/events/1").await;
    assert!(!before.has("#chain[data-left]"));
    test.at(NOW + Duration::days(194));
    let page = test.olga().await.get("/events/1").await;
    assert_eq!(page.text(".days b"), "2");
    assert_ne!(page.text(".days span"), before.text(".days span"), "since burn day, not to it");
    assert!(page.mark("#chain", "left").parse::<usize>().unwrap() > 11, "{}", page.text("#chain"));
    let mut olga = test.olga().await;
    for task in test.tasks().await.iter().filter(|task| task.details.lead.days >= 0 && !task.is_burn) {
        press(&mut olga, task.id, "done").await;
    }
    let page = olga.get("/events/1").await;
    assert_eq!(page.mark("#chain", "left"), "11");
    assert!(page.has(&format!(".press {}", link(test.task("loans-returned").await))));
}

#[tokio::test]
async fn closed_days_move_what_is_counted_in_working_days() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = format!("/events/1/tasks/{}", test.task("press-reminder").await);
    assert_eq!(olga.get(&path).await.mark("[data-due]", "due"), "2027-06-04");
    let closed = [("on", "2027-06-03"), ("until", "2027-06-04"), ("reason", "Founders' Days")];
    assert_eq!(olga.post("/settings/closed-days", &closed).await.status, 303);
    let page = olga.get("/settings/closed-days").await;
    assert_eq!(page.attributes("[data-closed]", "data-closed"), ["2027-06-03", "2027-06-04"]);
    assert_eq!(olga.get(&path).await.mark("[data-due]", "due"), "2027-06-02");
    assert_eq!(olga.post("/settings/closed-days/remove", &[("on", "2027-06-04")]).await.status, 303);
    assert_eq!(olga.get(&path).await.mark("[data-due]", "due"), "2027-06-04");
}

/// Gives a task to someone by name.
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
    for path in ["/events/1", "/events/1/tasks"] {
        let page = olga.get(path).await;
        let entries = whose(&page);
        assert_eq!(entries.iter().filter(|entry| entry.contains("Olga Wren")).count(), 1, "{path}: {entries:?}");
        assert!(entries.iter().all(|entry| !entry.contains("education officer")), "{path}: {entries:?}");
        // No one has an account as safety officer, and a group needs none.
        assert!(page.has("#who option[value='safety officer'][data-unheld]"), "{path}: {entries:?}");
        assert!(page.has("#who option[value=volunteers]:not([data-unheld])"), "{path}: {entries:?}");
        assert!(entries.iter().any(|entry| entry == "volunteers"), "{path}: {entries:?}");
    }
    let lists = olga.get("/events/1/lists").await;
    assert!(lists.has("[data-list='safety officer'][data-unheld]") && !lists.has("[data-list='education officer']"));
    assert!(lists.has("[data-list=volunteers]:not([data-unheld])"));
    let all = olga.get("/events/1/lists?who=all").await;
    for names in [lists.all("[data-list] .t a"), all.all("section.alone h2")] {
        assert_eq!(names.iter().filter(|name| name.contains("Olga Wren")).count(), 1, "{names:?}");
    }
    // By name, and by role in an old link: the same tasks.
    let number = lists.mark("[data-own]", "list");
    let by_name = olga.get(&format!("/events/1/lists?who={number}")).await.all("tbody tr");
    let by_role = olga.get("/events/1/lists?who=education%20officer").await.all("tbody tr");
    let tasks = test.tasks().await;
    let hers = tasks.iter().filter(|task| task.details.owner.as_str() == "education officer" && !task.is_burn).count();
    assert_eq!(by_name.len(), hers);
    assert_eq!(by_name, by_role);
    let chosen = olga.get("/events/1/tasks?who=education%20officer").await;
    assert_eq!(chosen.attributes("#who option[selected]", "value"), [number]);
}

/// The numbers of an entry in the list of lists: open and late.
fn counts(page: &Answer, list: &str) -> [usize; 2] {
    ["open", "late"].map(|mark| page.mark(&format!("[data-list='{list}']"), mark).parse().unwrap())
}

#[tokio::test]
async fn lists_open_on_who_has_how_much_and_ones_own_list() {
    let test = TestApp::planned().await;
    // On Wed, Dec 9, the goal has been late since Mon, Dec 7.
    test.at(NOW + Duration::days(14));
    let mut jun = test.somebody(Role::InformationOfficer).await;
    let page = jun.get("/events/1/lists").await;
    let lists = page.attributes("[data-list]", "data-list");
    assert_eq!(lists[0], page.mark("[data-own]", "list"), "one's own comes first: {lists:?}");
    assert_eq!(page.all("section.alone h2").len(), 1, "{:?}", page.all("h2"));
    assert!(page.text("section.alone h2").contains("Somebody, information officer"));
    assert_eq!(counts(&page, &lists[0]), [page.count("section.alone tbody tr"), 0]);
    let olgas = lists.iter().find(|list| page.text(&format!("[data-list='{list}'] .t")).contains("Olga Wren")).unwrap();
    let [open, late] = counts(&page, olgas);
    assert_eq!(late, 1);

    // One at a time, or all of them, each on its own page.
    let hers = jun.get(&format!("/events/1/lists?who={olgas}")).await;
    assert_eq!((hers.count("[data-list]"), hers.count("section.alone"), hers.count("tbody tr")), (0, 1, open));
    assert_eq!(hers.count("td.is-late"), late);
    let all = jun.get("/events/1/lists?who=all").await;
    assert_eq!((all.count("[data-list]"), all.count("section.alone")), (0, lists.len()));
    assert!(jun.get("/events/1/lists?who=-1").await.has("[data-empty=lists]"));
    // Somebody who has nothing to do sees what the others have.
    let reader = test.somebody(Role::Reader).await.get("/events/1/lists").await;
    assert_eq!((reader.count("section.alone"), reader.has("[data-own]")), (0, false));
    assert_eq!(reader.count("[data-list]"), lists.len());
    assert_eq!(test.stranger().get("/events/1/lists").await.status, 303);
}

#[tokio::test]
async fn the_late_thing_that_does_the_most_harm_comes_first_by_name() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(!olga.get("/events/1").await.has("#worst"), "nothing is late");
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let gift = test.gift(wren, "folding chairs", gifts::GiftStatus::Promised).await;
    test.sql(&format!("update gift set promised_by = '2026-11-26' where id = {gift}"));
    // The goal was due on Mon, Dec 7, and the whole plan waits for it.
    test.at(NOW + Duration::days(14));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    let goal = test.task("goal").await;
    assert_eq!(page.attributes("#worst b a", "href"), [format!("/events/1/tasks/{goal}")]);
    assert!(["critical path", "holds up"].contains(&page.mark("#worst", "why").as_str()), "{}", page.text("#worst"));
    for part in [title(&test, "goal").await, words::days(2, Basis::Calendar), "Olga Wren".to_owned()] {
        assert!(page.text("#worst").contains(&part), "{part}: {}", page.text("#worst"));
    }
    // A gift has been late for longer, and nothing in the plan waits for it.
    let gift = format!("/events/1/guests/gifts/{gift}");
    assert_eq!(page.attributes("#worst .d a", "href"), std::slice::from_ref(&gift));
    // The list of what to do has the same order.
    let listed = page.attributes(".now .press .t a", "href");
    assert_eq!(listed[..2], [format!("/events/1/tasks/{goal}"), gift.clone()]);
    press(&mut olga, goal, "done").await;
    let page = olga.get("/events/1").await;
    assert_eq!(page.attributes("#worst b a", "href"), [gift]);
    assert!(page.text("#worst").contains(&words::days(13, Basis::Calendar)), "{}", page.text("#worst"));
    // It is Olga's: no one else is bothered with it on their own page.
    let timekeeper = test.somebody(Role::Timekeeper).await.get("/events/1").await;
    assert!(timekeeper.has("[data-mine]") && !timekeeper.has("#worst"));
}

#[tokio::test]
async fn a_line_of_another_place_offers_the_call_and_where_to_log_it() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let gift = test.gift(wren, "folding chairs", gifts::GiftStatus::Promised).await;
    test.sql(&format!("update gift set promised_by = '2026-11-24' where id = {gift}"));
    test.sql(&format!("update person set phone = '5555550135' where id = {wren}"));
    let everyone = "/events/1?who=";
    let line = format!(".press li:has(a[href='/events/1/guests/gifts/{gift}'])");
    let page = test.olga().await.get(everyone).await;
    let calls = format!("{line} [data-call]");
    assert_eq!(page.attributes(&calls, "href"), ["tel:+15555550135"]);
    assert!(page.text(&calls).contains(&words::phone("5555550135")), "{}", page.text(&calls));
    assert_eq!(page.attributes(&format!("{line} [data-act]"), "href"), [format!("/events/1/guests/gifts/{gift}")]);
    assert!(!page.has(&format!("{line} button")), "it isn't done here");
    // Tasks keep their own buttons.
    assert!(page.has(&format!(".press form[action='/events/1/tasks/{}/state']", test.task("goal").await)));

    // The list of another person shows it to anyone; the phone only to some.
    let olgas = page.attributes("#who option", "value").into_iter().find(|value| value.parse::<i64>().is_ok()).unwrap();
    for (role, sees_phone, acts) in
        [(Role::SafetyOfficer, true, true), (Role::Timekeeper, false, true), (Role::Reader, false, false)]
    {
        let page = test.somebody(role).await.get(&format!("/events/1?who={olgas}")).await;
        assert!(page.has(&line), "{role}: {}", page.text("main"));
        assert_eq!(page.has("a[href^='tel:']"), sees_phone, "{role}");
        assert_eq!(page.has(&format!("{line} [data-act]")), acts, "{role}");
    }
}

#[tokio::test]
async fn a_task_says_how_to_reach_whoever_is_responsible() {
    let test = TestApp::planned().await;
    let mut jun = test.somebody(Role::InformationOfficer).await;
    test.sql("update person set phone = '555-0118', mail = 'jun@example.org' where name like 'Somebody, info%'");
    let page = format!("/events/1/tasks/{}", test.task("news-release").await);
    let links = |page: &Answer| page.attributes("[data-reach] a", "href");
    assert_eq!(links(&test.olga().await.get(&page).await), ["tel:555-0118", "mailto:jun@example.org"]);
    assert!(links(&jun.get(&page).await).is_empty(), "nobody calls themselves");
    for role in [Role::Timekeeper, Role::Reader] {
        let seen = test.somebody(role).await.get(&page).await;
        assert!(links(&seen).is_empty() && !seen.says("555-0118"), "{role}");
    }
}

#[tokio::test]
async fn a_task_shows_what_other_places_have_for_it() {
    let test = TestApp::walked().await;
    let mut olga = test.olga().await;
    let path = |task: i64| format!("/events/1/tasks/{task}");
    for (key, place) in [("loan-requests", "loans"), ("outlet-list", "press"), ("crew-posts", "crew")] {
        let page = olga.get(&path(test.task(key).await)).await;
        assert_eq!(page.attributes("#needs [data-place] a", "href"), [format!("/events/1/{place}")], "{key}");
    }
    // A release is for its own task, a loan for the one it was given to.
    let (advisory, clock) = (test.task("media-advisory").await, test.task("clock-sound-test").await);
    let paper = "#needs [data-need] a[href='/events/1/press/releases/1']";
    assert!(olga.get(&path(advisory)).await.has(paper));
    test.sql(&format!("update loan set task_id = {clock} where id = 1"));
    test.at(NOW + Duration::minutes(2));
    let lines = |page: &Answer| page.all("#needs [data-need] .t");
    let has_loan = |page: &Answer| lines(page).iter().any(|line| line.starts_with("Sports clock"));
    let page = olga.get(&path(clock)).await;
    assert!(has_loan(&page) && !page.has(paper), "{}", page.text("#needs"));
    assert_eq!(page.mark("#needs", "needs").parse::<usize>().unwrap(), page.count("#needs [data-need]"));
    assert!(!has_loan(&olga.get(&path(test.task("loan-fallbacks").await)).await));
    // Nothing else has anything for this one, and a task that is done needs nothing.
    assert!(!olga.get(&path(test.task("goal").await)).await.has("#needs"));
    press(&mut olga, clock, "done").await;
    assert!(!olga.get(&path(clock)).await.has("#needs"));
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
    let task = test.tasks().await.into_iter().find(|task| task.details.owner.as_str() == "safety officer").unwrap();
    let page = ida.get(&format!("/events/1/tasks/{}", task.id)).await;
    let who = page.fact("Responsible");
    assert!(who.contains("Somebody, safety officer") && who.contains("Ben Ode"), "{who}");
    let lists = ida.get("/events/1/lists?who=all").await;
    let sheets = lists.all("section.alone");
    for (own, other) in [("Somebody, safety officer", "Ben Ode"), ("Ben Ode", "Somebody, safety officer")] {
        let sheet = sheets.iter().find(|sheet| sheet.trim_start().starts_with(own)).unwrap();
        assert!(sheet.contains(&task.details.title) && sheet.contains(other), "{own}: {sheet}");
    }
    assert!(ida.get("/events/1?who=").await.status == 200);
    // Naming someone takes it off the other's list.
    name(&test, task.id, "Ben Ode").await;
    let tasks = test.tasks().await;
    assert_eq!(tasks.iter().find(|known| known.id == task.id).unwrap().who(), "Ben Ode");
    let lists = ida.get("/events/1/lists?who=all").await.all("section.alone");
    let has = |own: &str| lists.iter().any(|s| s.trim_start().starts_with(own) && s.contains(&task.details.title));
    assert!(has("Ben Ode") && !has("Somebody, safety officer"));
    // A closed account has no role.
    let number = accounts::find_by_mail(test.app.db.read(), "safety-officer@example.org").await.unwrap().unwrap().id;
    test.sql(&format!("update account set disabled_at = 1 where id = {number}"));
    let entries = test.olga().await.get("/events/1/lists").await.all("[data-list] .t a");
    assert!(entries.iter().all(|entry| !entry.contains("Somebody, safety officer")), "{entries:?}");
}
