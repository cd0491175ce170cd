//! The proposal for both dates, and what taking it over would change.

use crate::asks::{Request, Said};
use crate::calc::duties;
use crate::calc::staffing::{self, Answer, Bar, Held, Person, Priority, Proposal};
use crate::crew::book::{Book, Standing, is_ours};
use crate::crew::rules::span;
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

/// One thing that taking over does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Change {
    /// Puts a person at a post.
    Put { person: i64, post: i64, is_for_rain: bool },
    /// Gives the stand-by of an assignment a seat.
    Seat { assignment: i64 },
    /// Makes one who is assigned a stand-by.
    StandBy { assignment: i64 },
    /// Takes off one who has another post instead.
    Off { assignment: i64 },
}

/// The proposal, burn day first.
#[derive(Debug)]
pub(super) struct Plan {
    pub dates: Vec<Dated>,
    pub changes: Vec<Change>,
    /// Post and person of seats of the rain date that are no part of it.
    pub rain_alone: Vec<(i64, i64)>,
    /// Changes with everything that the proposal is made from.
    pub fingerprint: String,
    made_from: String,
}

impl Plan {
    /// None if `is_stopped` says so before it is done.
    pub(super) fn of(book: &Book, least: Answer, is_stopped: impl Fn() -> bool) -> Option<Self> {
        let mut dates: Vec<Dated> = Vec::new();
        for on in book.dates() {
            if is_stopped() {
                return None;
            }
            let at = dates.first().map_or_else(|| now_at(book), |burn| seats_of(&burn.found));
            let posts = posts(book, on);
            let people = people(book, on, &at);
            let found = staffing::propose(&posts, &people, least);
            dates.push(Dated { on, people, posts, found });
        }
        let changes = changes(book, &dates);
        let rain_alone = rain_alone(book, &dates, &changes);
        let mut text = format!("{least:?} {changes:?}");
        for dated in &dates {
            // Writing to a text can't fail.
            let _ = write!(text, " {dated:?}");
        }
        Some(Self { dates, changes, rain_alone, fingerprint: digest(&text), made_from: made_from(book) })
    }

    /// Would it be the same made from this?
    pub(super) fn is_made_from(&self, book: &Book) -> bool {
        self.made_from == made_from(book)
    }
}

fn digest(text: &str) -> String {
    hex(&Sha256::digest(text.as_bytes()))
}

/// Everything that a proposal is made from.
fn made_from(book: &Book) -> String {
    let at = now_at(book);
    let mut text = format!("{:?}", book.assigned);
    for on in book.dates() {
        // Writing to a text can't fail.
        let _ = write!(text, " {on} {:?} {:?}", posts(book, on), people(book, on, &at));
    }
    digest(&text)
}

