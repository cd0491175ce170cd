//! What keeps someone from a position.

use super::{Answer, Person, Post};

/// What keeps someone from a position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bar {
    /// Their answer is below what is counted on.
    Answer(Answer),
    /// They can't be there the whole time.
    Hours,
    /// This qualification has expired by then.
    Expired(i64),
    /// They don't hold this qualification.
    Missing(i64),
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
pub(super) fn can_take(post: &Post, person: &Person, least: Answer) -> bool {
    let said = person.answer_for(post.id);
    let holds = |need: &i64| person.holds.iter().any(|held| held.qualification == *need && !held.is_expired);
    said <= least
        && said != Answer::No
        && post.needs.iter().all(holds)
        && person.there.as_ref().is_none_or(|there| post.hours.are_within(there))
}
