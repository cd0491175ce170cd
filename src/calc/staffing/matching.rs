//! A minimum-cost matching between the seats of positions and people.
//!
//! Seats are filled one at a time, each along the shortest path that moves people from
//! position to position until someone free takes the last seat, or some position is left
//! with an open seat instead (successive shortest paths with potentials; Ahuja, Magnanti
//! and Orlin, Network Flows, 1993, 9.7). After each step, no other matching of the seats so
//! far costs less.
//!
//! An open seat costs more than everything about the people who are placed, and an open
//! seat of a critical position costs more than all other open seats. So the goals of the
//! proposal become one sum of whole numbers. Filling critical positions first never costs a
//! seat overall, because the sets of seats that can be filled together form a matroid.

use super::{How, Priority};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// Someone who could take a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Edge {
    who: usize,
    place: Place,
}

/// Who could take which position.
#[derive(Debug, Clone)]
pub(super) struct Graph {
    pub(super) seats: Vec<u32>,
    priorities: Vec<Priority>,
    of_post: Vec<Vec<Edge>>,
    of_person: Vec<Vec<usize>>,
}

/// A person's seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) post: usize,
    pub(super) how: How,
    /// They don't have it now.
    pub(super) is_new: bool,
}

/// Who has which position, at most one each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Matching {
    pub(super) of: Vec<Option<Place>>,
    pub(super) open: Vec<u32>,
}

impl Matching {
    pub(super) fn places(&self) -> impl Iterator<Item = (usize, Place)> {
        self.of.iter().enumerate().filter_map(|(who, place)| place.map(|place| (who, place)))
    }

    pub(super) fn is_free(&self, who: usize) -> bool {
        self.of[who].is_none()
    }
}

impl Graph {
    pub(super) fn new(seats: Vec<u32>, priorities: Vec<Priority>, people: usize) -> Self {
        let of_post = vec![Vec::new(); seats.len()];
        Self { seats, priorities, of_post, of_person: vec![Vec::new(); people] }
    }

    pub(super) fn join(&mut self, post: usize, who: usize, how: How, is_new: bool) {
        self.of_post[post].push(Edge { who, place: Place { post, how, is_new } });
        self.of_person[who].push(post);
    }

    /// The same with other seats, and only the wanted edges.
    pub(super) fn kept(&self, seats: Vec<u32>, wanted: impl Fn(usize, usize) -> bool) -> Self {
        let mut kept = Self::new(seats, self.priorities.clone(), self.of_person.len());
        for (post, edges) in self.of_post.iter().enumerate() {
            for edge in edges.iter().filter(|edge| wanted(post, edge.who)) {
                kept.join(post, edge.who, edge.place.how, edge.place.is_new);
            }
        }
        kept
    }

    pub(super) fn people_of(&self, post: usize) -> impl Iterator<Item = usize> {
        self.of_post[post].iter().map(|edge| edge.who)
    }

    pub(super) fn posts_of(&self, who: usize) -> impl Iterator<Item = usize> {
        self.of_person[who].iter().copied()
    }

    pub(super) fn priority(&self, post: usize) -> Priority {
        self.priorities[post]
    }

    /// The matching with the lowest cost.
    pub(super) fn best(&self) -> Matching {
        let mut search = Search::new(self);
        for post in 0..self.seats.len() {
            for _ in 0..self.seats[post] {
                search.fill_one(post);
            }
        }
        Matching { of: search.of, open: search.open }
    }
}

/// What a choice costs. Costs are powers of a base larger than the number of seats, so that
/// no sum of smaller costs reaches the next larger one. With a hundred thousand seats, the
/// sum of all costs takes 117 of the 127 bits.
struct Costs {
    how: [i128; 7],
    is_new: i128,
    open: [i128; 2],
}

impl Costs {
    fn of(graph: &Graph) -> Self {
        let base = graph.seats.iter().map(|seats| i128::from(*seats)).sum::<i128>() + 1;
        let powers: Vec<i128> = std::iter::successors(Some(1), |power| Some(power * base)).take(7).collect();
        let mut how = [0; 7];
        for (power, of) in powers[1..].iter().zip([How::Maybe, How::Waiting, How::NotAsked, How::Moved]) {
            how[of as usize] = *power;
        }
        let mut open = [0; 2];
        open[Priority::Usual as usize] = powers[5];
        open[Priority::Critical as usize] = powers[6];
        Self { how, is_new: powers[0], open }
    }
}

