//! A person in a position, and a rule that was overridden for it.

use serde_json::{Value, json};
use time::OffsetDateTime;

/// A person in a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment {
    pub id: i64,
    pub event_id: i64,
    pub post_id: i64,
    pub person_id: i64,
    /// An alternate, who doesn't count toward the number needed.
    pub is_standby: bool,
    /// The question they were asked about it.
    pub request_id: Option<i64>,
    /// Why a rule was overridden for it.
    pub rule_override: Option<RuleOverride>,
}

/// A rule that was overridden for an assignment, and who decided that.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleOverride {
    /// The rules in the words that were shown.
    pub rules: Vec<String>,
    /// Their keys, which count.
    pub keys: Vec<String>,
    pub reason: String,
    pub by: String,
    pub at: OffsetDateTime,
}

impl RuleOverride {
    pub(super) fn snapshot(&self) -> Value {
        json!({"rules": self.rules.join("; "), "reason": self.reason})
    }
}
