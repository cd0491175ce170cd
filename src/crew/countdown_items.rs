//! What the countdown shows about the crew, and how a new burn day affects it.

use super::posts::Post;
use super::problems::Problem;
use super::reply_status::{ReplyStatus, Seats};
use super::skills::with_lesser;
use super::snapshot::CrewSnapshot;
use super::{Assignment, Holding};
use crate::calc::reminder;
use crate::countdown::{Call, CountdownItems, Due, MoveLine, OnRainDate, Owner, Ready, Strand};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::people::Person;
use crate::state::App;
use crate::web::words::{self, Reader};
use futures_util::future::BoxFuture;
use std::collections::BTreeSet;
use time::{Date, Duration, OffsetDateTime};

/// How many calendar days before burn day the crew is asked, asked again, and asked whether
/// they are still coming.
const ASK: u16 = reminder::CREW_ASKED;
const CHASE: u16 = reminder::CREW_ASKED_AGAIN.days;
const AGAIN: u16 = reminder::CREW_FINAL_CHECK.days;
/// The countdown shows what is due within this many days.
const AHEAD: Duration = Duration::days(7);
/// Finding someone for an open position takes longer.
const FAR_AHEAD: Duration = Duration::days(21);

/// For the countdown: how many positions are filled, and what is due.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let snapshot = CrewSnapshot::load(&mut *app.db.read().acquire().await?, &event).await?;
        Ok(items(&snapshot, event.today(now)))
    })
}

fn items(snapshot: &CrewSnapshot, today: Date) -> CountdownItems {
    let on = snapshot.event.details.burn_on;
    if snapshot.posts.is_empty() {
        return CountdownItems::default();
    }
    let href = format!("/events/{}/crew", snapshot.event.id);
    let rain = snapshot.event.details.rain_on.filter(|_| today <= on).map(|rain| {
        let seats = snapshot.all_seats(rain);
        OnRainDate { on: rain, done: seats.filled, all: seats.filled + seats.waiting + seats.open }
    });
    let Seats { filled: done, waiting, open } = snapshot.all_seats(on);
    let ready = Ready { name: "Crew", href, done, waiting, open, what: "positions filled", rain };
    let (mut due, mut problems) = (Vec::new(), Vec::new());
    if today <= on {
        problems.extend(wrong(snapshot));
        due.extend(refusals(snapshot, today));
        due.extend(to_ask(snapshot));
        due.extend(silent(snapshot));
        due.extend(skills(snapshot));
        due.extend(not_sure(snapshot));
        due.retain(|one| one.on <= today + AHEAD);
        due.extend(snapshot.dates().filter_map(|day| gaps(snapshot, day)).filter(|gap| gap.on <= today + FAR_AHEAD));
    }
    CountdownItems { strand: Some(Strand::Crew), ready: vec![ready], due, problems, ..CountdownItems::default() }
}

/// The positions that are open on a date, or held by someone who doesn't count.
fn wrong(snapshot: &CrewSnapshot) -> impl Iterator<Item = String> {
    let is_wrong = |post: &&Post| {
        let problems = Problem::of(snapshot, post, true);
        problems.contains(&Problem::Open) || problems.contains(&Problem::Rule)
    };
    let href = |post: &Post| format!("/events/{}/crew/positions/{}", snapshot.event.id, post.id);
    snapshot.posts.iter().filter(is_wrong).map(href)
}

fn before(snapshot: &CrewSnapshot, days: u16) -> Date {
    snapshot.event.details.burn_on - Duration::days(i64::from(days))
}

fn item(snapshot: &CrewSnapshot, title: String, beneath: String, page: &str, (owner, on): (Owner, Date)) -> Due {
    Due {
        title,
        beneath,
        said: String::new(),
        href: format!("/events/{}/{page}", snapshot.event.id),
        person: None,
        owner,
        on,
        call: Call::NoOne,
        is_problem: false,
    }
}

/// The same with people to call.
fn call(item: Due, people: Vec<i64>) -> Due {
    Due { call: Call::People(people), ..item }
}

fn names<'a>(people: impl Iterator<Item = &'a Person>) -> String {
    people.map(|person| person.details.name.as_str()).collect::<Vec<_>>().join(", ")
}

