//! Everything about the crew of one event, loaded once, and what follows from it.

use super::reply_status::{ReplyStatus, Seat, Seats};
use super::{Assignment, Holding, Hours, Post, Qualification, day, posts, skills, store};
use crate::asks::{self, Answer, Ask, Kind, Request, Said};
use crate::calc::reminder::CREW_FINAL_CHECK;
use crate::error::Result;
use crate::events::Event;
use crate::people::{self, Person};
use sqlx::SqliteConnection;
use std::collections::{BTreeSet, HashMap, HashSet};
use time::{Date, OffsetDateTime, Time};

/// Someone in a position, with their status for a date.
#[derive(Debug, Clone)]
pub struct Assigned<'a> {
    pub assignment: &'a Assignment,
    pub person: &'a Person,
    pub status: ReplyStatus,
    pub seat: Seat,
}

/// The crew of an event.
#[derive(Debug, Clone)]
pub struct CrewSnapshot {
    pub event: Event,
    pub posts: Vec<Post>,
    pub qualifications: Vec<Qualification>,
    pub holdings: Vec<Holding>,
    pub assigned: Vec<Assignment>,
    /// All questions of the event.
    pub requests: Vec<Request>,
    /// The questions that name the positions they are about.
    pub(super) about_posts: HashSet<i64>,
    /// Everyone who is assigned, holds a qualification, signed in, or was asked to help.
    pub people: HashMap<i64, Person>,
    pub attendances: Vec<day::Attendance>,
    pub(super) by_hand: HashMap<(i64, Date), (Hours, OffsetDateTime)>,
}

impl CrewSnapshot {
    pub async fn load(db: &mut SqliteConnection, event: &Event) -> Result<Self> {
        let posts = posts::store::of_event(&mut *db, event.id).await?;
        let qualifications = skills::store::qualifications(&mut *db).await?;
        let holdings = skills::store::holdings(&mut *db).await?;
        let assigned = store::assignments(&mut *db, event.id).await?;
        let requests = asks::of_event(&mut *db, event.id).await?;
        let about_posts = store::questions(&mut *db, event.id).await?;
        let by_hand = store::hours(&mut *db, event.id).await?;
        let attendances = day::store::attendances(&mut *db, event.id).await?;
        let mut ids: BTreeSet<i64> = assigned.iter().map(|one| one.person_id).collect();
        ids.extend(holdings.iter().map(|one| one.person_id));
        ids.extend(attendances.iter().map(|one| one.person_id));
        ids.extend(requests.iter().filter(|one| is_ours(one)).map(|one| one.person_id));
        let ids: Vec<i64> = ids.into_iter().collect();
        let people = people::some(db, &ids).await?.into_iter().map(|person| (person.id, person)).collect();
        let event = event.clone();
        Ok(Self {
            event,
            posts,
            qualifications,
            holdings,
            assigned,
            requests,
            about_posts,
            people,
            attendances,
            by_hand,
        })
    }

    #[must_use]
    pub fn post(&self, id: i64) -> Option<&Post> {
        self.posts.iter().find(|post| post.id == id)
    }

    #[must_use]
    pub fn qualification(&self, id: i64) -> Option<&Qualification> {
        self.qualifications.iter().find(|one| one.id == id)
    }

    /// Burn day, and the rain date if there is one.
    pub fn dates(&self) -> impl Iterator<Item = Date> {
        [Some(self.event.details.burn_on), self.event.details.rain_on].into_iter().flatten()
    }

    pub fn held(&self, person_id: i64) -> impl Iterator<Item = &Holding> {
        self.holdings.iter().filter(move |one| one.person_id == person_id)
    }

    /// The qualifications someone has on a day, and those that they count as.
    #[must_use]
    pub fn qualified(&self, person_id: i64, on: Date) -> BTreeSet<i64> {
        let valid = self.held(person_id).filter(|one| one.kept.holds_on(on));
        valid.flat_map(|one| skills::with_lesser(one.kept.qualification_id, &self.qualifications)).collect()
    }