/// For each person, the posts they are assigned to.
fn now_at(book: &Book) -> BTreeMap<i64, Vec<i64>> {
    let mut at: BTreeMap<i64, Vec<i64>> = BTreeMap::new();
    for one in &book.assigned {
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

fn posts(book: &Book, on: Date) -> Vec<staffing::Post> {
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
    book.posts.iter().filter_map(post).collect()
}

/// Everybody the crew knows, as they stand for a date.
fn people(book: &Book, on: Date, at: &BTreeMap<i64, Vec<i64>>) -> Vec<Person> {
    let mut ids: Vec<i64> = book.people.keys().copied().collect();
    ids.sort_unstable();
    let person = |id: i64| {
        let (day, posts) = said(book, id, on);
        let there = book.hours(id, on).map(|hours| span(hours, on).into_iter().collect::<Vec<duties::Hours>>());
        Person {
            id,
            holds: holds(book, id, on),
            there,
            day,
            posts,
            at: at.get(&id).cloned().unwrap_or_default(),
            fixed: fixed(book, id, on),
        }
    };
    ids.into_iter().map(person).collect()
}

/// What they said about a date: about the posts they stand at, and, for all
/// others, the best of it.
fn said(book: &Book, person: i64, on: Date) -> (Answer, Vec<(i64, Answer)>) {
    let of = |request: &Request| match request.stands_for(on).map(|answer| answer.said) {
        Some(Said::Yes | Said::Deputy) => Answer::Yes,
        Some(Said::Maybe) => Answer::Maybe,
        Some(Said::No) => Answer::No,
        None => Answer::Waiting,
    };
    let asked = book.requests.iter().filter(|one| is_ours(one) && one.person_id == person && one.asks_about(on));
    let all: Vec<Answer> = asked.map(of).collect();
    let best = all.iter().copied().min().unwrap_or(Answer::NotAsked).min(Answer::NotAsked);
    let theirs = book.assigned.iter().filter(|one| one.person_id == person);
    let posts = theirs.filter_map(|one| Some((one.post_id, of(book.question(one, on)?)))).collect();
    // One who said nothing but no isn't there.
    let day = if best == Answer::NotAsked && all.contains(&Answer::No) { Answer::No } else { best };
    (day, posts)
}

fn holds(book: &Book, person: i64, on: Date) -> Vec<Held> {
    let mut held = Vec::new();
    for holding in book.held(person) {
        let is_expired = !holding.kept.holds_on(on);
        let all = skills::with_lesser(holding.kept.qualification_id, &book.qualifications);
        held.extend(all.into_iter().map(|qualification| Held { qualification, is_expired }));
    }
    held
}

/// Posts at which somebody stands though a rule speaks against it, because
/// somebody decided so.
fn fixed(book: &Book, person: i64, on: Date) -> Vec<i64> {
    let stays = |one: &&Assignment| {
        one.person_id == person
            && !one.is_standby
            && one.all_the_same.is_some()
            && book.standing(one, on) != Standing::Declined
            && book.broken(one, on).is_empty()
    };
    book.assigned.iter().filter(stays).map(|one| one.post_id).collect()
}

/// The assignments are for the event, so both dates go into one: who stands on
/// burn day, and who has no post then and fills one on the rain date.
fn changes(book: &Book, dates: &[Dated]) -> Vec<Change> {
    let Some(burn) = dates.first() else { return Vec::new() };
    let seats: BTreeSet<(i64, i64)> = burn.found.seats.iter().map(|seat| (seat.post, seat.person)).collect();
    let rain: BTreeSet<(i64, i64)> = dates[1..].iter().flat_map(|dated| for_rain(burn, dated)).collect();
    let has = |person: i64| seats.iter().chain(&rain).any(|(_, other)| *other == person);
    let found =
        |post: i64, person: i64| book.assigned.iter().find(|one| one.post_id == post && one.person_id == person);
    let mut changes = Vec::new();
    for (post, person) in seats.union(&rain).copied() {
        match found(post, person) {
            None => changes.push(Change::Put { person, post, is_for_rain: rain.contains(&(post, person)) }),
            Some(one) if one.is_standby => changes.push(Change::Seat { assignment: one.id }),
            Some(_) => {}
        }
    }
    for one in book.assigned.iter().filter(|one| !one.is_standby) {
        let pair = (one.post_id, one.person_id);
        let declined = book.dates().all(|on| book.standing(one, on) == Standing::Declined);
        if seats.contains(&pair) || rain.contains(&pair) || declined || !book.people.contains_key(&one.person_id) {
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

/// What the rain date would have and the assignments won't: people who stand
/// elsewhere on burn day, or can't be there then.
fn rain_alone(book: &Book, dates: &[Dated], changes: &[Change]) -> Vec<(i64, i64)> {
    let mut alone = Vec::new();
    for seat in dates.iter().skip(1).flat_map(|dated| &dated.found.seats) {
        let (post, person) = (seat.post, seat.person);
        let is_put = changes.iter().any(
            |change| matches!(change, Change::Put { person: whom, post: at, .. } if (*whom, *at) == (person, post)),
        );
        let stays = book.assigned.iter().any(|one| {
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

/// Seats of the rain date of people who have none on burn day, and against whom
/// nothing speaks then but what they said.
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
