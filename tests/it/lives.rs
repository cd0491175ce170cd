//! Random lives of an event: people are asked and answer, the date moves and moves back,
//! the time and place change, emails fail, people are merged, a copy is restored. After
//! each step, everyone who was ever asked has exactly what is true in their newest email
//! and their calendar, or is on the list of people to update.
//!
//! What someone has is read from the emails themselves, as a mail program and a calendar
//! would read them (RFC 5545, RFC 5546), never from what the app thinks they know. Nothing
//! can be known about questions asked after a restored copy was made, so they are left
//! out. `BURNDAY_TEST_LIVES=10000 cargo test --test it lives` runs that many.

use crate::support::{self, Answer, Browser, Posted, TestApp};
use burnday::asks::{self, Request, Said};
use burnday::db::journal::Actor;
use burnday::events::{self, Details, Event, Format, VisitorFacts, Weekdays};
use burnday::web::link::Opens;
use burnday::web::words::{self, Reader};
use burnday::zone::Zone;
use burnday::{background, countdown};
use burnday::{mail, people};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use tempfile::TempDir;
use time::macros::time;
use time::{Date, Duration, Time, Weekday};

const STEPS: usize = 14;
/// How many lives share a store. Making a store takes longer than a life, and what runs
/// every minute runs for all of them.
const LIVES_A_STORE: u64 = 4;
const DATES: [Date; 4] = [
    time::macros::date!(2027 - 10 - 02),
    time::macros::date!(2027 - 10 - 09),
    time::macros::date!(2027 - 10 - 16),
    time::macros::date!(2027 - 10 - 23),
];
const HOURS: [Time; 3] = [time!(10:00), time!(13:00), time!(9:30)];
const SITES: [&str; 3] = ["Fairground, east lot", "School field", "Station 2 yard"];
const ADDRESSES: [&str; 2] = ["1200 Fairground Road", "7 School Street"];

/// An email as its reader has it.
#[derive(Debug, Clone)]
struct Letter {
    request: i64,
    /// The kind of email: the first word of its key.
    what: String,
    text: String,
    calendars: Vec<Entry>,
}

/// A calendar file: its method, and the entry in it.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Entry {
    method: String,
    uid: String,
    sequence: u32,
    start: String,
    is_hold: bool,
}

fn entry(method: &str, text: &str) -> Entry {
    let text = text.replace("\r\n ", "");
    let value = |name: &str| {
        let line = text.lines().find(|line| line.starts_with(&format!("{name}:")));
        line.map(|line| line[name.len() + 1..].to_owned()).unwrap_or_default()
    };
    Entry {
        method: method.to_owned(),
        uid: value("UID"),
        sequence: value("SEQUENCE").parse().unwrap(),
        start: value("DTSTART"),
        is_hold: value("STATUS") == "TENTATIVE",
    }
}

/// What someone without email was told in a call: dates, each with whether it is the rain
/// date, time, place and address.
type Heard = (BTreeSet<(Date, bool)>, Time, String, String);

struct Life {
    test: TestApp,
    olga: Browser,
    random: StdRng,
    event_id: i64,
    people: Vec<i64>,
    /// The people with an address.
    mailed: BTreeSet<i64>,
    /// Everything that went out or is on its way, by Message-ID, in order.
    letters: Vec<(String, Letter)>,
    /// What a call or a page told someone since their newest email, by question.
    heard: BTreeMap<i64, Heard>,
    copy: Option<(TempDir, BTreeSet<i64>)>,
    steps: Vec<String>,
}