    /// The hours someone can be there on a day, if known: the latest from their answers or
    /// from what the department entered.
    #[must_use]
    pub fn hours(&self, person_id: i64, on: Date) -> Option<Hours> {
        let asked = self.requests.iter().filter(|one| is_ours(one) && one.person_id == person_id);
        let said = asked.filter_map(|one| one.stands_for(on)).max_by_key(|answer| answer.at);
        let said = said.and_then(|answer| Some((answer.there?, answer.at)));
        let noted = self.by_hand.get(&(person_id, on)).copied();
        [said, noted].into_iter().flatten().max_by_key(|(_, at)| *at).map(|(hours, _)| hours)
    }

    /// The questions that count for an assignment: the one about this position first, then
    /// the ones that name no position, newest first.
    #[must_use]
    pub fn questions(&self, assignment: &Assignment) -> Vec<&Request> {
        let own = |one: &&Request| assignment.request_id == Some(one.id) && !one.is_withdrawn;
        let general = |one: &&Request| one.person_id == assignment.person_id && self.is_general(one);
        let own = self.requests.iter().find(own);
        own.into_iter().chain(self.requests.iter().rev().filter(general)).collect()
    }

    /// Was the question about this position withdrawn, with no other one that counts for it?
    /// Then they are no longer wanted there.
    #[must_use]
    pub fn is_withdrawn(&self, assignment: &Assignment) -> bool {
        let own = self.requests.iter().find(|one| assignment.request_id == Some(one.id));
        own.is_some_and(|one| one.is_withdrawn) && self.questions(assignment).is_empty()
    }

    /// Does the question name no position, so that it counts for any they get?
    #[must_use]
    pub fn is_general(&self, request: &Request) -> bool {
        request.kind == Kind::Post && !request.is_withdrawn && !self.about_posts.contains(&request.id)
    }

    /// The question that decides an assignment's status for a date: the one answered last,
    /// or else the first that asks about that date.
    #[must_use]
    pub fn question(&self, assignment: &Assignment, on: Date) -> Option<&Request> {
        let asked: Vec<&Request> = self.questions(assignment).into_iter().filter(|one| one.asks_about(on)).collect();
        let answered = asked.iter().filter_map(|one| Some((one.stands_for(on)?.at, *one)));
        // Of two in the same second, the first in the list.
        let newest = answered.rev().max_by_key(|(at, _)| *at).map(|(_, one)| one);
        newest.or_else(|| asked.first().copied())
    }

    /// The answer that counts for an assignment on a date.
    #[must_use]
    pub fn answer(&self, assignment: &Assignment, on: Date) -> Option<&Answer> {
        self.question(assignment, on)?.stands_for(on)
    }

    #[must_use]
    pub fn status(&self, assignment: &Assignment, on: Date) -> ReplyStatus {
        if let Some(request) = self.question(assignment, on) {
            return match request.stands_for(on).map(|answer| answer.said) {
                Some(Said::Yes | Said::Deputy) => ReplyStatus::Confirmed,
                Some(Said::Maybe) => ReplyStatus::Maybe,
                Some(Said::No) => ReplyStatus::Declined,
                None => ReplyStatus::Waiting,
            };
        }
        let yes = |ask: &&Ask| ask.last().is_some_and(|answer| answer.said == Said::Yes);
        let other = self.questions(assignment).into_iter().find_map(|request| request.asks.iter().rev().find(yes));
        other.map_or(ReplyStatus::NotAsked, |ask| ReplyStatus::OtherDate(ask.for_on))
    }

    /// Does it count on a date?
    #[must_use]
    pub fn seat(&self, assignment: &Assignment, on: Date) -> Seat {
        let worth = match self.status(assignment, on) {
            ReplyStatus::Confirmed => Seat::Filled,
            ReplyStatus::Maybe | ReplyStatus::Waiting => Seat::Waiting,
            ReplyStatus::OtherDate(_) | ReplyStatus::NotAsked | ReplyStatus::Declined => Seat::Open,
        };
        if worth == Seat::Open || self.broken(assignment, on).is_empty() { worth } else { Seat::Open }
    }

