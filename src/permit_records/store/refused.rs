//! Why a record was not changed.

/// Why a record was not changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// Someone else changed it in the meantime.
    Stale,
    /// It is gone, or was never there.
    Gone,
    /// It already says so.
    Already,
    /// There are as many as there can be.
    Full,
}
