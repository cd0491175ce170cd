//! A minimum-cost maximum flow: the cheapest way to send as much as possible, by successive
//! shortest paths, and then one of the equally cheap ways in a given order.

use std::collections::VecDeque;
use std::iter::Sum;
use std::ops::{Add, Neg};

/// Compared from the left: the first number decides, then the second, and so on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Cost(pub [i64; 4]);

impl Add for Cost {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self(std::array::from_fn(|place| self.0[place] + other.0[place]))
    }
}

impl Neg for Cost {
    type Output = Self;

    fn neg(self) -> Self {
        Self(self.0.map(|number| -number))
    }
}

impl Sum for Cost {
    fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
        all.fold(Self::default(), Add::add)
    }
}

/// An edge from one node to another. Its neighbor in the list (the next one or the one before
/// it) is the reverse edge.
struct Edge {
    to: usize,
    room: i64,
    cost: Cost,
    is_fixed: bool,
}

struct Net {
    edges: Vec<Edge>,
    /// The edges that leave each node.
    from: Vec<Vec<usize>>,
}

impl Net {
    fn new(places: usize) -> Self {
        Self { edges: Vec::new(), from: vec![Vec::new(); places] }
    }

    fn add(&mut self, from: usize, to: usize, room: i64, cost: Cost) -> usize {
        let edge = self.edges.len();
        self.edges.push(Edge { to, room, cost, is_fixed: false });
        self.edges.push(Edge { to: from, room: 0, cost: -cost, is_fixed: false });
        self.from[from].push(edge);
        self.from[to].push(edge + 1);
        edge
    }

    /// The cheapest path to each node from `start`, by the edge that arrives there; from
    /// anywhere if there is no start.
    fn cheapest(&self, start: Option<usize>) -> (Vec<Option<Cost>>, Vec<Option<usize>>) {
        let places = self.from.len();
        let mut cost = vec![start.is_none().then(Cost::default); places];
        let mut by = vec![None; places];
        let mut waits: VecDeque<usize> = start.map_or_else(|| (0..places).collect(), |start| VecDeque::from([start]));
        let mut is_waiting = vec![start.is_none(); places];
        if let Some(start) = start {
            cost[start] = Some(Cost::default());
        }
        while let Some(place) = waits.pop_front() {
            is_waiting[place] = false;
            let Some(here) = cost[place] else { continue };
            for &edge in &self.from[place] {
                let Edge { to, room, cost: step, .. } = self.edges[edge];
                if room > 0 && cost[to].is_none_or(|known| here + step < known) {
                    (cost[to], by[to]) = (Some(here + step), Some(edge));
                    if !std::mem::replace(&mut is_waiting[to], true) {
                        waits.push_back(to);
                    }
                }
            }
        }
        (cost, by)
    }

    /// Sends as much as fits, but at most `most`, along the path that ends at `end`.
    fn send(&mut self, by: &[Option<usize>], end: usize, most: i64) -> i64 {
        let (mut path, mut place) = (Vec::new(), end);
        while let Some(edge) = by[place] {
            path.push(edge);
            place = self.edges[edge ^ 1].to;
        }
        let much = path.iter().map(|edge| self.edges[*edge].room).min().unwrap_or(0).min(most);
        for edge in path {
            self.edges[edge].room -= much;
            self.edges[edge ^ 1].room += much;
        }
        much
    }

    /// A path of edges that cost nothing extra.
    fn free_path(&self, from: usize, to: usize, is_free: &[bool]) -> Vec<Option<usize>> {
        let mut by = vec![None; self.from.len()];
        let mut waits = VecDeque::from([from]);
        while let Some(place) = waits.pop_front() {
            for &edge in &self.from[place] {
                let Edge { to: next, room, is_fixed, .. } = self.edges[edge];
                if room > 0 && is_free[edge] && !is_fixed && next != from && by[next].is_none() {
                    by[next] = Some(edge);
                    if next == to {
                        return by;
                    }
                    waits.push_back(next);
                }
            }
        }
        by
    }
}

/// Returns from, to and how many. Sends as much as possible. Of the cheapest ways to do so, it
/// takes the one with the most along the first of `order`, of those the one with the most
/// along the second, and so on.
pub(super) fn assign(
    supply: &[i64],
    demand: &[i64],
    cost: impl Fn(usize, usize) -> Cost,
    order: &[(usize, usize)],
) -> Vec<(usize, usize, i64)> {
    let (start, end) = (supply.len() + demand.len(), supply.len() + demand.len() + 1);
    let mut net = Net::new(end + 1);
    for (a, much) in supply.iter().enumerate() {
        net.add(start, a, *much, Cost::default());
    }
    for (b, much) in demand.iter().enumerate() {
        net.add(supply.len() + b, end, *much, Cost::default());
    }
    let ways: Vec<(usize, usize, usize)> = order
        .iter()
        .map(|&(a, b)| (a, b, net.add(a, supply.len() + b, supply[a].min(demand[b]), cost(a, b))))
        .collect();
    loop {
        let (reached, by) = net.cheapest(Some(start));
        if reached[end].is_none() || net.send(&by, end, i64::MAX) == 0 {
            break;
        }
    }
    settle(&mut net, supply, &ways);
    let flows = ways.iter().map(|&(a, b, way)| (a, b, net.edges[way ^ 1].room));
    flows.filter(|(.., much)| *much > 0).collect()
}

/// Moves as much as costs nothing to the edges that come first.
fn settle(net: &mut Net, supply: &[i64], ways: &[(usize, usize, usize)]) {
    // No cycle has a negative cost now, so each node has a potential, and a cycle costs
    // nothing if each of its edges just follows the potentials.
    let (height, _) = net.cheapest(None);
    let at = |place: usize| height[place].unwrap_or_default();
    let is_free: Vec<bool> = (0..net.edges.len())
        .map(|edge| {
            let (from, to) = (net.edges[edge ^ 1].to, net.edges[edge].to);
            at(from) + net.edges[edge].cost == at(to)
        })
        .collect();
    let mut left = supply.to_vec();
    for &(a, b, way) in ways {
        while is_free[way] && left[a] > 0 && net.edges[way].room > 0 {
            let to = supply.len() + b;
            net.edges[way].is_fixed = true;
            net.edges[way ^ 1].is_fixed = true;
            let by = net.free_path(to, a, &is_free);
            if by[a].is_none() {
                break;
            }
            let most = net.edges[way].room;
            let much = net.send(&by, a, most);
            net.edges[way].room -= much;
            net.edges[way ^ 1].room += much;
        }
        net.edges[way].is_fixed = true;
        net.edges[way ^ 1].is_fixed = true;
        left[a] -= net.edges[way ^ 1].room;
    }
}