/// Where a path ends.
#[derive(Clone, Copy)]
enum End {
    /// Someone free takes the seat.
    Free(usize),
    /// A seat of that position stays open.
    Open(usize),
}

struct Search<'a> {
    graph: &'a Graph,
    costs: Costs,
    of: Vec<Option<Place>>,
    open: Vec<u32>,
    /// Potentials. An edge costs at least the sum of those at its ends, and exactly that sum
    /// where it is used.
    of_post: Vec<i128>,
    of_person: Vec<i128>,
    // The rest belongs to one path. What it reached is reset afterward.
    reached: Vec<Option<Reached>>,
    scanned: Vec<Option<Scanned>>,
    to_clear: (Vec<usize>, Vec<usize>),
}

/// How a path reached a person.
#[derive(Clone, Copy)]
struct Reached {
    at: i128,
    place: Place,
}

/// How a path reached a position: through the person it loses. None where the path starts.
#[derive(Clone, Copy)]
struct Scanned {
    at: i128,
    from: Option<usize>,
}

impl<'a> Search<'a> {
    fn new(graph: &'a Graph) -> Self {
        let (posts, people) = (graph.of_post.len(), graph.of_person.len());
        Self {
            graph,
            costs: Costs::of(graph),
            of: vec![None; people],
            open: vec![0; posts],
            of_post: vec![0; posts],
            of_person: vec![0; people],
            reached: vec![None; people],
            scanned: vec![None; posts],
            to_clear: (Vec::new(), Vec::new()),
        }
    }

    /// Fills one more seat of a position at the lowest cost, or leaves one open.
    fn fill_one(&mut self, post: usize) {
        let mut waiting = BinaryHeap::new();
        let mut end = (i128::MAX, End::Open(post));
        self.scan(post, Scanned { at: 0, from: None }, &mut waiting, &mut end);
        while let Some(Reverse((at, who))) = waiting.pop() {
            if at >= end.0 {
                break;
            }
            let Some(place) = self.of[who] else { continue };
            if self.scanned[place.post].is_none() {
                self.scan(place.post, Scanned { at, from: Some(who) }, &mut waiting, &mut end);
            }
        }
        self.raise(end.0);
        self.put_over(post, end.1);
        for who in self.to_clear.0.drain(..) {
            self.reached[who] = None;
        }
        for post in self.to_clear.1.drain(..) {
            self.scanned[post] = None;
        }
    }

    fn scan(
        &mut self,
        post: usize,
        scanned: Scanned,
        waiting: &mut BinaryHeap<Reverse<(i128, usize)>>,
        end: &mut (i128, End),
    ) {
        self.scanned[post] = Some(scanned);
        self.to_clear.1.push(post);
        let before = scanned.at - self.of_post[post];
        let left_open = before + self.costs.open[self.graph.priority(post) as usize];
        if left_open < end.0 {
            *end = (left_open, End::Open(post));
        }
        for Edge { who, place } in &self.graph.of_post[post] {
            let costs = self.costs.how[place.how as usize] + i128::from(place.is_new) * self.costs.is_new;
            let at = before + costs - self.of_person[*who];
            if at >= end.0 || self.reached[*who].is_some_and(|reached| reached.at <= at) {
                continue;
            }
            if self.reached[*who].is_none() {
                self.to_clear.0.push(*who);
            }
            self.reached[*who] = Some(Reached { at, place: *place });
            if self.of[*who].is_none() {
                *end = (at, End::Free(*who));
            } else {
                waiting.push(Reverse((at, *who)));
            }
        }
    }

    /// Raises the potentials so that the path found adds no further cost.
    fn raise(&mut self, length: i128) {
        for post in &self.to_clear.1 {
            let at = self.scanned[*post].map_or(length, |scanned| scanned.at);
            self.of_post[*post] += (length - at).max(0);
        }
        for who in &self.to_clear.0 {
            let at = self.reached[*who].map_or(length, |reached| reached.at);
            self.of_person[*who] -= (length - at).max(0);
        }
    }

    /// Moves people along the path, from its end back to its start.
    fn put_over(&mut self, first: usize, end: End) {
        let mut next = match end {
            End::Free(who) => Some(who),
            End::Open(post) => {
                self.open[post] += 1;
                self.scanned[post].and_then(|scanned| scanned.from)
            }
        };
        while let Some(who) = next {
            let Some(Reached { place, .. }) = self.reached[who] else { break };
            self.of[who] = Some(place);
            next = if place.post == first { None } else { self.scanned[place.post].and_then(|scanned| scanned.from) };
        }
    }
}