impl Life {
    async fn begin(test: TestApp, seed: u64) -> Self {
        let mut random = StdRng::seed_from_u64(seed);
        let details = Details {
            name: format!("Burn {seed}"),
            site: SITES[0].to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: DATES[1],
            burn_time: HOURS[0],
            rain_on: random.random_bool(0.6).then_some(DATES[2]),
            format: Format::OneAtATime,
            audience: None,
            weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
            visitors: VisitorFacts::default(),
        };
        let now = test.app.clock.now();
        let add = test.app.db.write(move |tx| {
            Box::pin(async move {
                let id = events::create(tx, Actor::Account(1), &details, now).await?;
                countdown::add_template(tx, Actor::Account(1), id, now).await?;
                Ok(id)
            })
        });
        let event_id = add.await.unwrap();
        let olga = test.olga().await;
        let (people, mailed, letters, heard, copy, steps) = <_>::default();
        Self { test, olga, random, event_id, people, mailed, letters, heard, copy, steps }
    }

    async fn event(&self) -> Event {
        events::find(self.test.app.db.read(), self.event_id).await.unwrap().unwrap()
    }

    async fn requests(&self) -> Vec<Request> {
        asks::of_event(&mut self.test.app.db.read().acquire().await.unwrap(), self.event_id).await.unwrap()
    }

    fn pick<T: Clone>(&mut self, all: &[T]) -> Option<T> {
        (!all.is_empty()).then(|| all[self.random.random_range(0..all.len())].clone())
    }

    fn answer_path(&self, request: &Request) -> String {
        let secret = self.test.app.link_key.secret(Opens::Question, request.id, request.link_number);
        format!("/answer/{}", secret.reveal())
    }

    fn path(&self, below: &str) -> String {
        format!("/events/{}{below}", self.event_id)
    }

    async fn step(&mut self) {
        match self.random.random_range(0..100) {
            0..20 => self.ask().await,
            20..22 => self.ask_again().await,
            22..48 => self.answer().await,
            48..56 => self.answer_by_hand().await,
            56..70 => self.change_date().await,
            70..80 => self.change_facts().await,
            80..84 => self.take_back().await,
            84..88 => self.fail_one().await,
            88..92 => self.tell_all().await,
            92..94 => self.merge().await,
            94..96 => self.copy().await,
            96..98 => self.put_copy_back().await,
            _ => {}
        }
        let minutes = [1, 11, 11, 11, 700][self.random.random_range(0..5)];
        let now = self.test.app.clock.now() + Duration::minutes(minutes);
        self.test.at(now);
        // The relay may be down for this step.
        if self.random.random_bool(0.7) {
            background::tick(&self.test.app).await.unwrap();
        }
    }

    async fn ask(&mut self) {
        let number = self.people.len();
        let has_mail = self.random.random_bool(0.75);
        let address = if has_mail { format!("p{}-{number}@example.org", self.event_id) } else { String::new() };
        let name = format!("Person {}-{number}", self.event_id);
        let person = self.test.person(&name, &address).await;
        self.people.push(person);
        let has_rain = self.event().await.details.rain_on.is_some();
        let both = has_rain && self.random.random_bool(0.6);
        let path = self.path("/replies/new?kind=help");
        let mut form = self.olga.get(&path).await.form();
        form = form.with("question", "Can you walk the spectator line?").and("person", &person.to_string());
        if both {
            form = form.and("date", "rain date");
        }
        let answer = self.olga.submit(&self.path("/replies/new"), &form.and("act", "ask")).await;
        assert_eq!(answer.status, 303, "{}", answer.body);
        self.steps.push(format!("asked {name}, both {both}, mail {has_mail}"));
        if has_mail {
            self.mailed.insert(person);
        } else {
            // People without an address are asked in a call.
            let request = self.requests().await.into_iter().rfind(|request| request.person_id == person).unwrap();
            self.heard.insert(request.id, heard(&request, &self.event().await));
        }
    }

    /// The button on the Replies page asks people about the dates they haven't been asked
    /// about.
    async fn ask_again(&mut self) {
        let page = self.olga.get(&self.path("/replies")).await;
        let ticked = page.attributes("#again input[name=request]", "value");
        let fields: Vec<(&str, &str)> = ticked.iter().map(|id| ("request", id.as_str())).collect();
        assert_eq!(self.olga.post(&self.path("/replies/again"), &fields).await.status, 303);
        self.steps.push(format!("asked again: {ticked:?}"));
    }

