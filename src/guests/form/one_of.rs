//! A choice from a list.

/// None if the choice doesn't exist; choosing nothing is fine.
#[expect(clippy::option_option, reason = "no choice is not the same as a wrong one")]
pub(super) fn one_of(text: &str, mut known: impl Iterator<Item = i64>) -> Option<Option<i64>> {
    if text.is_empty() {
        return Some(None);
    }
    let id = text.parse().ok()?;
    known.any(|other| other == id).then_some(Some(id))
}
