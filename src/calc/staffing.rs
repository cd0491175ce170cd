//! Staffs one date: who gets which position, what is missing, and who has no backup.
//!
//! In the code a position is a `Post`, and each person it needs is a seat. The goals, in
//! this order:
//!
//! 1. Fill as many seats as possible.
//! 2. If there are several ways, fill the most seats of critical positions.
//! 3. Move the fewest people from a position they said yes to. Then use the fewest people
//!    who weren't asked, the fewest who haven't answered, and the fewest who said maybe. Of
//!    what remains, change the least.
//!
//! **The first step is exact.** It gives each person one seat at most: a minimum-cost
//! matching between positions and people, in whole numbers (`matching.rs`). No other
//! matching does better on these goals.
//!
//! **The second step is not exact.** A seat that is still open, or that would go to someone
//! less certain, goes to a person who already has a seat, if the hours don't overlap or the
//! duties go together. It uses further matchings. Each is exact, but together they need not
//! be the best, which would be hard to find. It never gives up a seat that the first step
//! filled.
//!
//! What is missing is found by counting (`missing.rs`): a set of positions with more seats
//! than people who could take one.

mod matching;
mod missing;
mod spare;

use super::duties::{Duty, Hours, clash};
use matching::{Graph, Matching};
use std::borrow::Cow;

pub use missing::{Closer, Missing};
pub use spare::{Fall, standbys};

/// How much depends on a position. The first is filled first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Priority {
    Critical,
    Usual,
}

/// An answer, from best to worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Answer {
    Yes,
    Maybe,
    /// Asked, with no answer yet.
    Waiting,
    NotAsked,
    No,
}

/// A position on one date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Post {
    pub id: i64,
    pub duty: Duty,
    /// How many people it needs.
    pub seats: u32,
    pub hours: Hours,
    /// The qualifications it requires.
    pub needs: Vec<i64>,
    pub priority: Priority,
}

/// A qualification someone holds, on that date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Held {
    pub qualification: i64,
    /// It has expired by that date.
    pub is_expired: bool,
}

/// A person on one date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    pub id: i64,
    pub holds: Vec<Held>,
    /// When they can be there. None if they gave no hours, and then any hour counts.
    pub there: Option<Vec<Hours>>,
    /// Their answer for the date in general.
    pub day: Answer,
    /// Their answers for positions. These count more than the answer for the date.
    pub posts: Vec<(i64, Answer)>,
    /// The positions they have now.
    pub at: Vec<i64>,
    /// Positions they were given by an override, whatever the rules say.
    pub fixed: Vec<i64>,
}

/// What keeps someone from a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bar {
    /// Their answer is below what is counted on.
    Answer(Answer),
    /// They can't be there the whole time.
    Hours,
    Expired(i64),
    Missing(i64),
}

/// Why someone gets a seat, from best to worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum How {
    ByHand,
    /// They said yes to that position.
    SaidYes,
    /// They said yes to the date.
    Yes,
    Maybe,
    Waiting,
    NotAsked,
    /// They said yes to another position.
    Moved,
}

/// A filled seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Seat {
    pub post: i64,
    pub person: i64,
    pub how: How,
    /// They have another seat too, at other hours or with a duty that goes with this one.
    pub also: bool,
}

/// The staffing proposal for a date.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Proposal {
    /// Sorted by position, then by person.
    pub seats: Vec<Seat>,
    /// Positions with open seats, and how many.
    pub open: Vec<(i64, u32)>,
    /// Why they stay open.
    pub missing: Vec<Missing>,
    /// The people whose absence would leave a position short.
    pub falls: Vec<Fall>,
    /// People who said yes and have no seat.
    pub idle: Vec<i64>,
}

impl Person {
    fn said_yes_to(&self, post: i64) -> bool {
        self.posts.contains(&(post, Answer::Yes))
    }

    /// The answer that counts for a position.
    #[must_use]
    pub fn answer_for(&self, post: i64) -> Answer {
        self.posts.iter().filter(|(of, _)| *of == post).map(|(_, said)| *said).min().unwrap_or(self.day)
    }

    fn how(&self, post: i64) -> How {
        if self.said_yes_to(post) {
            return How::SaidYes;
        }
        if self.posts.iter().any(|(_, said)| *said == Answer::Yes) {
            return How::Moved;
        }
        match self.answer_for(post) {
            Answer::Yes => How::Yes,
            Answer::Maybe => How::Maybe,
            Answer::Waiting => How::Waiting,
            Answer::NotAsked | Answer::No => How::NotAsked,
        }
    }
}