    /// The people in a position, the most certain first and alternates last.
    #[must_use]
    pub fn at(&self, post_id: i64, on: Date) -> Vec<Assigned<'_>> {
        let here = self.assigned.iter().filter(|one| one.post_id == post_id);
        let mut all: Vec<Assigned<'_>> = here
            .filter_map(|assignment| {
                let person = self.people.get(&assignment.person_id)?;
                let (status, seat) = (self.status(assignment, on), self.seat(assignment, on));
                Some(Assigned { assignment, person, status, seat })
            })
            .collect();
        all.sort_by_key(|one| (one.assignment.is_standby, one.seat, one.status));
        all
    }

    /// How well a position is filled on a date.
    #[must_use]
    pub fn seats(&self, post: &Post, on: Date) -> Seats {
        let needed = usize::from(post.details.needed);
        let here = self.at(post.id, on);
        let many = |wanted: Seat| here.iter().filter(|one| !one.assignment.is_standby && one.seat == wanted).count();
        let filled = many(Seat::Filled).min(needed);
        let waiting = many(Seat::Waiting).min(needed - filled);
        Seats { filled, waiting, open: needed - filled - waiting }
    }

    /// The whole crew on a date.
    #[must_use]
    pub fn all_seats(&self, on: Date) -> Seats {
        self.posts.iter().map(|post| self.seats(post, on)).fold(Seats::default(), |all, one| Seats {
            filled: all.filled + one.filled,
            waiting: all.waiting + one.waiting,
            open: all.open + one.open,
        })
    }

    /// Someone's positions, sorted by hours.
    #[must_use]
    pub fn posts_of(&self, person_id: i64) -> Vec<(&Assignment, &Post)> {
        let theirs = self.assigned.iter().filter(|one| one.person_id == person_id);
        let mut posts: Vec<_> = theirs.filter_map(|one| Some((one, self.post(one.post_id)?))).collect();
        posts.sort_by_key(|(_, post)| (post.details.hours, post.id));
        posts
    }

    /// The first of them, of those they are still wanted in if there are any.
    #[must_use]
    pub fn first_post_of(&self, person_id: i64) -> Option<&Assignment> {
        let posts = self.posts_of(person_id);
        let wanted = posts.iter().find(|(one, _)| !self.is_withdrawn(one));
        wanted.or(posts.first()).map(|(one, _)| *one)
    }

    /// Did they say yes to burn day since the day of the final check?
    #[must_use]
    pub fn reconfirmed(&self, person_id: i64) -> bool {
        let on = self.event.details.burn_on;
        let checked_on = on - time::Duration::days(i64::from(CREW_FINAL_CHECK.days));
        let Some(since) = self.event.details.zone.instant(checked_on, Time::MIDNIGHT) else {
            return false;
        };
        self.assigned
            .iter()
            .filter(|one| one.person_id == person_id)
            .any(|one| self.answer(one, on).is_some_and(|answer| answer.said == Said::Yes && answer.at >= since))
    }

    /// Everyone who said yes to a position on a date, sorted by surname.
    #[must_use]
    pub fn coming(&self, on: Date) -> Vec<&Person> {
        let yes = |one: &&Assignment| self.status(one, on) == ReplyStatus::Confirmed;
        let ids: BTreeSet<i64> = self.assigned.iter().filter(yes).map(|one| one.person_id).collect();
        let mut people: Vec<&Person> = ids.iter().filter_map(|id| self.people.get(id)).collect();
        people.sort_by_cached_key(|person| person.listing());
        people
    }

    /// Is the position short of people on burn day or the rain date?
    #[must_use]
    pub fn is_short(&self, post: &Post) -> bool {
        self.dates().any(|on| self.seats(post, on).open > 0)
    }

    /// Does this person count toward the number needed on a date?
    #[must_use]
    pub fn fills(&self, assignment: &Assignment, on: Date) -> bool {
        !assignment.is_standby && self.seat(assignment, on) == Seat::Filled
    }

    /// Did they say yes to a position on a date?
    #[must_use]
    pub fn has_said_yes(&self, person_id: i64, on: Date) -> bool {
        let theirs = self.assigned.iter().filter(|one| one.person_id == person_id);
        theirs.into_iter().any(|one| self.status(one, on) == ReplyStatus::Confirmed)
    }
}

/// Is the question about a position or about helping?
pub(super) fn is_ours(request: &Request) -> bool {
    matches!(request.kind, Kind::Post | Kind::Help) && !request.is_withdrawn
}