/// People who said no and still have a position: someone else is needed now.
fn refusals(snapshot: &CrewSnapshot, today: Date) -> Vec<Due> {
    let on = snapshot.event.details.burn_on;
    let no =
        snapshot.assigned.iter().filter(|one| !one.is_standby && snapshot.status(one, on) == ReplyStatus::Declined);
    no.filter_map(|one| {
        let (person, post) = (snapshot.people.get(&one.person_id)?, snapshot.post(one.post_id)?);
        if snapshot.seats(post, on).open == 0 {
            return None;
        }
        let answer = snapshot.answer(one, on)?;
        let day = snapshot.event.details.zone.wall(answer.at).date();
        let title = format!("{} can't come: find someone for “{}”", person.details.name, post.details.name);
        let said = Reader::App.near_day(day, today);
        let beneath = format!("said no {}, {said}", answer.way.how());
        let item =
            item(snapshot, title, beneath, &format!("crew/positions/{}", post.id), (Owner::EducationOfficer, today));
        Some(Due { said: answer.note.clone(), is_problem: true, ..item })
    })
    .collect()
}

fn to_ask(snapshot: &CrewSnapshot) -> Option<Due> {
    let people = snapshot.to_ask();
    let named = names(people.iter().filter_map(|id| snapshot.people.get(id)));
    let title = format!("Ask {} about working the burn", words::count(people.len(), "person", "people"));
    let when = (Owner::EducationOfficer, before(snapshot, ASK));
    (!people.is_empty()).then(|| item(snapshot, title, named, "crew/ask", when))
}

/// Critical positions that are short of people.
fn gaps(snapshot: &CrewSnapshot, on: Date) -> Option<Due> {
    let critical = snapshot.posts.iter().filter(|post| post.details.is_critical);
    let short: Vec<_> =
        critical.map(|post| (post, snapshot.seats(post, on).open)).filter(|(_, open)| *open > 0).collect();
    let open: usize = short.iter().map(|(_, open)| open).sum();
    let (rain, days) = if on == snapshot.event.details.burn_on { ("", ASK) } else { (" on the rain date", CHASE) };
    let title = format!("Find {} for critical positions{rain}", words::count(open, "person", "people"));
    let beneath = short.iter().map(|(post, open)| format!("{} ({open})", post.details.name)).collect::<Vec<_>>();
    let page = match short.as_slice() {
        [] => return None,
        [(post, _)] => format!("crew/positions/{}", post.id),
        _ => "crew".to_owned(),
    };
    let when = (Owner::EducationOfficer, before(snapshot, days));
    let item = item(snapshot, title, beneath.join(", "), &page, when);
    Some(Due { is_problem: true, ..item })
}

fn silent(snapshot: &CrewSnapshot) -> Option<Due> {
    let on = snapshot.event.details.burn_on;
    let waits = |status| matches!(status, ReplyStatus::Waiting | ReplyStatus::Maybe);
    let ids: BTreeSet<i64> =
        snapshot.assigned.iter().filter(|one| waits(snapshot.status(one, on))).map(|one| one.person_id).collect();
    let named = names(ids.iter().filter_map(|id| snapshot.people.get(id)));
    let title = format!("Call {} for an answer", words::count(ids.len(), "crew member", "crew members"));
    let item = item(snapshot, title, named, "crew", (Owner::CrewLead, before(snapshot, CHASE)));
    (!ids.is_empty()).then(|| call(item, ids.into_iter().collect()))
}

/// Required qualifications that expire too soon, and those that no one has checked.
fn skills(snapshot: &CrewSnapshot) -> Vec<Due> {
    let (mut ends, mut unchecked) = (Vec::new(), Vec::new());
    for (person_id, needed) in needed(snapshot) {
        let Some(person) = snapshot.people.get(&person_id) else { continue };
        for held in snapshot.held(person_id).filter(|held| needed.contains(&held.kept.qualification_id)) {
            let name = snapshot.qualification(held.kept.qualification_id).map_or("", |one| one.name.as_str());
            let says = format!("{}: {name}", person.details.name);
            if let Some(day) = snapshot.dates().find(|on| !held.kept.holds_on(*on)) {
                ends.push(format!("{says}, not valid on {}", Reader::App.day(day)));
            }
            if held.checked.is_none() {
                unchecked.push(says);
            }
        }
    }
    let when = (Owner::SafetyOfficer, before(snapshot, CHASE));
    let ends_title = format!("Renew {} before the burn", words::count(ends.len(), "qualification", "qualifications"));
    let check_title = format!("Check {}", words::count(unchecked.len(), "qualification", "qualifications"));
    let all = [(ends_title, ends), (check_title, unchecked)];
    let some = all.into_iter().filter(|(_, lines)| !lines.is_empty());
    some.map(|(title, lines)| item(snapshot, title, lines.join("; "), "crew/people", when)).collect()
}

