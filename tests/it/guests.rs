//! Officials and sponsors: the order of introductions, their minutes, what is due, and
//! check-in on burn day.

use crate::support::{Answer, BURN_ON, NOW, TestApp};
use burnday::accounts::Role;
use burnday::asks::{self, Request, Said, Way};
use burnday::calc::program;
use burnday::db::journal::Actor;
use burnday::guests::{self, Details, Gives, GuestStatus, Level, Side};
use burnday::people::{self, AllPersonReferences};
use burnday::web::link;
use burnday::web::words::Reader;
use time::macros::{date, datetime, time};

/// Someone with an office, added as a new guest.
async fn official(test: &TestApp, name: &str, office: &str, jurisdiction: &str) -> i64 {
    // One address each: whoever shares one may be the same person.
    let mail = format!("guest{}@example.org", name.bytes().map(u32::from).sum::<u32>());
    add(
        test,
        &[("side", "official"), ("name", name), ("office", office), ("jurisdiction", jurisdiction), ("mail", &mail)],
    )
    .await
}

async fn add(test: &TestApp, fields: &[(&str, &str)]) -> i64 {
    let answer = test.olga().await.post("/events/1/guests/new", fields).await;
    assert_eq!(answer.status, 303, "{}", answer.body);
    answer.location().rsplit('/').next().unwrap().parse().unwrap()
}

/// Changes some fields of a guest.
async fn change(test: &TestApp, guest: i64, fields: &[(&str, &str)]) {
    let path = format!("/events/1/guests/{guest}/edit");
    let mut olga = test.olga().await;
    let mut form = olga.get(&path).await;
    let mut filled = fields_of(&mut form);
    for (name, value) in fields {
        filled = filled.with(name, value);
    }
    let answer = olga.submit(&path, &filled).await;
    assert_eq!(answer.status, 303, "{}", answer.body);
}

fn fields_of(page: &mut Answer) -> crate::support::Filled {
    page.form()
}

async fn our_places(test: &TestApp, places: &str) {
    let mut olga = test.olga().await;
    let form = olga.get("/settings/department").await.form().with("other_places", places);
    assert_eq!(olga.submit("/settings/department", &form).await.status, 303);
}

/// Invites these for both dates, and returns their questions.
async fn invite(test: &TestApp, chosen: &[i64]) -> Vec<Request> {
    let mut olga = test.olga().await;
    let mut form = olga.get("/events/1/guests/invite").await.form().without("guest");
    for guest in chosen {
        form = form.and("guest", &guest.to_string());
    }
    let answer = olga.submit("/events/1/guests/invite", &form.with("act", "invite")).await;
    assert_eq!(answer.status, 303, "{}", answer.body);
    let mut db = test.app.db.read().acquire().await.unwrap();
    asks::of_event(&mut db, 1).await.unwrap()
}

/// Answers by the emailed link, for the earliest date.
async fn says(test: &TestApp, request: &Request, said: &str, more: &[(&str, &str)]) {
    let say = format!("{} {said}", request.asks[0].id);
    let fields = [&[("say", say.as_str())], more].concat();
    assert_eq!(test.stranger().post(&test.answer_path(request.id), &fields).await.status, 303);
}

/// How many days late the countdown shows the line with this link; none if it isn't
/// late.
fn days_late(page: &Answer, href: &str) -> Option<u32> {
    let place = page.attributes(".press .t a", "href").iter().position(|there| there == href).unwrap();
    let is_late = page.attributes(".press > li > .due", "class")[place].contains("late");
    let digits: String = page.all(".press > li > .due")[place].chars().filter(char::is_ascii_digit).collect();
    is_late.then(|| digits.parse().unwrap())
}

/// Names in the order in which they are introduced.
async fn order(test: &TestApp) -> Vec<String> {
    let page = test.olga().await.get("/events/1/burn-day/cards").await;
    page.all(".card .name")
}

