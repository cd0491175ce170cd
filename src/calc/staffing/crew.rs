//! The whole problem, and the seats as they are assigned.

use super::bars::can_take;
use super::matching::{Graph, Matching};
use super::{Answer, How, Person, Post, Seat};
use crate::calc::duties::clash;
use std::borrow::Cow;

/// The whole problem, with everything sorted by id.
pub(super) struct Crew<'a> {
    pub posts: Vec<&'a Post>,
    pub people: Vec<&'a Person>,
    pub least: Answer,
    /// Who could take which position.
    pub graph: Graph,
    /// For each person, the positions they have by override.
    pub fixed: Vec<Vec<usize>>,
}

/// The seats as they are assigned.
pub(super) struct Given<'g> {
    /// Who could take what without giving up a second seat.
    pub graph: Cow<'g, Graph>,
    pub base: Matching,
    /// Seats beyond each person's first: person and position.
    pub also: Vec<(usize, usize)>,
    /// Open seats of each position.
    pub open: Vec<u32>,
}

impl<'a> Crew<'a> {
    pub(super) fn new(posts: &'a [Post], people: &'a [Person], least: Answer) -> Self {
        let mut posts: Vec<&Post> = posts.iter().collect();
        posts.sort_by_key(|post| post.id);
        let mut people: Vec<&Person> = people.iter().collect();
        people.sort_by_key(|person| person.id);
        let place = |id: &i64| posts.binary_search_by_key(id, |post| post.id).ok();
        let fixed: Vec<Vec<usize>> =
            people.iter().map(|person| person.fixed.iter().filter_map(place).collect()).collect();
        let mut seats: Vec<u32> = posts.iter().map(|post| post.seats).collect();
        for post in fixed.iter().flatten() {
            seats[*post] = seats[*post].saturating_sub(1);
        }
        let mut graph = Graph::new(seats, posts.iter().map(|post| post.priority).collect(), people.len());
        for (of, post) in posts.iter().enumerate() {
            for (who, person) in people.iter().enumerate() {
                if fixed[who].is_empty() && can_take(post, person, least) {
                    graph.join(of, who, person.how(post.id), !person.at.contains(&post.id));
                }
            }
        }
        Self { posts, people, least, graph, fixed }
    }

    /// Assigns the seats: one each, then a second one to people who said yes to it, then
    /// open seats to anyone who could take them as well.
    pub(super) fn give(&self) -> Given<'_> {
        let mut also: Vec<(usize, usize)> = Vec::new();
        loop {
            let graph = self.graph_beside(&also);
            let base = graph.best();
            let mut given = Given { open: base.open.clone(), graph, base, also };
            let back = self.given_back(&given);
            if back.is_empty() {
                while self.add_also(&mut given) {}
                given.graph = self.graph_beside(&given.also);
                return given;
            }
            also = given.also;
            also.extend(back);
        }
    }

    /// Who could take what, given the second seats that some people have.
    fn graph_beside(&self, also: &[(usize, usize)]) -> Cow<'_, Graph> {
        if also.is_empty() {
            return Cow::Borrowed(&self.graph);
        }
        let mut seats = self.graph.seats.clone();
        let mut has = vec![Vec::new(); self.people.len()];
        for (who, post) in also {
            seats[*post] -= 1;
            has[*who].push(*post);
        }
        Cow::Owned(self.graph.kept(seats, |post, who| self.goes_with(post, &has[who])))
    }

    /// Second seats for people who said yes to them and can have both, where the seat is
    /// open or belongs to someone with a weaker answer.
    fn given_back(&self, given: &Given<'_>) -> Vec<(usize, usize)> {
        let mut has = self.has(given);
        let mut to_have = given.open.clone();
        for (who, place) in given.base.places() {
            to_have[place.post] += u32::from(place.how > How::SaidYes && self.fixed[who].is_empty());
        }
        let mut back = Vec::new();
        for (who, person) in self.people.iter().enumerate() {
            for post in self.graph.posts_of(who) {
                let wants = person.said_yes_to(self.posts[post].id) && to_have[post] > 0;
                if wants && !has[who].is_empty() && self.goes_with(post, &has[who]) {
                    to_have[post] -= 1;
                    has[who].push(post);
                    back.push((who, post));
                }
            }
        }
        back
    }

    /// Gives one more seat to each person who can take one that is still open. False if
    /// there was none to give.
    fn add_also(&self, given: &mut Given) -> bool {
        let has = self.has(given);
        let open = |post: usize| given.open[post] > 0;
        let mut graph = self.graph.kept(given.open.clone(), |post, who| {
            open(post) && !has[who].is_empty() && self.goes_with(post, &has[who])
        });
        for (who, person) in self.people.iter().enumerate().filter(|(who, _)| !self.fixed[*who].is_empty()) {
            for (of, post) in self.posts.iter().enumerate().filter(|(of, _)| open(*of)) {
                if self.goes_with(of, &has[who]) && can_take(post, person, self.least) {
                    graph.join(of, who, person.how(post.id), !person.at.contains(&post.id));
                }
            }
        }
        let more = graph.best();
        given.also.extend(more.places().map(|(who, place)| (who, place.post)));
        given.open.clone_from(&more.open);
        more.places().next().is_some()
    }

    /// For each person, the positions they have.
    pub(super) fn has(&self, given: &Given<'_>) -> Vec<Vec<usize>> {
        let mut has = self.fixed.clone();
        for (who, place) in given.base.places() {
            has[who].push(place.post);
        }
        for (who, post) in &given.also {
            has[*who].push(*post);
        }
        has
    }

    /// Can one person have this position along with the others?
    pub(super) fn goes_with(&self, post: usize, others: &[usize]) -> bool {
        let one = self.posts[post];
        others.iter().all(|other| {
            let it = self.posts[*other];
            *other != post && clash(one.duty, &one.hours, it.duty, &it.hours).is_none()
        })
    }

    pub(super) fn seats(&self, given: &Given<'_>) -> Vec<Seat> {
        let seat = |(who, (nth, post)): (usize, (usize, &usize))| {
            let (person, post) = (self.people[who], self.posts[*post].id);
            let how = if nth < self.fixed[who].len() { How::ByHand } else { person.how(post) };
            Seat { post, person: person.id, how, also: nth > 0 }
        };
        let has = self.has(given);
        let each =
            has.iter().enumerate().flat_map(|(who, posts)| posts.iter().enumerate().map(move |post| (who, post)));
        let mut seats: Vec<Seat> = each.map(seat).collect();
        // Someone who keeps a seat they said yes to isn't moved by a second one.
        let stays: Vec<i64> = seats.iter().filter(|seat| seat.how == How::SaidYes).map(|seat| seat.person).collect();
        for seat in seats.iter_mut().filter(|seat| seat.how == How::Moved && stays.contains(&seat.person)) {
            seat.how = How::Yes;
        }
        seats.sort_unstable();
        seats
    }

    pub(super) fn open(&self, given: &Given<'_>) -> Vec<(i64, u32)> {
        let open = self.posts.iter().zip(&given.open).filter(|(_, open)| **open > 0);
        open.map(|(post, open)| (post.id, *open)).collect()
    }

    pub(super) fn idle(&self, given: &Given<'_>) -> Vec<i64> {
        let has = self.has(given);
        let said_yes =
            |person: &Person| person.day == Answer::Yes || person.posts.iter().any(|(_, said)| *said == Answer::Yes);
        let all = self.people.iter().zip(&has).filter(|(person, has)| has.is_empty() && said_yes(person));
        all.map(|(person, _)| person.id).collect()
    }
}