/// By person: the qualifications they hold that a position of theirs requires.
fn needed(snapshot: &CrewSnapshot) -> Vec<(i64, BTreeSet<i64>)> {
    let ids: BTreeSet<i64> = snapshot.assigned.iter().map(|one| one.person_id).collect();
    let needs = |id: i64| -> BTreeSet<i64> {
        let wanted: BTreeSet<i64> =
            snapshot.posts_of(id).iter().flat_map(|(_, post)| post.details.needs.clone()).collect();
        let counts = |held: &Holding| {
            let lesser = with_lesser(held.kept.qualification_id, &snapshot.qualifications);
            !lesser.is_disjoint(&wanted)
        };
        snapshot.held(id).filter(|held| counts(held)).map(|held| held.kept.qualification_id).collect()
    };
    ids.into_iter().map(|id| (id, needs(id))).collect()
}

fn not_sure(snapshot: &CrewSnapshot) -> Option<Due> {
    let coming = snapshot.coming(snapshot.event.details.burn_on);
    let unsure: Vec<&Person> = coming.into_iter().filter(|person| !snapshot.reconfirmed(person.id)).collect();
    let many = words::count(unsure.len(), "crew member who hasn't", "crew members who haven't");
    let title = format!("Call {many} confirmed again");
    let first = before(snapshot, AGAIN);
    // Until they are asked again, there is nothing to call about.
    let item = item(snapshot, title, names(unsure.iter().copied()), "burn-day/crew", (Owner::CrewLead, first));
    (!unsure.is_empty()).then(|| call(item, unsure.iter().map(|person| person.id).collect()))
}

/// What goes wrong in the crew if burn day moves to another day.
#[must_use]
#[expect(clippy::needless_pass_by_value, reason = "the places share one shape")]
pub fn moves(app: App, event: Event, to: Details, now: OffsetDateTime) -> BoxFuture<'static, Result<Vec<MoveLine>>> {
    Box::pin(async move {
        if to.burn_on == event.details.burn_on {
            return Ok(Vec::new());
        }
        let snapshot = CrewSnapshot::load(&mut *app.db.read().acquire().await?, &event).await?;
        Ok(move_lines(&snapshot, to.burn_on, event.today(now)))
    })
}

fn move_lines(snapshot: &CrewSnapshot, to: Date, today: Date) -> Vec<MoveLine> {
    let (on, day) = (snapshot.event.details.burn_on, Reader::App.near_day(to, today));
    let here = format!("/events/{}/crew", snapshot.event.id);
    let posts = snapshot.posts.iter().filter_map(|post| {
        let (now, then) = (snapshot.seats(post, on).filled, snapshot.seats(post, to).filled);
        if then >= now {
            return None;
        }
        let lost = snapshot
            .at(post.id, on)
            .into_iter()
            .filter(|one| snapshot.fills(one.assignment, on) && !snapshot.fills(one.assignment, to));
        let why = lost.map(|one| {
            let broken = snapshot.broken(one.assignment, to);
            let status = snapshot.status(one.assignment, to);
            let why = match broken.first() {
                Some(rule) if status == ReplyStatus::Confirmed => rule.words.clone(),
                _ => status.says(today),
            };
            format!("{}: {why}", one.person.details.name)
        });
        Some(MoveLine {
            what: format!("{}: {then} of {} filled on {day} ({now} now)", post.details.name, post.details.needed),
            beneath: why.collect::<Vec<_>>().join("; "),
            href: format!("{here}/positions/{}", post.id),
            is_open: true,
        })
    });
    let mut lines: Vec<MoveLine> = posts.collect();
    let asked = |one: &&Assignment| {
        snapshot.status(one, on) != ReplyStatus::NotAsked
            && matches!(snapshot.status(one, to), ReplyStatus::NotAsked | ReplyStatus::OtherDate(_))
    };
    let ids: BTreeSet<i64> = snapshot.assigned.iter().filter(asked).map(|one| one.person_id).collect();
    if !ids.is_empty() {
        let many = words::count(ids.len(), "crew member needs", "crew members need");
        lines.push(MoveLine {
            what: format!("{many} to be asked about {day}"),
            beneath: names(ids.iter().filter_map(|id| snapshot.people.get(id))),
            href: format!("{here}/ask"),
            is_open: false,
        });
    }
    lines
}