/// What keeps someone from a position if only answers of at least `least` count.
#[must_use]
pub fn bars(post: &Post, person: &Person, least: Answer) -> Vec<Bar> {
    let mut bars = Vec::new();
    let said = person.answer_for(post.id);
    if said > least || said == Answer::No {
        bars.push(Bar::Answer(said));
    }
    if person.there.as_ref().is_some_and(|there| !post.hours.are_within(there)) {
        bars.push(Bar::Hours);
    }
    for need in &post.needs {
        let mut held = person.holds.iter().filter(|held| held.qualification == *need);
        match held.next() {
            None => bars.push(Bar::Missing(*need)),
            Some(first) if first.is_expired && held.all(|other| other.is_expired) => bars.push(Bar::Expired(*need)),
            Some(_) => {}
        }
    }
    bars
}

/// Can they take it? Like `bars`, but stops at the first.
fn can_take(post: &Post, person: &Person, least: Answer) -> bool {
    let said = person.answer_for(post.id);
    let holds = |need: &i64| person.holds.iter().any(|held| held.qualification == *need && !held.is_expired);
    said <= least
        && said != Answer::No
        && post.needs.iter().all(holds)
        && person.there.as_ref().is_none_or(|there| post.hours.are_within(there))
}

/// The whole problem, with everything sorted by id.
struct Crew<'a> {
    posts: Vec<&'a Post>,
    people: Vec<&'a Person>,
    least: Answer,
    /// Who could take which position.
    graph: Graph,
    /// For each person, the positions they have by override.
    fixed: Vec<Vec<usize>>,
}

/// The seats as they are assigned.
struct Given<'g> {
    /// Who could take what without giving up a second seat.
    graph: Cow<'g, Graph>,
    base: Matching,
    /// Seats beyond each person's first: person and position.
    also: Vec<(usize, usize)>,
    /// Open seats of each position.
    open: Vec<u32>,
}

/// The staffing proposal, counting only on people whose answer is at least `least`. It
/// never counts on anyone who said no.
///
/// ```
/// use burnday::calc::duties::{Duty, Hours};
/// use burnday::calc::staffing::{Answer, Held, Person, Post, Priority, propose};
/// use time::macros::{date, time};
///
/// let hours = Hours::on(date!(2027-01-02), time!(8:00), time!(13:00)).unwrap();
/// let pump = |id| Post {
///     id, hours, duty: Duty::PumpOperator, seats: 1, needs: vec![7], priority: Priority::Critical,
/// };
/// let driver = |id| Person {
///     id,
///     holds: vec![Held { qualification: 7, is_expired: false }],
///     there: None,
///     day: Answer::Yes,
///     posts: vec![],
///     at: vec![],
///     fixed: vec![],
/// };
/// let found = propose(&[pump(1), pump(2), pump(3)], &[driver(1), driver(2)], Answer::Waiting);
/// assert_eq!(found.seats.len(), 2);
/// let missing = &found.missing[0];
/// assert_eq!((missing.seats, missing.people.len(), missing.short), (3, 2, 1));
/// assert_eq!(missing.needs, [7]);
/// ```
#[must_use]
pub fn propose(posts: &[Post], people: &[Person], least: Answer) -> Proposal {
    let crew = Crew::new(posts, people, least);
    let given = crew.give();
    Proposal {
        seats: crew.seats(&given),
        open: crew.open(&given),
        missing: missing::find(&crew, &given),
        falls: spare::falls(&crew, &given),
        idle: crew.idle(&given),
    }
}

impl<'a> Crew<'a> {
    fn new(posts: &'a [Post], people: &'a [Person], least: Answer) -> Self {
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
    fn give(&self) -> Given<'_> {
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
    fn has(&self, given: &Given<'_>) -> Vec<Vec<usize>> {
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
    fn goes_with(&self, post: usize, others: &[usize]) -> bool {
        let one = self.posts[post];
        others.iter().all(|other| {
            let it = self.posts[*other];
            *other != post && clash(one.duty, &one.hours, it.duty, &it.hours).is_none()
        })
    }

    fn seats(&self, given: &Given<'_>) -> Vec<Seat> {
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

    fn open(&self, given: &Given<'_>) -> Vec<(i64, u32)> {
        let open = self.posts.iter().zip(&given.open).filter(|(_, open)| **open > 0);
        open.map(|(post, open)| (post.id, *open)).collect()
    }

    fn idle(&self, given: &Given<'_>) -> Vec<i64> {
        let has = self.has(given);
        let said_yes =
            |person: &Person| person.day == Answer::Yes || person.posts.iter().any(|(_, said)| *said == Answer::Yes);
        let all = self.people.iter().zip(&has).filter(|(person, has)| has.is_empty() && said_yes(person));
        all.map(|(person, _)| person.id).collect()
    }
}

#[cfg(test)]
mod tests;