#[tokio::test]
async fn guests_are_introduced_in_the_order_of_the_rules_once_they_say_yes() {
    let test = TestApp::planned().await;
    our_places(&test, "Alder Bend\nDistrict 12").await;
    let senator = official(&test, "Yusra Halloran", "State senator", "District 12").await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "ALDER BEND").await;
    let visitor = official(&test, "Gwendolyn Achebe", "Mayor", "Northbend").await;
    let sponsor = add(
        &test,
        &[
            ("side", "sponsor"),
            ("sponsor_level", "2"),
            ("name", "Anselm Fairweather"),
            ("organization", "Fairweather Furniture"),
        ],
    )
    .await;
    assert_eq!(order(&test).await, Vec::<String>::new(), "no one was asked yet");

    let requests = invite(&test, &[senator, mayor, visitor, sponsor]).await;
    assert_eq!(requests.len(), 4);
    assert!(requests.iter().all(|request| request.asks.len() == 2), "for both dates");
    for request in &requests {
        says(&test, request, "yes", &[]).await;
    }
    assert_eq!(
        order(&test).await,
        [
            "The Honorable Marguerite Vance",
            "The Honorable Yusra Halloran",
            "The Honorable Gwendolyn Achebe",
            "Fairweather Furniture",
        ]
    );
    // The mayor's office is lower on the list, and goes first at home.
    let page = test.olga().await.get(&format!("/events/1/guests/{mayor}")).await;
    assert_eq!((page.mark("#place", "place"), page.mark("#place", "rank")), ("1".into(), "9".into()));
    assert_eq!(page.mark("[data-home]", "home"), "host");
    assert!(page.text("#place").contains("Yusra Halloran"), "{}", page.text("#place"));
    let next = test.olga().await.get(&format!("/events/1/guests/{senator}")).await;
    assert_eq!((next.mark("#place", "place"), next.mark("#place", "rank")), ("2".into(), "6".into()));

    // The department's list decides: with the mayor's privilege taken away, the
    // senator comes first.
    let mut olga = test.olga().await;
    let list = olga.get("/settings/guests").await;
    let form = list.form();
    let towns = list.attributes("select[name=office_town]", "aria-label");
    assert!(towns.iter().any(|label| label.contains("Mayor")), "{towns:?}");
    let mut changed = form.clone().without("office_town");
    for _ in &towns {
        changed = changed.and("office_town", "");
    }
    assert_eq!(olga.submit("/settings/guests", &changed).await.status, 303);
    assert_eq!(order(&test).await[..2], ["The Honorable Yusra Halloran", "The Honorable Marguerite Vance"]);
}

#[tokio::test]
async fn a_place_by_hand_needs_a_reason_shows_it_and_can_be_taken_back() {
    let test = TestApp::planned().await;
    our_places(&test, "Alder Bend").await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let council = official(&test, "Teodora Lindqvist", "Council member", "Alder Bend").await;
    for request in invite(&test, &[mayor, council]).await {
        says(&test, &request, "yes", &[]).await;
    }
    let path = format!("/events/1/guests/{council}");
    let mut olga = test.olga().await;
    let refused = olga.post(&format!("{path}/place"), &[("number", "1")]).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["reason".to_owned()]));
    assert_eq!(refused.value("number"), "1");
    let by_hand = [("number", "1"), ("reason", "gives the keynote")];
    assert_eq!(olga.post(&format!("{path}/place"), &by_hand).await.status, 303);
    assert_eq!(order(&test).await[0], "The Honorable Teodora Lindqvist");
    let page = olga.get(&path).await;
    assert!(page.has("#place[data-by-hand]") && page.text("#place").contains("gives the keynote"));
    let figures = ["place", "by-rule", "rank"].map(|figure| page.mark("#place", figure));
    assert_eq!(figures, ["1", "2", "11"]);
    assert!(test.dump().contains("'placed','guest'"), "the journal keeps it");
    assert!(page.text("#history").contains("gives the keynote"), "and shows it");
    assert_eq!(olga.post(&format!("{path}/rules"), &[]).await.status, 303);
    assert!(!olga.get(&path).await.has("[data-by-hand]"));
    assert_eq!(order(&test).await[0], "The Honorable Marguerite Vance");
}

