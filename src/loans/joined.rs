//! Parts of a line in one text.

/// The parts that aren't empty, with this between them.
pub(super) fn joined(parts: impl IntoIterator<Item = String>, between: &str) -> String {
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(between)
}
