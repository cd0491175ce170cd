//! Why seats stay open, by counting: positions with more seats than people who could take
//! one of them (P. Hall, 1935).
//!
//! Start from an open seat. Everyone who could take it has a position. Everyone who could
//! take one of *those* has a position too, and so on. The positions reached this way have
//! one seat more than people, and the seats of any smaller part of them could all be
//! filled. So this is the smallest set that explains the open seat. Two open seats with the
//! same people, or with people that partly overlap, are reported as one gap, and then every
//! position adds to what is missing. A gap whose people are only some of another gap's
//! people is reported first, and counts again in the larger one.

use super::bars::bars;
use super::crew::{Crew, Given};
use super::{Answer, Bar};
use std::collections::BTreeSet;

/// Positions with more seats than people who could take one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// The positions that compete for the same people.
    pub posts: Vec<i64>,
    /// The seats of those positions, except those given by override or as a second seat.
    pub seats: u32,
    /// The people who could take one of them, if each takes one.
    pub people: Vec<i64>,
    /// Seats minus people.
    pub short: u32,
    /// The qualifications that all those positions require.
    pub needs: Vec<i64>,
    /// The people who could make it one less.
    pub closers: Vec<Closer>,
}

/// Someone whom only one thing keeps from closing a gap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Closer {
    /// What keeps them from it.
    pub bar: Bar,
    /// The person's number.
    pub person: i64,
    /// The position they would take.
    pub post: i64,
}

pub(super) fn find(crew: &Crew, given: &Given) -> Vec<Missing> {
    let spared = spared(crew, given);
    gaps(crew, given).iter().map(|gap| describe(crew, given, gap, &spared)).collect()
}

/// Positions, and the people who could take one of them.
struct Gap {
    posts: BTreeSet<usize>,
    people: BTreeSet<usize>,
}

/// The smallest first.
fn gaps(crew: &Crew, given: &Given) -> Vec<Gap> {
    let mut gaps: Vec<Gap> = Vec::new();
    for post in (0..crew.posts.len()).filter(|post| given.open[*post] > 0) {
        let posts = reached(crew, given, post);
        let people = posts.iter().flat_map(|post| given.graph.people_of(*post)).collect();
        let mut gap = Gap { posts, people };
        // The combined gap may overlap with another one.
        while let Some(other) = gaps.iter().position(|other| gap.is_one_with(other)) {
            let other = gaps.swap_remove(other);
            gap.posts.extend(other.posts);
            gap.people.extend(other.people);
        }
        gaps.push(gap);
    }
    gaps.sort_by_key(|gap| (gap.people.len(), gap.posts.first().copied()));
    for greater in 1..gaps.len() {
        let (lesser, rest) = gaps.split_at_mut(greater);
        let Gap { posts, people } = &mut rest[0];
        for part in lesser.iter().filter(|part| !part.people.is_disjoint(people)) {
            posts.extend(&part.posts);
        }
    }
    gaps
}

impl Gap {
    /// Do the two gaps have the same people, or people that partly overlap? Otherwise they
    /// share no one, or one gap's people are only some of the other's.
    fn is_one_with(&self, other: &Self) -> bool {
        let (one, it) = (&self.people, &other.people);
        !one.is_disjoint(it) && (one == it || !(one.is_subset(it) || it.is_subset(one)))
    }
}

/// The positions whose people could end up taking the seat.
pub(super) fn reached(crew: &Crew, given: &Given, from: usize) -> BTreeSet<usize> {
    let mut found = BTreeSet::from([from]);
    let mut waiting = vec![from];
    let mut seen = vec![false; crew.people.len()];
    while let Some(post) = waiting.pop() {
        for who in given.graph.people_of(post) {
            if std::mem::replace(&mut seen[who], true) {
                continue;
            }
            if let Some(place) = given.base.of[who]
                && found.insert(place.post)
            {
                waiting.push(place.post);
            }
        }
    }
    found
}

/// The positions that could give someone up, because someone without a seat could end up
/// filling in.
pub(super) fn spared(crew: &Crew, given: &Given) -> Vec<bool> {
    let mut found = vec![false; crew.posts.len()];
    let mut at = vec![Vec::new(); crew.posts.len()];
    for (who, place) in given.base.places() {
        at[place.post].push(who);
    }
    let free = |who: &usize| given.base.is_free(*who) && crew.fixed[*who].is_empty();
    let mut waiting: Vec<usize> = (0..crew.people.len()).filter(free).collect();
    while let Some(who) = waiting.pop() {
        for post in given.graph.posts_of(who) {
            if !std::mem::replace(&mut found[post], true) {
                waiting.append(&mut at[post]);
            }
        }
    }
    found
}

fn describe(crew: &Crew, given: &Given, gap: &Gap, spared: &[bool]) -> Missing {
    let Gap { posts, people } = gap;
    let taken = given.base.places().filter(|(_, place)| posts.contains(&place.post)).count();
    let short: u32 = posts.iter().map(|post| given.open[*post]).sum();
    Missing {
        posts: posts.iter().map(|post| crew.posts[*post].id).collect(),
        seats: short + u32::try_from(taken).unwrap_or(u32::MAX),
        people: people.iter().map(|who| crew.people[*who].id).collect(),
        short,
        needs: common_needs(crew, posts),
        closers: closers(crew, given, gap, spared),
    }
}

fn common_needs(crew: &Crew, posts: &BTreeSet<usize>) -> Vec<i64> {
    let mut all = posts.iter().map(|post| crew.posts[*post].needs.iter().copied().collect::<BTreeSet<i64>>());
    let first = all.next().unwrap_or_default();
    all.fold(first, |common, needs| &common & &needs).into_iter().collect()
}

/// The people whom only one thing keeps from one of the positions, and whose move would
/// leave no other seat open: they have none, or theirs can be filled again, or they can
/// have both.
fn closers(crew: &Crew, given: &Given, gap: &Gap, spared: &[bool]) -> Vec<Closer> {
    let Gap { posts, people } = gap;
    let has = crew.has(given);
    let mut found = Vec::new();
    for (who, person) in crew.people.iter().enumerate().filter(|(who, _)| !people.contains(who)) {
        let can_leave = crew.fixed[who].is_empty() && given.base.of[who].is_none_or(|place| spared[place.post]);
        let closes = posts.iter().filter_map(|of| {
            let post = crew.posts[*of];
            let may_go = can_leave || crew.goes_with(*of, &has[who]);
            match bars(post, person, crew.least).as_slice() {
                [bar] if may_go => Some(Closer { bar: *bar, person: person.id, post: post.id }),
                _ => None,
            }
        });
        found.extend(closes.min_by_key(likelier));
    }
    found.sort_unstable_by_key(likelier);
    found
}

/// People who said no come last.
fn likelier(closer: &Closer) -> (bool, Closer) {
    (closer.bar == Bar::Answer(Answer::No), *closer)
}