#[tokio::test]
async fn a_deputy_named_at_the_door_changes_order_cards_program_and_who_is_thanked_at_once() {
    let test = TestApp::planned().await;
    our_places(&test, "Alder Bend\nAlder County\nDistrict 12").await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let county = official(&test, "Cassius Oduya", "Commissioner", "Alder County").await;
    change(&test, mayor, &[("minutes", "2"), ("least", "1")]).await;
    for request in invite(&test, &[mayor, county]).await {
        says(&test, &request, "yes", &[]).await;
    }
    assert_eq!(order(&test).await, ["The Honorable Marguerite Vance", "The Honorable Cassius Oduya"]);

    // A crew lead at the gate, twenty minutes before.
    test.at(datetime!(2027-06-05 14:40 UTC));
    let mut gate = test.somebody(Role::CrewLead).await;
    let path = format!("/events/1/guests/{mayor}/deputy");
    let refused = gate.post(&path, &[("deputy_title", "deputy mayor")]).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["deputy".to_owned()]));
    assert_eq!(gate.post(&path, &[("deputy", "Nell Harrow"), ("deputy_title", "deputy mayor")]).await.status, 303);

    // A deputy for the mayor is no host: the commissioner comes first now.
    assert_eq!(order(&test).await, ["The Honorable Cassius Oduya", "Nell Harrow"]);
    let cards = gate.get("/events/1/burn-day/cards").await;
    assert_eq!(cards.text("[data-on-behalf] bdi"), "The Honorable Marguerite Vance, Mayor, Alder Bend");
    let talk = gate.get("/events/1/guests/program").await.text(&format!("tr[data-guest='{mayor}']"));
    for name in ["Nell Harrow", "deputy mayor", "The Honorable Marguerite Vance"] {
        assert!(talk.contains(name), "{name}: {talk}");
    }
    let mut db = test.app.db.read().acquire().await.unwrap();
    let event = burnday::events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    let attending = guests::attending(&mut db, &event).await.unwrap();
    assert_eq!(attending[1].deputy, Some(("Nell Harrow".to_owned(), "deputy mayor".to_owned())));
    assert_eq!((attending[1].is_here, attending[1].status), (Some(true), GuestStatus::SendsDeputy));
    assert_eq!(attending[0].is_here, None);
    // And it is an answer like any other.
    let request = asks::of_event(&mut db, 1).await.unwrap().remove(0);
    let answer = request.stands_for(BURN_ON).unwrap();
    assert_eq!((answer.said, answer.way), (Said::Deputy, Way::InPerson));
    assert_eq!((answer.deputy.as_str(), answer.deputy_title.as_str()), ("Nell Harrow", "deputy mayor"));
    assert!(answer.evidence.contains("09:40"), "{}", answer.evidence);
    drop(db);

    // People who aren't there are neither introduced nor thanked.
    assert_eq!(gate.post(&format!("/events/1/guests/{county}/here"), &[("here", "no")]).await.status, 303);
    assert_eq!(order(&test).await, ["Nell Harrow"]);
    let mut db = test.app.db.read().acquire().await.unwrap();
    let counted = guests::attending(&mut db, &event).await.unwrap();
    let counted: Vec<bool> = counted.iter().map(guests::Attending::is_counted_on).collect();
    assert_eq!(counted, [false, true]);
    drop(db);
    assert_eq!(gate.post(&format!("/events/1/guests/{county}/here"), &[("here", "unknown")]).await.status, 303);
    assert_eq!(order(&test).await.len(), 2);
}