    /// By the link of the newest page, or an older one.
    async fn answer(&mut self) {
        let open: Vec<Request> = self.requests().await.into_iter().filter(|request| !request.is_withdrawn).collect();
        let Some(request) = self.pick(&open).filter(|request| self.mailed.contains(&request.person_id)) else { return };
        let said = self.pick(&["yes", "yes", "yes", "no", "maybe"]).unwrap();
        let Some(ask) = self.pick(&request.asks) else { return };
        let live: Vec<String> = request.live().map(|ask| ask.id.to_string()).collect();
        let is_both = live.len() == 2 && self.random.random_bool(0.3);
        let say = if is_both { format!("{} {said}", live.join("+")) } else { format!("{} {said}", ask.id) };
        let mut reader = self.test.stranger();
        // From their own address: no one answers this often.
        reader.address =
            format!("192.0.2.{}:{}", self.random.random_range(1..255), self.random.random_range(1024..65535))
                .parse()
                .unwrap();
        let status = reader.post(&self.answer_path(&request), &[("say", &say)]).await.status;
        let is_late = ask.is_lapsed && !is_both;
        let closed = self.test.app.clock.now() >= request.closes_at;
        assert!(status == 303 || (status == 409 && is_late && !closed) || status == 422, "{status} {say}");
        if status == 409 {
            // The page says how it is now.
            self.heard.insert(request.id, heard(&request, &self.event().await));
        }
        self.steps.push(format!("question {} answered: {say}", request.id));
    }

    async fn answer_by_hand(&mut self) {
        let open: Vec<Request> = self.requests().await.into_iter().filter(|request| !request.is_withdrawn).collect();
        let Some(request) = self.pick(&open) else { return };
        let live: Vec<i64> = request.live().map(|ask| ask.id).collect();
        let Some(ask) = self.pick(&live) else { return };
        let said = self.pick(&["yes", "no", "maybe"]).unwrap();
        let path = self.path(&format!("/replies/{}/answers", request.id));
        let ask = ask.to_string();
        let fields = [("ask", ask.as_str()), ("said", said), ("way", "phone"), ("evidence", "called, 10:20")];
        assert_eq!(self.olga.post(&path, &fields).await.status, 303);
        self.steps.push(format!("question {} answered by phone: {ask} {said}", request.id));
    }

    async fn change_date(&mut self) {
        let event = self.event().await;
        let others: Vec<Date> = DATES.into_iter().filter(|on| *on != event.details.burn_on).collect();
        let on = self.pick(&others).unwrap();
        let on = event.details.rain_on.filter(|_| self.random.random_bool(0.4)).unwrap_or(on);
        let later: Vec<Date> = DATES.into_iter().filter(|other| *other > on).collect();
        let rain = self.pick(&later).filter(|_| self.random.random_bool(0.6)).map(words::iso).unwrap_or_default();
        let (on, version) = (words::iso(on), event.version.to_string());
        let again = if self.random.random_bool(0.6) { "yes" } else { "" };
        let fields = [("burn_on", on.as_str()), ("rain_on", rain.as_str()), ("version", &version), ("again", again)];
        let answer = self.olga.post(&self.path("/move"), &fields).await;
        assert_eq!((answer.status, answer.location()), (303, self.path("").as_str()), "{fields:?}");
        self.steps.push(format!("moved to {on}, rain {rain}, again {again}"));
    }

    async fn change_facts(&mut self) {
        let form = self.olga.get(&self.path("/edit")).await.form();
        let (time, site) = (self.pick(&HOURS).unwrap(), self.pick(&SITES).unwrap());
        let address = self.pick(&ADDRESSES).unwrap();
        let rain = if self.random.random_bool(0.3) { Some("") } else { None };
        let form = form.with("burn_time", &words::iso_time(time)).with("site", site);
        let mut form = form.with("address", address).and("act", "save");
        if let Some(rain) = rain {
            form = form.with("rain_on", rain);
        }
        let answer = self.olga.submit(&self.path("/edit"), &form.and("again", "yes")).await;
        assert_eq!(answer.status, 303, "{}", answer.body);
        self.steps.push(format!("changed to {}, {site}, {address}, rain {rain:?}", words::iso_time(time)));
    }

