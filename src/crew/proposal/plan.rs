//! The proposal for both dates, and what applying it would change.

use crate::asks::{Request, Said};
use crate::calc::duties;
use crate::calc::staffing::{self, Answer, Bar, Held, Person, Priority, Proposal};
use crate::crew::reply_status::ReplyStatus;
use crate::crew::rules::span;
use crate::crew::snapshot::{CrewSnapshot, is_ours};
use crate::crew::{Assignment, skills};
use crate::web::link::hex;
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use time::Date;

/// What is proposed for one date.
#[derive(Debug)]
pub(super) struct Dated {
    pub on: Date,
    pub people: Vec<Person>,
    pub posts: Vec<staffing::Post>,
    pub found: Proposal,
}

/// One change that applying the proposal makes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Change {
    /// Assigns a person to a position.
    Put { person: i64, post: i64, is_for_rain: bool },
    /// Makes an alternate primary.
    Seat { assignment: i64 },
    /// Makes someone who is assigned an alternate.
    StandBy { assignment: i64 },
    /// Removes someone who gets another position instead.
    Off { assignment: i64 },
}

/// The proposal, burn day first.
#[derive(Debug)]
pub(super) struct Plan {
    pub dates: Vec<Dated>,
    pub changes: Vec<Change>,
    /// Position and person of places on the rain date that are not assigned.
    pub rain_alone: Vec<(i64, i64)>,
    /// Changes whenever anything the proposal is made from changes.
    pub fingerprint: String,
    made_from: String,
}

impl Plan {
    /// None if `is_stopped` says to stop before it is done.
    pub(super) fn of(snapshot: &CrewSnapshot, least: Answer, is_stopped: impl Fn() -> bool) -> Option<Self> {
        let mut dates: Vec<Dated> = Vec::new();
        for on in snapshot.dates() {
            if is_stopped() {
                return None;
            }
            let at = dates.first().map_or_else(|| now_at(snapshot), |burn| seats_of(&burn.found));
            let posts = posts(snapshot, on);
            let people = people(snapshot, on, &at);
            let found = staffing::propose(&posts, &people, least);
            dates.push(Dated { on, people, posts, found });
        }
        let changes = changes(snapshot, &dates);
        let rain_alone = rain_alone(snapshot, &dates, &changes);
        let mut text = format!("{least:?} {changes:?}");
        for dated in &dates {
            // Writing to a string can't fail.
            let _ = write!(text, " {dated:?}");
        }
        Some(Self { dates, changes, rain_alone, fingerprint: digest(&text), made_from: made_from(snapshot) })
    }

    /// Is this what it was made from?
    pub(super) fn is_made_from(&self, snapshot: &CrewSnapshot) -> bool {
        self.made_from == made_from(snapshot)
    }
}

/// The positions on a date that no one could take over from someone who has one there:
/// everyone else said no, can't be there, lacks a qualification, or has another duty then.
pub(in crate::crew) fn without_backup(snapshot: &CrewSnapshot, on: Date) -> BTreeSet<i64> {
    let (posts, people) = (posts(snapshot, on), people(snapshot, on, &now_at(snapshot)));
    let alone = posts.iter().filter(|post| {
        let there = snapshot.assigned.iter().filter(|one| one.post_id == post.id && !one.is_standby);
        let counts = there.filter(|one| snapshot.status(one, on) != ReplyStatus::Declined);
        let there: BTreeSet<i64> = counts.map(|one| one.person_id).collect();
        let mut others = people.iter().filter(|person| !there.contains(&person.id));
        !there.is_empty() && !others.any(|person| could_take_over(snapshot, post, person, on))
    });
    alone.map(|post| post.id).collect()
}

fn could_take_over(snapshot: &CrewSnapshot, post: &staffing::Post, person: &Person, on: Date) -> bool {
    staffing::bars(post, person, Answer::NotAsked).is_empty()
        && snapshot.post(post.id).is_some_and(|post| snapshot.clashes(post, person.id, on).is_empty())
}

