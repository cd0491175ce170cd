//! Why a change of the drawing was not made.

/// Why a change wasn't made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// It is no longer on the drawing.
    Gone,
    /// Someone else changed it since it was shown.
    Changed,
    /// For whoever typed it.
    Wrong(String),
}
