//! What someone is to be thanked for.

use super::{Deputy, Thanked, Whom};

/// Something to thank someone for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// Identifies it, so no one is thanked for it twice.
    pub key: String,
    /// Text for the list, such as "coming as our guest".
    pub says: String,
    /// Text for the letter, after "Thank you for".
    pub thanks: String,
    /// False for a gift that is only promised.
    pub is_due: bool,
}

/// Everything to thank someone for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Owed {
    pub whom: Whom,
    /// Set if the deputy is meant.
    pub deputy: Deputy,
    pub reasons: Vec<Reason>,
}

impl Owed {
    /// What they haven't been thanked for yet.
    #[must_use]
    pub fn open<'a>(&'a self, thanked: &[Thanked]) -> Vec<&'a Reason> {
        let done = |key: &String| {
            thanked.iter().any(|thanked| thanked.whom == self.whom && thanked.counts() && thanked.reasons.contains(key))
        };
        self.reasons.iter().filter(|reason| reason.is_due && !done(&reason.key)).collect()
    }
}

/// How many people are still to be thanked, and how many in all.
pub(super) fn count(owed: &[Owed], thanked: &[Thanked]) -> (usize, usize) {
    let due = owed.iter().filter(|owed| owed.reasons.iter().any(|reason| reason.is_due));
    let open = owed.iter().filter(|owed| !owed.open(thanked).is_empty());
    (open.count(), due.count())
}