#[tokio::test]
async fn a_program_gives_way_by_priority_and_says_when_that_is_not_enough() {
    let test = TestApp::planned().await;
    our_places(&test, "Alder Bend").await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let council = official(&test, "Teodora Lindqvist", "Council member", "Alder Bend").await;
    change(&test, mayor, &[("minutes", "4"), ("gives", "fixed"), ("priority", "1")]).await;
    change(&test, council, &[("minutes", "4"), ("gives", "shorten or drop"), ("least", "1"), ("priority", "5")]).await;
    for request in invite(&test, &[mayor, council]).await {
        says(&test, &request, "yes", &[]).await;
    }
    let mut olga = test.olga().await;
    // Welcome 2 min, two introductions of 10 s, two talks of 4 min: 10 min 20 s of 12.
    let page = olga.get("/events/1/guests/program").await;
    assert_eq!(page.mark("[data-fit=fits]", "left"), "100", "{}", page.text("main"));
    assert!(page.has("[data-note=usual]"));
    assert_eq!(page.all("td:first-child"), ["09:35", "09:37", "09:37", "09:41"]);
    assert_eq!(page.all("td:nth-child(4)"), ["260", "43", "520", "520"]);
    let card = format!("[data-guest='{council}'] [data-speaks]");
    let cards = olga.get("/events/1/burn-day/cards").await;
    assert_eq!((cards.mark(&card, "speaks"), cards.mark(&card, "words")), ("240".into(), "520".into()));
    assert!(cards.text(&card).contains(&program::says(240)) && cards.text(&card).contains("520"));
    // 4 minutes late leave 8: the council member keeps 1 min 40 s.
    let page = olga.get("/events/1/guests/program?late=4").await;
    let talk = format!("tr[data-guest='{council}']");
    assert_eq!((page.mark(&talk, "planned"), page.mark(&talk, "lasts")), ("240".into(), "100".into()));
    assert!(page.text(&format!("{talk} td:nth-child(3)")).starts_with(&program::says(100)), "{}", page.text(&talk));
    assert!(page.text(&format!("{talk} .is-late")).contains(&program::says(240)), "{}", page.text(&talk));
    assert_eq!(page.all("td:first-child")[0], "09:39");
    // 5 minutes late: not even a minute is left.
    let page = olga.get("/events/1/guests/program?late=5").await;
    assert_eq!(page.all("del"), ["The Honorable Teodora Lindqvist"]);
    assert_eq!(page.mark("[data-fit=cut]", "cut"), "240");
    // 7 minutes late: what is fixed takes 6 min 20 s of 5.
    let page = olga.get("/events/1/guests/program?late=7").await;
    assert_eq!(page.mark("[data-fit=over]", "over"), "80", "{}", page.text("main"));
    let refused = olga.get("/events/1/guests/program?late=soon").await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["late".to_owned()]));
    assert_eq!(refused.value("late"), "soon");

    // The department's own.
    let edit = "/events/1/guests/program/edit";
    let form = olga.get(edit).await.form();
    let refused = olga.submit(edit, &form.clone().with("minutes", "40")).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["minutes".to_owned()]), "it would end after ignition");
    assert_eq!(olga.submit(edit, &form.clone().with("minutes", "20")).await.status, 303);
    let page = olga.get("/events/1/guests/program").await;
    assert_eq!(page.mark("[data-fit=fits]", "left"), "580");
    assert!(!page.has("[data-note=usual]"));
    let stale = olga.submit(edit, &form.with("minutes", "15")).await;
    assert_eq!(stale.status, 409, "someone saved it in the meantime");
    assert!(stale.says("15") && stale.says("20"));
}

/// The minutes of each guest as program, briefing, guest's page and presenter's
/// sheet say them, for programs that are long enough, short and far too short.
#[tokio::test]
async fn program_briefing_and_presenters_sheet_agree_on_who_speaks_how_long() {
    let test = TestApp::planned().await;
    our_places(&test, "Alder Bend").await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let council = official(&test, "Teodora Lindqvist", "Council member", "Alder Bend").await;
    let silent = official(&test, "Yusra Halloran", "Council member", "Alder Bend").await;
    change(&test, mayor, &[("minutes", "4"), ("gives", "fixed"), ("priority", "1")]).await;
    change(&test, council, &[("minutes", "2"), ("gives", "shorten or drop"), ("least", "1"), ("priority", "5")]).await;
    // By hand: a welcome of 2 min, three introductions of 10 s and 4 min of the mayor
    // leave the council member what is over 6 min 30 s, but not less than a minute.
    // Before anyone has answered, what they are promised is what the program would leave.
    let mut olga = test.olga().await;
    let edit = "/events/1/guests/program/edit";
    let programs = [("12", 120, "260"), ("8", 90, "195"), ("7", 0, "")];
    let mut is_invited = false;
    for (minutes, seconds, words) in programs {
        let form = olga.get(edit).await.form().with("minutes", minutes);
        assert_eq!(olga.submit(edit, &form).await.status, 303);
        if !is_invited {
            is_told(&olga.get(&format!("/events/1/guests/{council}")).await, seconds, words);
            for request in invite(&test, &[mayor, council, silent]).await {
                says(&test, &request, "yes", &[]).await;
            }
            is_invited = true;
        }
        is_told(&olga.get(&format!("/events/1/guests/{council}")).await, seconds, words);
        is_told(&olga.get(&format!("/events/1/guests/briefings?guest={council}")).await, seconds, words);
        is_told(&olga.get(&format!("/events/1/guests/briefings?guest={mayor}")).await, 240, "520");

        let program = olga.get("/events/1/guests/program").await;
        let talk = format!("tr[data-guest='{council}']");
        assert_eq!(program.mark(&talk, "lasts"), seconds.to_string(), "{minutes}");
        assert_eq!(program.has(&format!("{talk} del")), seconds == 0, "{minutes}");
        if seconds > 0 {
            let lasts = program.text(&format!("{talk} td:nth-child(3)"));
            assert!(lasts.starts_with(&program::says(seconds)), "{minutes}: {lasts}");
        }

        let sheet = olga.get("/events/1/burn-day/presenter").await;
        let speaks = format!("tr[data-guest='{council}'] [data-speaks]");
        assert_eq!(sheet.mark(&speaks, "speaks"), seconds.to_string(), "{minutes}");
        let told = sheet.text(&speaks);
        assert!(!told.is_empty());
        assert_eq!(told.contains(|c: char| c.is_ascii_digit()), seconds > 0, "{minutes}: {told}");
        assert!(seconds == 0 || told.contains(&program::says(seconds)) && told.contains(words), "{told}");
        assert!(!sheet.has(&format!("tr[data-guest='{silent}'] [data-speaks]")));

        let briefings = olga.get("/events/1/guests/briefings").await;
        assert!(briefings.has(&format!("section[data-guest='{silent}']:not([data-speaks])")));
        assert_eq!(briefings.mark(&format!("section[data-guest='{council}']"), "speaks"), seconds.to_string());
        let hint = format!("#before-you-send li[data-guest='{council}']");
        assert_eq!(briefings.count("#before-you-send li"), usize::from(seconds < 120), "{minutes}");
        if seconds < 120 {
            assert_eq!(briefings.mark(&hint, "left"), seconds.to_string());
            assert_eq!(briefings.mark(&hint, "wanted"), "120");
            assert!(briefings.text(&hint).contains("The Honorable Teodora Lindqvist"));
        }
    }
}

