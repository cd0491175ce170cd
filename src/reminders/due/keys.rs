//! Keys for the same reminder to several people.

/// A key for each of several people who get the same reminder. The first, with the oldest
/// account, has the plain key, so that they don't get it twice when someone else gets
/// the role, too.
pub(super) fn keyed(people: impl Iterator<Item = i64>, key: String) -> impl Iterator<Item = (i64, String)> {
    let name = move |(place, id): (usize, i64)| (id, if place == 0 { key.clone() } else { format!("{key}/{id}") });
    people.enumerate().map(name)
}
