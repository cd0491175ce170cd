//! Whom to ask, and about which positions.

use super::reply_status::{ReplyStatus, Seat};
use super::snapshot::CrewSnapshot;
use super::{Assignment, Post};
use crate::asks::Request;
use crate::people::Person;
use time::Date;

/// What one person has not been asked yet.
pub(super) struct Open<'a> {
    pub person: &'a Person,
    /// Positions they weren't asked about.
    pub fresh: Vec<(&'a Assignment, &'a Post)>,
    /// Questions that don't ask about every date yet, no matter who asked them.
    pub again: Vec<&'a Request>,
}

/// The people who still have to be asked about one of these dates, sorted by surname.
pub(super) fn open<'a>(snapshot: &'a CrewSnapshot, dates: &[Date]) -> Vec<Open<'a>> {
    let mut people: Vec<&Person> = snapshot.people.values().collect();
    people.sort_by_cached_key(|person| person.listing());
    let one = |person: &'a Person| {
        let (mut fresh, mut again) = (Vec::new(), Vec::<&Request>::new());
        for (assignment, post) in snapshot.posts_of(person.id) {
            let asked = snapshot.questions(assignment);
            let is_asked = |on: &Date| asked.iter().any(|request| request.asks_about(*on));
            match asked.first() {
                None => fresh.push((assignment, post)),
                Some(request) if !dates.iter().all(is_asked) => {
                    if again.iter().all(|other| other.id != request.id) {
                        again.push(request);
                    }
                }
                Some(_) => {}
            }
        }
        Open { person, fresh: snapshot.to_ask_about(fresh, !again.is_empty()), again }
    };
    people.into_iter().map(one).filter(|open| !open.fresh.is_empty() || !open.again.is_empty()).collect()
}

impl CrewSnapshot {
    /// Of positions that someone wasn't asked about, those to ask about. One whose question
    /// was withdrawn is among them only if there is nothing else to ask.
    pub(super) fn to_ask_about<'a>(
        &self,
        mut fresh: Vec<(&'a Assignment, &'a Post)>,
        has_more: bool,
    ) -> Vec<(&'a Assignment, &'a Post)> {
        if has_more || fresh.iter().any(|(one, _)| !self.is_withdrawn(one)) {
            fresh.retain(|(one, _)| !self.is_withdrawn(one));
        }
        fresh
    }

    /// The people who are assigned but not asked about every date. Where the question was
    /// withdrawn, no one has to be asked.
    pub(super) fn to_ask(&self) -> Vec<i64> {
        let open = |one: &&Assignment| {
            self.people.contains_key(&one.person_id)
                && !self.is_withdrawn(one)
                && self
                    .dates()
                    .any(|on| matches!(self.status(one, on), ReplyStatus::NotAsked | ReplyStatus::OtherDate(_)))
                && self.seat(one, self.event.details.burn_on) != Seat::Filled
        };
        let mut people: Vec<i64> = self.assigned.iter().filter(open).map(|one| one.person_id).collect();
        people.sort_unstable();
        people.dedup();
        people
    }
}