/// A guest's page or briefing says this time and these words, or that there is no
/// time for any.
fn is_told(page: &Answer, seconds: u32, words: &str) {
    let part = page.fact("Your part");
    assert_eq!(page.mark("[data-speaks]", "speaks"), seconds.to_string(), "{part}");
    if seconds == 0 {
        assert!(!part.is_empty() && !part.contains(|c: char| c.is_ascii_digit()), "{part}");
    } else {
        assert!(part.contains(&program::says(seconds)) && part.contains(words), "{part}");
    }
}

#[tokio::test]
async fn invitations_are_due_by_level_and_late_ones_show_in_the_countdown() {
    let test = TestApp::planned().await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let senator = official(&test, "Yusra Halloran", "State senator", "District 12").await;
    let mut olga = test.olga().await;
    // 40 and 50 working days before Sat 5 Jun 2027, counted out day by day with
    // Python: Memorial Day lies between.
    let page = olga.get("/events/1/guests/invite").await;
    for (guest, on) in [(mayor, "2027-04-09"), (senator, "2027-03-26")] {
        assert_eq!(page.attributes(&format!("li[data-guest='{guest}'] time"), "datetime"), [on]);
    }
    let invites = ".press a[href='/events/1/guests/invite']";
    let groups = |page: &Answer| page.attributes("main [data-group]", "data-group");
    assert_eq!(groups(&olga.get("/events/1/guests").await), ["not asked"]);
    assert!(!olga.get("/events/1").await.has(invites), "months ahead");
    test.at(datetime!(2027-03-26 15:00 UTC));
    // Sign-ins end after a while.
    olga = test.olga().await;
    assert_eq!(olga.get("/events/1").await.text(&format!("{invites} + .d")), "Yusra Halloran");
    test.at(datetime!(2027-04-20 15:00 UTC));
    olga = test.olga().await;
    let page = olga.get("/events/1").await;
    assert!(page.text(invites).contains('2'), "{}", page.text(invites));
    assert_eq!(page.text(&format!("{invites} + .d")), "Marguerite Vance, Yusra Halloran");
    assert_eq!(olga.get("/events/1/guests").await.count("[data-group=late] .due.late"), 2);
    let lists = olga.get("/events/1/lists").await;
    assert!(lists.all("td .takes").iter().any(|names| names == "Marguerite Vance, Yusra Halloran"));

    // Asked and silent: called, first 21 working days before; and not again before the
    // next step once someone called.
    let requests = invite(&test, &[mayor, senator]).await;
    says(&test, &requests[1], "no", &[]).await;
    // Whoever isn't coming needs no one.
    let page = olga.get("/events/1/guests").await;
    assert_eq!(groups(&page), ["waiting", "stays away"]);
    assert!(page.has("details[data-group='stays away']:not([open])"));
    test.at(datetime!(2027-05-07 15:00 UTC));
    olga = test.olga().await;
    assert_eq!(groups(&olga.get("/events/1/guests").await), ["late", "stays away"]);
    let path = format!("/events/1/guests/{mayor}");
    // By Thu 6 May.
    assert_eq!(days_late(&olga.get("/events/1").await, &path), Some(1));
    let next = |page: &Answer| ["next", "due"].map(|name| page.mark("[data-next]", name));
    assert_eq!(next(&olga.get(&path).await), ["ring", "2027-05-06"]);
    assert_eq!(olga.post(&format!("{path}/called"), &[]).await.status, 303);
    let page = olga.get("/events/1").await;
    assert!(!page.has(&format!(".press a[href='{path}']")));
    assert_eq!(next(&olga.get(&path).await), ["ring", "2027-05-21"]);
    let pips = |kind: &str| page.count(&format!(".ready a[href='/events/1/guests'] + .pips > {kind}"));
    assert_eq!((pips("span"), pips(".y"), pips(".w")), (1, 0, 1), "one is still expected");
}