fn digest(text: &str) -> String {
    hex(&Sha256::digest(text.as_bytes()))
}

/// Everything a proposal is made from.
fn made_from(snapshot: &CrewSnapshot) -> String {
    let at = now_at(snapshot);
    let mut text = format!("{:?}", snapshot.assigned);
    for on in snapshot.dates() {
        // Writing to a string can't fail.
        let _ = write!(text, " {on} {:?} {:?}", posts(snapshot, on), people(snapshot, on, &at));
    }
    digest(&text)
}

/// The positions of each person who is assigned.
fn now_at(snapshot: &CrewSnapshot) -> BTreeMap<i64, Vec<i64>> {
    let mut at: BTreeMap<i64, Vec<i64>> = BTreeMap::new();
    for one in &snapshot.assigned {
        at.entry(one.person_id).or_default().push(one.post_id);
    }
    at
}

fn seats_of(found: &Proposal) -> BTreeMap<i64, Vec<i64>> {
    let mut at: BTreeMap<i64, Vec<i64>> = BTreeMap::new();
    for seat in &found.seats {
        at.entry(seat.person).or_default().push(seat.post);
    }
    at
}

fn posts(snapshot: &CrewSnapshot, on: Date) -> Vec<staffing::Post> {
    let post = |post: &crate::crew::Post| {
        let details = &post.details;
        Some(staffing::Post {
            id: post.id,
            duty: details.duty,
            seats: details.needed.into(),
            hours: span(details.hours, on)?,
            needs: details.needs.clone(),
            priority: if details.is_critical { Priority::Critical } else { Priority::Usual },
        })
    };
    snapshot.posts.iter().filter_map(post).collect()
}

/// Everyone the crew knows, with their answers for a date.
fn people(snapshot: &CrewSnapshot, on: Date, at: &BTreeMap<i64, Vec<i64>>) -> Vec<Person> {
    let mut ids: Vec<i64> = snapshot.people.keys().copied().collect();
    ids.sort_unstable();
    let person = |id: i64| {
        let (day, posts) = said(snapshot, id, on);
        let there = snapshot.hours(id, on).map(|hours| span(hours, on).into_iter().collect::<Vec<duties::Hours>>());
        Person {
            id,
            holds: holds(snapshot, id, on),
            there,
            day,
            posts,
            at: at.get(&id).cloned().unwrap_or_default(),
            fixed: fixed(snapshot, id, on),
        }
    };
    ids.into_iter().map(person).collect()
}

/// Their answers for a date: for each position they have, and the best of all answers for
/// every other position.
fn said(snapshot: &CrewSnapshot, person: i64, on: Date) -> (Answer, Vec<(i64, Answer)>) {
    let of = |request: &Request| match request.stands_for(on).map(|answer| answer.said) {
        Some(Said::Yes | Said::Deputy) => Answer::Yes,
        Some(Said::Maybe) => Answer::Maybe,
        Some(Said::No) => Answer::No,
        None => Answer::Waiting,
    };
    let asked = snapshot.requests.iter().filter(|one| is_ours(one) && one.person_id == person && one.asks_about(on));
    let all: Vec<Answer> = asked.map(of).collect();
    let best = all.iter().copied().min().unwrap_or(Answer::NotAsked).min(Answer::NotAsked);
    let theirs = snapshot.assigned.iter().filter(|one| one.person_id == person);
    let posts = theirs.filter_map(|one| Some((one.post_id, of(snapshot.question(one, on)?)))).collect();
    // Someone who said only no isn't there.
    let day = if best == Answer::NotAsked && all.contains(&Answer::No) { Answer::No } else { best };
    (day, posts)
}

fn holds(snapshot: &CrewSnapshot, person: i64, on: Date) -> Vec<Held> {
    let mut held = Vec::new();
    for holding in snapshot.held(person) {
        let is_expired = !holding.kept.holds_on(on);
        let all = skills::with_lesser(holding.kept.qualification_id, &snapshot.qualifications);
        held.extend(all.into_iter().map(|qualification| Held { qualification, is_expired }));
    }
    held
}

