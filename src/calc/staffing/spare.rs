//! Whose absence would leave a position short, and how many people to ask.

use super::bars::can_take;
use super::crew::{Crew, Given};
use super::missing::{reached, spared};

/// What would be open without someone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fall {
    /// The person's number.
    pub person: i64,
    /// A position for each of their seats that no one could take. If a critical position can
    /// get someone from another one, it is the position that ends up short.
    pub posts: Vec<i64>,
}

/// For each person with a seat: what would be open without them, even if everyone else moved
/// in the best way. A seat can be filled again if a path leads from its position to someone
/// without a seat. If there is none, the same position ends up short for everyone there.
pub(super) fn falls(crew: &Crew, given: &Given) -> Vec<Fall> {
    let spared = spared(crew, given);
    let has = crew.has(given);
    let mut losers: Vec<Option<usize>> = vec![None; crew.posts.len()];
    let mut found = Vec::new();
    for (who, person) in crew.people.iter().enumerate().filter(|(who, _)| !has[*who].is_empty()) {
        let mut posts = Vec::new();
        for post in &has[who] {
            let is_also = given.also.contains(&(who, *post));
            if !is_also && spared[*post] {
                continue;
            }
            let loser = if is_also { *post } else { *losers[*post].get_or_insert_with(|| loses(crew, given, *post)) };
            if !another_could(crew, &has, loser, who) {
                posts.push(crew.posts[loser].id);
            }
        }
        if !posts.is_empty() {
            found.push(Fall { person: person.id, posts });
        }
    }
    found
}

/// The position that ends up short if this one loses someone: itself, unless a less
/// important one can give someone up.
fn loses(crew: &Crew, given: &Given, post: usize) -> usize {
    let own = crew.graph.priority(post);
    let others = reached(crew, given, post).into_iter().map(|other| (crew.graph.priority(other), other));
    others.max().filter(|(priority, _)| *priority > own).map_or(post, |(_, other)| other)
}

/// Could someone else take that position along with what they have?
fn another_could(crew: &Crew, has: &[Vec<usize>], post: usize, without: usize) -> bool {
    crew.people.iter().enumerate().any(|(who, person)| {
        who != without && crew.goes_with(post, &has[who]) && can_take(crew.posts[post], person, crew.least)
    })
}

/// How many people to ask so that at least `wanted` come with this certainty, if each comes
/// with the same probability, independent of the others: the smallest number whose binomial
/// tail reaches the certainty. None if no number does, or none up to ten thousand.
///
/// Sums over `n` the probability that person number `n` is the last of those wanted. Each
/// term follows from the one before it, in logarithms so that nothing underflows.
///
/// ```
/// use burnday::calc::staffing::standbys;
///
/// assert_eq!(standbys(12, 0.95, 0.8), Some(19));
/// assert_eq!(standbys(12, 0.95, 1.0), Some(12));
/// ```
#[must_use]
pub fn standbys(wanted: u32, certainty: f64, show_rate: f64) -> Option<u32> {
    const MOST: u32 = 10_000;
    let is_chance = show_rate > 0.0 && show_rate <= 1.0;
    if !is_chance || !(0.0..1.0).contains(&certainty) {
        return None;
    }
    if wanted == 0 || show_rate >= 1.0 {
        return Some(wanted);
    }
    let (come, stay) = (show_rate.ln(), (-show_rate).ln_1p());
    let mut term = f64::from(wanted) * come;
    let mut reached = term.exp();
    let mut asked = wanted;
    while reached < certainty {
        if asked >= MOST {
            return None;
        }
        asked += 1;
        let away = asked - wanted;
        term += stay + f64::from(asked - 1).ln() - f64::from(away).ln();
        reached += term.exp();
    }
    Some(asked)
}