#[tokio::test]
async fn an_invitation_says_what_the_office_wants_to_know() {
    let test = TestApp::planned().await;
    our_places(&test, "Alder Bend").await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let fields =
        [("minutes", "2"), ("microphone", "at the lectern"), ("met_by", "Odette Marsh"), ("seat", "front row")];
    change(&test, mayor, &fields).await;
    let mut olga = test.olga().await;
    let form = olga.get(&format!("/events/1/guests/invite?guest={mayor}")).await.form();
    let seen = olga.submit("/events/1/guests/invite", &form.clone().with("act", "see")).await;
    assert_eq!(seen.status, 200);
    let says_all = |letter: &str| {
        for said in [
            "Marguerite Vance",
            "The Honorable Marguerite Vance, Mayor, Alder Bend",
            "9:30",
            program::says(120).as_str(),
            "260",
            "Microphone: at the lectern",
            "Met by: Odette Marsh",
            "Seat: front row",
            Reader::Public.day(BURN_ON).as_str(),
            Reader::Public.day(date!(2027 - 06 - 12)).as_str(),
        ] {
            assert!(letter.contains(said), "{said}: {letter}");
        }
    };
    says_all(&seen.text(".letter"));
    let before = test.dump();
    let refused = olga.submit("/events/1/guests/invite", &form.clone().without("date")).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["date".to_owned()]));
    assert_eq!(before, test.dump(), "looking and mistakes send nothing");
    invite(&test, &[mayor]).await;
    let sent = link::without_links(&test.posted(1).await.remove(0).text, "[link]");
    says_all(&sent);
    insta::assert_snapshot!("invitation", sent);
    invite_again_asks_nobody(&test, &form).await;
    let letter = olga.get(&format!("/events/1/guests/letters?guest={mayor}")).await;
    let dear = letter.text("[data-dear]");
    assert!(dear.contains("Mayor Vance") && !dear.contains("Marguerite"), "by title and surname: {dear}");
    let printed = letter.text(".post");
    assert!(printed.contains("The Honorable Marguerite Vance") && printed.contains("555-0117"), "{printed}");
    let briefing = olga.get(&format!("/events/1/guests/briefings?guest={mayor}")).await;
    let rain = Reader::Public.day(date!(2027 - 06 - 12));
    assert!(briefing.fact("Weather").contains(&rain), "{}", briefing.fact("Weather"));
    assert_eq!(briefing.fact("Arrive"), Reader::Public.time(time!(9:30)));
    assert_eq!(briefing.fact("Microphone"), "at the lectern");
}

async fn invite_again_asks_nobody(test: &TestApp, form: &crate::support::Filled) {
    let mut olga = test.olga().await;
    let again = olga.submit("/events/1/guests/invite", &form.clone().with("act", "invite")).await;
    assert_eq!(again.status, 303);
    let mut db = test.app.db.read().acquire().await.unwrap();
    assert_eq!(asks::of_event(&mut db, 1).await.unwrap().len(), 1);
}

#[tokio::test]
async fn what_was_said_to_a_day_that_is_no_more_counts_no_more() {
    let test = TestApp::planned().await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let request = invite(&test, &[mayor]).await.remove(0);
    says(&test, &request, "yes", &[]).await;
    let mut olga = test.olga().await;
    assert_eq!(olga.post(&format!("/events/1/guests/{mayor}/here"), &[("here", "yes")]).await.status, 303);
    assert_eq!(order(&test).await.len(), 1);
    let to = [("burn_on", "2027-06-19"), ("rain_on", ""), ("version", "1")];
    assert_eq!(olga.post("/events/1/move", &to).await.status, 303);
    assert_eq!(order(&test).await, Vec::<String>::new(), "neither the yes nor the tick");
    let page = olga.get(&format!("/events/1/guests/{mayor}")).await;
    assert_eq!(page.mark("[data-day='2027-06-19']", "state"), "not asked", "{}", page.text("main"));
    assert!(page.has("[data-note=stale]"), "and says so");
}