/// Positions that someone has because a rule was overridden.
fn fixed(snapshot: &CrewSnapshot, person: i64, on: Date) -> Vec<i64> {
    let stays = |one: &&Assignment| {
        one.person_id == person
            && !one.is_standby
            && one.rule_override.is_some()
            && snapshot.status(one, on) != ReplyStatus::Declined
            && snapshot.broken(one, on).is_empty()
    };
    snapshot.assigned.iter().filter(stays).map(|one| one.post_id).collect()
}

/// Assignments cover the whole event, so both dates become one: the people placed on burn
/// day, and those without a position then who fill one on the rain date.
fn changes(snapshot: &CrewSnapshot, dates: &[Dated]) -> Vec<Change> {
    let Some(burn) = dates.first() else { return Vec::new() };
    let seats: BTreeSet<(i64, i64)> = burn.found.seats.iter().map(|seat| (seat.post, seat.person)).collect();
    let rain: BTreeSet<(i64, i64)> = dates[1..].iter().flat_map(|dated| for_rain(burn, dated)).collect();
    let has = |person: i64| seats.iter().chain(&rain).any(|(_, other)| *other == person);
    let found =
        |post: i64, person: i64| snapshot.assigned.iter().find(|one| one.post_id == post && one.person_id == person);
    let mut changes = Vec::new();
    for (post, person) in seats.union(&rain).copied() {
        match found(post, person) {
            None => changes.push(Change::Put { person, post, is_for_rain: rain.contains(&(post, person)) }),
            Some(one) if one.is_standby => changes.push(Change::Seat { assignment: one.id }),
            Some(_) => {}
        }
    }
    for one in snapshot.assigned.iter().filter(|one| !one.is_standby) {
        let pair = (one.post_id, one.person_id);
        let declined = snapshot.dates().all(|on| snapshot.status(one, on) == ReplyStatus::Declined);
        if seats.contains(&pair) || rain.contains(&pair) || declined || !snapshot.people.contains_key(&one.person_id) {
            continue;
        }
        changes.push(if has(one.person_id) {
            Change::Off { assignment: one.id }
        } else {
            Change::StandBy { assignment: one.id }
        });
    }
    changes
}

/// Places on the rain date that the assignments leave out: the people have another position
/// on burn day, or can't be there then.
fn rain_alone(snapshot: &CrewSnapshot, dates: &[Dated], changes: &[Change]) -> Vec<(i64, i64)> {
    let mut alone = Vec::new();
    for seat in dates.iter().skip(1).flat_map(|dated| &dated.found.seats) {
        let (post, person) = (seat.post, seat.person);
        let is_put = changes.iter().any(
            |change| matches!(change, Change::Put { person: whom, post: at, .. } if (*whom, *at) == (person, post)),
        );
        let stays = snapshot.assigned.iter().any(|one| {
            let goes = changes.contains(&Change::Off { assignment: one.id })
                || changes.contains(&Change::StandBy { assignment: one.id });
            (one.post_id, one.person_id) == (post, person) && !goes
        });
        if !is_put && !stays {
            alone.push((post, person));
        }
    }
    alone
}

/// Places on the rain date of people who have none on burn day and would break no rule
/// there: only their answer keeps them from it.
fn for_rain(burn: &Dated, rain: &Dated) -> Vec<(i64, i64)> {
    let free = |person: i64| !burn.found.seats.iter().any(|seat| seat.person == person);
    let could = |post: i64, person: i64| {
        let post = burn.posts.iter().find(|one| one.id == post);
        let person = burn.people.iter().find(|one| one.id == person);
        post.zip(person).is_some_and(|(post, person)| {
            staffing::bars(post, person, Answer::NotAsked).iter().all(|bar| matches!(bar, Bar::Answer(_)))
        })
    };
    let seats = rain.found.seats.iter().filter(|seat| free(seat.person) && could(seat.post, seat.person));
    seats.map(|seat| (seat.post, seat.person)).collect()
}