    async fn take_back(&mut self) {
        let open: Vec<Request> = self.requests().await.into_iter().filter(|request| !request.is_withdrawn).collect();
        let Some(request) = self.pick(&open) else { return };
        assert_eq!(self.olga.post(&self.path(&format!("/replies/{}/withdraw", request.id)), &[]).await.status, 303);
        self.steps.push(format!("question {} taken back", request.id));
    }

    /// A relay refuses someone's newest email.
    async fn fail_one(&mut self) {
        let newest: BTreeMap<i64, (i64, String)> =
            self.posted().await.map(|mail| (mail.request, (mail.id, mail.message_id))).collect();
        let newest: Vec<(i64, String)> = newest.into_values().collect();
        let Some((id, message_id)) = self.pick(&newest) else { return };
        let now = self.test.app.clock.now();
        let fail = self.test.app.db.write(move |tx| {
            Box::pin(async move { mail::note_past(tx, id, Some("550 5.1.1 no such user"), now).await })
        });
        fail.await.unwrap();
        self.letters.retain(|(known, _)| *known != message_id);
        self.steps.push(format!("mail {id} failed"));
    }

    /// Someone works through the list: by email and by phone, or all by phone.
    async fn tell_all(&mut self) {
        let page = self.olga.get(&self.path("/replies")).await;
        let ticked = page.attributes("#tell input[type=checkbox]", "value");
        let ticked = if self.random.random_bool(0.7) { ticked } else { Vec::new() };
        let fields: Vec<(&str, &str)> = ticked.iter().map(|id| ("request", id.as_str())).collect();
        self.olga.post(&self.path("/replies/tell"), &fields).await;
        let page = self.olga.get(&self.path("/replies")).await;
        let as_of = page.attributes("#tell input[name=as_of]", "value");
        for (id, as_of) in listed(&page).into_iter().zip(as_of) {
            self.olga.post(&self.path(&format!("/replies/{id}/told")), &[("as_of", &as_of)]).await;
            let request = self.requests().await.into_iter().find(|request| request.id == id).unwrap();
            self.heard.insert(id, heard(&request, &self.event().await));
        }
        assert!(self.listed().await.is_empty(), "everyone was told\n{}", self.steps.join("\n"));
        self.steps.push(format!("told {} by mail and the rest by phone", ticked.len()));
    }

    /// Two contact records are the same person.
    async fn merge(&mut self) {
        let all = self.people.clone();
        let (Some(one), Some(other)) = (self.pick(&all), self.pick(&all)) else { return };
        let both = self.mailed.contains(&one) && self.mailed.contains(&other);
        if one == other || !both {
            return;
        }
        let path = format!("/people/{one}/merge");
        let form = self.olga.get(&format!("{path}?with={other}")).await.form_at(&format!("form[action='{path}']"));
        let answer = self.olga.submit(&path, &form).await;
        assert_eq!(answer.status, 303, "{}", answer.body);
        self.people.retain(|person| *person != other);
        self.steps.push(format!("merged {other} into {one}"));
    }

    /// Someone makes a copy of the store.
    async fn copy(&mut self) {
        let folder = tempfile::tempdir().unwrap();
        self.test.app.db.copy_into(&folder.path().join(burnday::db::FILE)).await.unwrap();
        std::fs::copy(self.test.folder.path().join("link-key"), folder.path().join("link-key")).unwrap();
        let listed = self.listed().await;
        self.copy = Some((folder, listed));
        self.steps.push("a copy was made".to_owned());
    }

