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

mod bars;
mod crew;
mod matching;
mod missing;
mod people;
mod posts;
mod spare;

use crew::Crew;

pub use bars::{Bar, bars};
pub use missing::{Closer, Missing};
pub use people::{Answer, Held, How, Person, Seat};
pub use posts::{Post, Priority};
pub use spare::{Fall, standbys};

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

#[cfg(test)]
mod tests;
