//! Calling off, or calling in: when to decide at the latest, and who calls whom.
//!
//! Times are seconds since 1970 in UTC; the rest is in minutes.

const MINUTE: i128 = 60;

/// Somebody who has to be reached by phone before they set off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Critical {
    /// The number of the person.
    pub number: i64,
    /// When they set off, seconds since 1970 in UTC.
    pub sets_off: i64,
    /// How many others could take their position.
    pub alternates: u32,
}

/// The latest moment at which a decision still reaches everybody before the first of them sets
/// off: the first departure, less the time that each caller needs for their calls, one after the
/// other, less a margin. Seconds since 1970 in UTC.
///
/// None if nobody can call, or if it is before the beginning of time.
///
/// ```
/// use burnday::calc::calling::latest;
///
/// // 10 calls by 3 people are 4 rounds of 5 minutes each, and 30 minutes to spare.
/// assert_eq!(latest(36_000, 10, 3, 5, 30), Some(36_000 - 50 * 60));
/// assert_eq!(latest(36_000, 10, 0, 5, 30), None);
/// ```
#[must_use]
pub fn latest(
    first_departure: i64,
    calls: u32,
    callers: u32,
    minutes_per_call: u32,
    margin_minutes: u32,
) -> Option<i64> {
    let rounds = match (calls, callers) {
        (0, _) => 0,
        (_, 0) => return None,
        (calls, callers) => calls.div_ceil(callers),
    };
    let minutes = i128::from(rounds) * i128::from(minutes_per_call) + i128::from(margin_minutes);
    i64::try_from(i128::from(first_departure) - minutes * MINUTE).ok()
}

/// In which order to call: who sets off first, then who has fewer alternates, then by number.
#[must_use]
pub fn order(people: &[Critical]) -> Vec<Critical> {
    let mut people = people.to_vec();
    people.sort_by_key(|person| (person.sets_off, person.alternates, person.number));
    people
}

/// Who calls whom: for each caller, whom they call in which order. They take turns down the list
/// of [`order`], so that the first to set off are called first, and nobody has more than one call
/// more than another. Without callers there are no lists.
///
/// ```
/// use burnday::calc::calling::{Critical, lists};
///
/// let person = |number, sets_off| Critical { number, sets_off, alternates: 0 };
/// let lists = lists(&[person(1, 300), person(2, 100), person(3, 200)], 2);
/// let numbers = |caller: usize| lists[caller].iter().map(|person| person.number).collect::<Vec<_>>();
/// assert_eq!((numbers(0), numbers(1)), (vec![2, 1], vec![3]));
/// ```
#[must_use]
pub fn lists(people: &[Critical], callers: u32) -> Vec<Vec<Critical>> {
    let ordered = order(people);
    let callers = callers as usize;
    let list = |caller| ordered.iter().skip(caller).step_by(callers).copied().collect();
    (0..callers).map(list).collect()
}

#[cfg(test)]
mod tests;