    /// The store is lost, and the copy is put in its place.
    async fn put_copy_back(&mut self) {
        let Some((folder, were_listed)) = self.copy.take() else { return };
        let app = support::open(folder.path(), &[]).await;
        app.clock.set(self.test.app.clock.now());
        self.test = quick(TestApp::of(app, folder));
        self.olga = self.test.olga().await;
        // No one can know who was asked since then.
        let known = self.requests().await;
        let people = people::everyone(&mut self.test.app.db.read().acquire().await.unwrap()).await.unwrap();
        let people: BTreeSet<i64> = people.iter().map(|person| person.id).collect();
        self.people.retain(|person| people.contains(person));
        self.mailed.retain(|person| people.contains(person));
        self.heard.retain(|id, _| known.iter().any(|request| request.id == *id));
        let asks: BTreeSet<String> =
            known.iter().flat_map(|one| &one.asks).map(|ask| format!("ask-{}", ask.id)).collect();
        self.letters.retain(|(_, letter)| known.iter().any(|request| request.id == letter.request));
        for (_, letter) in &mut self.letters {
            letter.calendars.retain(|entry| asks.contains(entry.uid.split('@').next().unwrap()));
        }
        // What was waiting then goes out again.
        let waiting: Vec<String> =
            self.posted().await.filter(|mail| mail.state == "waiting").map(|mail| mail.message_id).collect();
        self.letters.retain(|(id, _)| !waiting.contains(id));
        self.steps.push("the copy was put back".to_owned());
        let open = known.iter().filter(|request| !request.is_withdrawn).map(|request| request.id);
        // And everyone on the list when it was made.
        let all: BTreeSet<i64> = open.chain(were_listed).collect();
        assert_eq!(
            self.listed().await,
            all,
            "everyone who may know something newer is listed\n{}",
            self.steps.join("\n")
        );
        assert_eq!(self.olga.post("/mail/release", &[]).await.status, 303);
    }

    async fn posted(&self) -> impl Iterator<Item = Posted> + use<> {
        self.test.posted(self.event_id).await.into_iter()
    }

    /// The kind of each email: the first word of its key, by number.
    #[expect(clippy::disallowed_methods, reason = "the macro checks the queries of the app alone")]
    async fn kinds(&self) -> BTreeMap<i64, String> {
        let query = "select id, dedup from mail where event_id = ?";
        let rows: Vec<(i64, String)> =
            sqlx::query_as(query).bind(self.event_id).fetch_all(self.test.app.db.read()).await.unwrap();
        rows.into_iter().map(|(id, key)| (id, key.split('/').next().unwrap().to_owned())).collect()
    }

    /// The people on the list to update.
    async fn listed(&mut self) -> BTreeSet<i64> {
        listed(&self.olga.get(&self.path("/replies")).await).into_iter().collect()
    }

    /// Takes in what went out or is on its way.
    async fn read_mail(&mut self) {
        let mut waiting: BTreeMap<i64, usize> = BTreeMap::new();
        let kinds = self.kinds().await;
        for mail in self.posted().await {
            let request = mail.request;
            if mail.state == "waiting" {
                *waiting.entry(request).or_default() += 1;
            }
            if !matches!(mail.state.as_str(), "waiting" | "sending" | "sent" | "uncertain") {
                // No one has an email that never left.
                self.letters.retain(|(known, _)| *known != mail.message_id);
                continue;
            }
            if self.letters.iter().any(|(known, _)| *known == mail.message_id) {
                continue;
            }
            self.heard.remove(&request);
            let calendars = mail.calendars.iter().map(|(method, text)| entry(method, text)).collect();
            let what = kinds[&mail.id].clone();
            self.letters.push((mail.message_id, Letter { request, what, text: mail.text, calendars }));
        }
        for (request, many) in waiting {
            assert_eq!(many, 1, "two emails wait about question {request}\n{}", self.steps.join("\n"));
        }
    }

