//! Whose absence would leave a post open, and how many stand-bys to ask.

use super::missing::{reached, spared};
use super::{Crew, Given, can_take};

/// What would be open without somebody.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fall {
    pub person: i64,
    /// A post for each of their seats that nobody could take. If people can be
    /// put over from a critical post's neighbours, it is the post that loses in
    /// the end.
    pub posts: Vec<i64>,
}

/// For each who has a seat: what would be open without them, though everybody
/// else were put over as is best. A seat can be filled again if a path leads from
/// its post to somebody without one; where none does, for all who stand there the
/// same post loses.
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

/// The post that is open in the end if one is gone from this: itself, unless one
/// that matters less can lend somebody.
fn loses(crew: &Crew, given: &Given, post: usize) -> usize {
    let own = crew.graph.priority(post);
    let others = reached(crew, given, post).into_iter().map(|other| (crew.graph.priority(other), other));
    others.max().filter(|(priority, _)| *priority > own).map_or(post, |(_, other)| other)
}

/// Could somebody else have that post beside what they have?
fn another_could(crew: &Crew, has: &[Vec<usize>], post: usize, without: usize) -> bool {
    crew.people.iter().enumerate().any(|(who, person)| {
        who != without && crew.goes_with(post, &has[who]) && can_take(crew.posts[post], person, crew.least)
    })
}

/// How many to ask so that at least `wanted` come with this certainty, if each
/// comes with the same chance and on their own account: the least number whose
/// binomial tail reaches it. None if no number does, or none up to ten thousand.
///
/// The chance that the last of the wanted is the one asked as number `n` is
/// summed over `n`; each is had from the one before in logarithms, so that
/// nothing runs under.
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