#[tokio::test]
async fn mistakes_stand_beside_the_fields_and_a_stale_save_shows_both_texts() {
    let test = TestApp::planned().await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let path = format!("/events/1/guests/{mayor}/edit");
    let mut olga = test.olga().await;
    let form = olga.get(&path).await.form();
    let wrong = form.clone().with("minutes", "long").with("since", "ever").with("priority", "0").with("seat", "front");
    let refused = olga.submit(&path, &wrong.with("level", "sponsor").with("arrives", "soon")).await;
    assert_eq!(refused.status, 422);
    assert_eq!(refused.mistakes(), ["level", "since", "minutes", "priority", "arrives"]);
    assert_eq!((refused.value("seat"), refused.value("minutes")), ("front".into(), "long".into()));
    assert_eq!(olga.submit(&path, &form.clone().with("seat", "first row")).await.status, 303);
    let senator = form.clone().with("seat", "last row").with("office", "6");
    let stale = olga.submit(&path, &senator).await;
    assert_eq!(stale.status, 409);
    assert!(stale.says("first row") && stale.says("last row"));
    let compared = stale.all("tbody tr");
    assert!(compared.iter().any(|row| row.contains("Office") && row.contains("State senator")), "{compared:?}");
    assert_eq!(olga.submit(&path, &senator.with("version", "2")).await.status, 303, "mine over it");
    assert!(olga.get(&format!("/events/1/guests/{mayor}")).await.says("last row"));

    let empty = olga.post("/events/1/guests/new", &[("side", "official")]).await;
    assert_eq!((empty.status, empty.mistakes()), (422, vec!["person".to_owned()]));
    let list = olga.get("/settings/guests").await.form();
    let refused = olga.submit("/settings/guests", &list.clone().with("rate", "9000")).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["rate".to_owned()]));
    assert_eq!(olga.submit("/settings/guests", &list.clone().with("rate", "120")).await.status, 303);
    assert_eq!(olga.submit("/settings/guests", &list.with("rate", "140")).await.status, 409);
    let page = olga.get("/events/1/guests/program").await;
    assert_eq!(page.mark("[data-rate]", "rate"), "120");
    assert!(page.text("[data-rate]").contains("120"));
}

#[tokio::test]
async fn an_invited_guest_goes_only_after_the_invitation_is_taken_back() {
    let test = TestApp::planned().await;
    let mayor = official(&test, "Marguerite Vance", "Mayor", "Alder Bend").await;
    let request = invite(&test, &[mayor]).await.remove(0);
    let mut olga = test.olga().await;
    let refused = olga.post(&format!("/events/1/guests/{mayor}/remove"), &[]).await;
    assert_eq!(refused.location(), format!("/events/1/replies/{}", request.id));
    assert_eq!(olga.get(&format!("/events/1/guests/{mayor}")).await.status, 200);
    olga.post(&format!("/events/1/replies/{}/withdraw", request.id), &[]).await;
    assert_eq!(olga.post(&format!("/events/1/guests/{mayor}/remove"), &[]).await.location(), "/events/1/guests");
    assert_eq!(olga.get(&format!("/events/1/guests/{mayor}")).await.status, 404);
}

#[tokio::test]
async fn names_of_any_script_and_length_hold() {
    let test = TestApp::planned().await;
    let long = format!("Ægir {}", "von und zu Überlingen-".repeat(4));
    for name in ["נועה שמש", "Rúna Þórsdóttir", long.trim_end_matches('-')] {
        let id = official(&test, name, "Council member", "Alder Bend").await;
        let page = test.olga().await.get(&format!("/events/1/guests/{id}")).await;
        assert_eq!(page.text("h1[dir=auto]"), format!("The Honorable {name}"));
    }
    let script = "<script>alert(1)</script>";
    let id = official(&test, script, script, script).await;
    for path in [format!("/events/1/guests/{id}"), "/events/1/guests".into(), "/events/1/burn-day/guests".into()] {
        let page = test.olga().await.get(&path).await;
        assert!(page.attributes("script:not([src])", "defer").is_empty() && !page.body.contains(script), "{path}");
    }
}