    /// The entries in someone's calendar about a question.
    fn calendar(&self, request: i64) -> BTreeMap<String, Entry> {
        let mut calendar: BTreeMap<String, Entry> = BTreeMap::new();
        let mut newest: BTreeMap<String, u32> = BTreeMap::new();
        for (_, letter) in self.letters.iter().filter(|(_, letter)| letter.request == request) {
            for entry in &letter.calendars {
                let number = newest.entry(entry.uid.clone()).or_default();
                // An older number is ignored (RFC 5546 section 2.1.4).
                if entry.sequence < *number {
                    continue;
                }
                *number = entry.sequence;
                if entry.method == "CANCEL" {
                    calendar.remove(&entry.uid);
                } else {
                    calendar.insert(entry.uid.clone(), entry.clone());
                }
            }
        }
        calendar
    }

    async fn check(&mut self) {
        self.read_mail().await;
        let (event, listed) = (self.event().await, self.listed().await);
        for request in self.requests().await {
            if listed.contains(&request.id) {
                continue;
            }
            let steps = self.steps.join("\n");
            if let Some(known) = self.heard.get(&request.id) {
                check_heard(&request, &event, known, &steps);
                continue;
            }
            let newest = self.letters.iter().rev().find(|(_, letter)| letter.request == request.id);
            let Some((_, newest)) = newest else { continue };
            let mine = self.letters.iter().filter(|(_, letter)| letter.request == request.id);
            let mine: Vec<String> = mine.map(|(id, letter)| format!("{id}: {:?}", letter.calendars)).collect();
            check_calendar(&request, &event, &self.calendar(request.id), &format!("{steps}\n{}", mine.join("\n")));
            check_text(&request, &event, newest, &steps);
        }
    }
}

/// What someone was last told is true, if they might come on any date.
fn check_heard(request: &Request, event: &Event, known: &Heard, steps: &str) {
    let now = heard(request, event);
    let said_no = |ask: &asks::Ask| ask.stands().is_some_and(|answer| answer.said == Said::No);
    let is_open = request.live().any(|ask| !said_no(ask)) && !request.is_withdrawn;
    let is_no = |on: &Date| {
        let newest = request.asks.iter().filter(|ask| ask.for_on == *on).max_by_key(|ask| ask.id);
        newest.and_then(asks::Ask::last).is_some_and(|answer| answer.said == Said::No)
    };
    let reckons = known.0.iter().any(|(on, _)| !is_no(on));
    let counts = is_open || (now.0.is_empty() && reckons && request.is_willing());
    assert!(*known == now || !counts, "question {}: heard {known:?}, is {now:?}\n{steps}", request.id);
}

/// The same, without the pauses between emails.
fn quick(mut test: TestApp) -> TestApp {
    test.change(|app| app.mailer = Arc::new(mail::Mailer::new(&app.config, support::post::quick()).unwrap()));
    test
}

/// The numbers on the list of people to update.
fn listed(page: &Answer) -> Vec<i64> {
    let actions = page.attributes("#tell form[action$='/told']", "action");
    actions.iter().map(|action| action.split('/').nth(4).unwrap().parse().unwrap()).collect()
}

/// What is true for someone, as a caller would say it.
fn heard(request: &Request, event: &Event) -> Heard {
    let live = request.live().filter(|_| !request.is_withdrawn);
    let dates = live.map(|ask| (ask.for_on, Some(ask.for_on) == event.details.rain_on)).collect();
    let Details { burn_time, site, visitors, .. } = event.details.clone();
    (dates, burn_time, site, visitors.address)
}

/// The calendar has the dates answered with yes, at their time, and no others.
fn check_calendar(request: &Request, event: &Event, calendar: &BTreeMap<String, Entry>, steps: &str) {
    let yes = |ask: &&asks::Ask| !request.is_withdrawn && ask.stands().is_some_and(|answer| answer.said == Said::Yes);
    let zone = &event.details.zone;
    let expected: BTreeSet<(i64, bool)> = request
        .live()
        .filter(yes)
        .map(|ask| {
            let start = zone.instant(ask.for_on, event.details.burn_time).unwrap();
            (start.unix_timestamp(), Some(ask.for_on) == event.details.rain_on)
        })
        .collect();
    let format = time::macros::format_description!("[year][month][day]T[hour][minute][second]Z");
    let start = |entry: &Entry| time::PrimitiveDateTime::parse(&entry.start, format).unwrap().assume_utc();
    let found: BTreeSet<(i64, bool)> =
        calendar.values().map(|entry| (start(entry).unix_timestamp(), entry.is_hold)).collect();
    assert_eq!(found, expected, "the calendar of question {}: {calendar:?}\n{steps}", request.id);
}

