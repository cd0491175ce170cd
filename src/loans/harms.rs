//! What the condition records of a loan show: what changed, and what was damaged or lost.

use super::condition::{Difference, Means, differences};
use super::loan::Loan;

impl Loan {
    /// What changed between pickup and return, once it is back.
    #[must_use]
    pub fn differences(&self) -> Vec<Difference> {
        match (self.record(false), self.record(true)) {
            (Some(handed), Some(returned)) => differences(&handed.condition, &returned.condition),
            _ => Vec::new(),
        }
    }

    /// What its records show: damage first, then missing parts.
    #[must_use]
    pub fn harmed(&self) -> Vec<Means> {
        let found = self.differences();
        let any = |means: &Means| found.iter().any(|difference| difference.means == *means);
        [Means::Damaged, Means::Missing].into_iter().filter(any).collect()
    }

    /// The same as people read it.
    #[must_use]
    pub fn harms(&self) -> Vec<&'static str> {
        let says = |means: Means| if means == Means::Missing { "something missing" } else { "damaged" };
        self.harmed().into_iter().map(says).collect()
    }
}