#[tokio::test]
async fn somebody_merged_stays_a_guest_and_somebody_forgotten_is_none() {
    let test = TestApp::planned().await;
    let twice = test.person("L. Brandt", "leocadia@example.org").await;
    let once = test.person("Leocadia Brandt", "leocadia@example.org").await;
    let details =
        Details { sponsor_level: Some(1), seat: "second row".into(), ..Details::of(Side::Sponsor, Level::Sponsor) };
    let guest = test.guest(twice, details).await;
    let (gone, keep) = (twice, once);
    let all = AllPersonReferences(&[guests::PERSON_REFERENCES]);
    let merge = test.app.db.write(move |tx| Box::pin(async move { all.reassign(tx, gone, keep).await }));
    let moved = merge.await.unwrap();
    let mut olga = test.olga().await;
    assert!(olga.get(&format!("/events/1/guests/{guest}")).await.says("Leocadia Brandt"));
    let back = test.app.db.write(move |tx| {
        let moved = moved.clone();
        Box::pin(async move { all.undo(tx, &moved, keep, gone).await })
    });
    back.await.unwrap();
    assert!(olga.get(&format!("/events/1/guests/{guest}")).await.says("L. Brandt"));
    olga.post(&format!("/people/{twice}/erase"), &[("version", "1")]).await;
    assert_eq!(olga.get(&format!("/events/1/guests/{guest}")).await.status, 404);
    assert_eq!(olga.get("/events/1/guests").await.status, 200);
    let guests = guests::of_event(&mut test.app.db.read().acquire().await.unwrap(), 1).await.unwrap();
    assert_eq!(guests[0].details.seat, "");
}

#[tokio::test]
async fn everybody_reads_and_only_the_officer_decides() {
    let test = TestApp::asked().await;
    let mut reader = test.somebody(Role::Reader).await;
    let page = reader.get("/events/1/guests/1").await;
    assert_eq!(page.status, 200);
    assert!(
        !page.body.contains("wren@example.org") && page.all("main button").is_empty(),
        "{:?}",
        page.all("main button")
    );
    assert!(reader.get("/events/1/burn-day/guests").await.all("main button").is_empty());
    let mut lead = test.somebody(Role::CrewLead).await;
    assert_eq!(lead.post("/events/1/guests/1/here", &[("here", "yes")]).await.status, 303);
    assert_eq!(lead.post("/events/1/guests/1/place", &[("number", "1"), ("reason", "so")]).await.status, 403);
    assert_eq!(lead.post("/events/1/guests/1/here", &[("here", "perhaps")]).await.status, 400);
}

#[tokio::test]
async fn time_in_office_decides_between_two_of_one_office() {
    let test = TestApp::planned().await;
    our_places(&test, "Alder County").await;
    let later = official(&test, "Cassius Oduya", "Commissioner", "Alder County").await;
    let longer = official(&test, "Ingrid Solberg", "Commissioner", "Alder County").await;
    let former = official(&test, "Piet Marlowe", "Governor", "Alder County").await;
    change(&test, later, &[("since", "2019")]).await;
    change(&test, longer, &[("since", "2011-03-01")]).await;
    change(&test, former, &[("former", "yes"), ("gives", Gives::Drop.as_str())]).await;
    for request in invite(&test, &[later, longer, former]).await {
        says(&test, &request, "yes", &[]).await;
    }
    let names = ["The Honorable Ingrid Solberg", "The Honorable Cassius Oduya", "The Honorable Piet Marlowe"];
    assert_eq!(order(&test).await, names);
    let guests = guests::of_event(&mut test.app.db.read().acquire().await.unwrap(), 1).await.unwrap();
    assert_eq!(guests[0].details.since_day(), Some(date!(2019 - 01 - 01)));
    let people = people::everyone(&mut test.app.db.read().acquire().await.unwrap()).await.unwrap();
    assert!(people.iter().any(|person| person.details.office == "Commissioner"));
    // A place by hand can be set through the store as well as on the page.
    let (guest, reason) = (guests[0].clone(), "hosts the county's table");
    let set = test.app.db.write(move |tx| {
        let guest = guest.clone();
        Box::pin(async move { guests::set_place(tx, Actor::System, (&guest, "C"), Some((1, reason)), NOW).await })
    });
    set.await.unwrap();
    assert_eq!(order(&test).await[0], "The Honorable Cassius Oduya");
}
