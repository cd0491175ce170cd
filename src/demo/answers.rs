//! An answer in the demo.

use crate::asks::{Given, Said, Way};

/// What someone recorded has a note of how they heard it.
pub(super) fn given(said: Said, way: Way) -> Given {
    Given {
        evidence: if way == Way::Link { String::new() } else { format!("{}, recorded the same day", way.how()) },
        ..Given::of(said, way)
    }
}