/// The newest email says the dates, the time, the place and the answers.
fn check_text(request: &Request, event: &Event, newest: &Letter, steps: &str) {
    let text = newest.text.as_str();
    let shown = format!("question {}\n{steps}\n{text}", request.id);
    let line = |label: &str| text.lines().find_map(|line| line.strip_prefix(&format!("{label}: ")).map(str::to_owned));
    let asked: Vec<&asks::Ask> = request.live().collect();
    // Someone who said no to every date, and knows it, doesn't need to know more.
    let all_no = asked.iter().all(|ask| ask.stands().is_some_and(|answer| answer.said == Said::No));
    // A line about a change has the label, too, with another day beside it.
    let date = |label: &str| line(label).and_then(|text| DATES.into_iter().find(|on| Reader::Public.day(*on) == text));
    let told = [(date("Day"), false), (date("Rain date"), true)];
    let told: Vec<String> = told.into_iter().filter_map(|(on, is_rain)| Some(asks::day_says(on?, is_rain))).collect();
    let knows_only_no = !told.is_empty() && told.iter().all(|day| text.contains(&asks::said_to(Said::No, day)));
    // Nor does someone told about a change and asked nothing, until they are asked.
    let waits = asked.is_empty() && newest.what == "change" && !text.contains(Opens::Question.path());
    if waits || all_no && (!asked.is_empty() || knows_only_no || !request.is_willing()) {
        return;
    }
    if request.is_withdrawn {
        assert_ne!(newest.what, "confirm", "{shown}");
        return;
    }
    assert_eq!(line("First fire"), Some(Reader::Public.time(event.details.burn_time)), "{shown}");
    assert_eq!(line("Where").as_deref(), Some(event.details.site.as_str()), "{shown}");
    let address = event.details.visitors.address.as_str();
    assert_eq!(line("Address").as_deref(), Some(address).filter(|address| !address.is_empty()), "{shown}");
    let day = |is_rain: bool| {
        let ask = asked.iter().find(|ask| (Some(ask.for_on) == event.details.rain_on) == is_rain);
        ask.map(|ask| ask.for_on)
    };
    assert_eq!(line("Day"), day(false).map(|on| Reader::Public.day(on)), "{shown}");
    assert_eq!(date("Rain date"), day(true), "{shown}");
    for ask in asked {
        let day = asks::day_says(ask.for_on, Some(ask.for_on) == event.details.rain_on);
        let says = |said: Said| text.contains(&asks::said_to(said, &day));
        match ask.stands().map(|answer| answer.said) {
            Some(said @ (Said::Yes | Said::No | Said::Maybe)) => assert!(says(said), "{shown}"),
            Some(Said::Deputy) | None => assert!(!Said::ALL.into_iter().any(says), "{shown}"),
        }
    }
}

#[tokio::test]
async fn after_every_step_of_a_life_everybody_holds_what_is_true_or_is_listed() {
    let lives: u64 = std::env::var("BURNDAY_TEST_LIVES").ok().and_then(|text| text.parse().ok()).unwrap_or(40);
    let mut test = quick(TestApp::set_up().await);
    let first: u64 = std::env::var("BURNDAY_TEST_FIRST").ok().and_then(|text| text.parse().ok()).unwrap_or(0);
    for seed in first..lives {
        if seed % LIVES_A_STORE == 0 {
            test = quick(TestApp::set_up().await);
        }
        let mut life = Life::begin(test, seed).await;
        for _ in 0..STEPS {
            life.step().await;
            life.check().await;
        }
        test = life.test;
    }
}
