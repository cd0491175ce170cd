//! The records a plan starts with: one for each usual permit or notice, without its
//! notice rule, since each authority has its own.

use super::{Details, Kind, Rule};
use serde::Deserialize;
use std::collections::HashMap;
use std::sync::LazyLock;

/// A record in the usual plan.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Usual {
    pub key: String,
    /// The key of its task in the usual plan.
    pub task: String,
    kind: String,
    pub title: String,
}

#[derive(Deserialize)]
struct File {
    record: Vec<Usual>,
}

static USUAL: LazyLock<Vec<Usual>> = LazyLock::new(|| {
    let file: File = toml::from_str(include_str!("usual.toml")).expect("the usual records are checked by a test");
    file.record
});

/// All of them, in order.
#[must_use]
pub fn usual() -> &'static [Usual] {
    &USUAL
}

/// What the department knows from its other events, by the key of the usual record: the
/// rule, who asked whom, and when.
pub type KnownRules = HashMap<String, Details>;

impl Usual {
    /// The record for a task. A rule from another event comes along with the date someone
    /// asked; dates, numbers and conditions don't.
    #[must_use]
    pub fn details(&self, task_id: i64, known: Option<&Details>) -> Details {
        let kind = self.kind.parse().unwrap_or(Kind::Other);
        let mut details = Details { task_id: Some(task_id), ..Details::of(kind, &self.title) };
        if let Some(known) = known.filter(|known| known.rule != Rule::NotAsked) {
            details.authority.clone_from(&known.authority);
            details.person.clone_from(&known.person);
            details.phone.clone_from(&known.phone);
            details.mail.clone_from(&known.mail);
            details.rule = known.rule.clone();
        }
        details
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::permit_records::Kind;

    #[test]
    fn each_usual_record_has_a_kind_and_a_key_of_its_own_and_no_rule() {
        let mut keys: Vec<&str> = usual().iter().map(|one| one.key.as_str()).collect();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), usual().len());
        for one in usual() {
            assert!(one.kind.parse::<Kind>().is_ok(), "{}", one.key);
            assert_eq!(one.details(1, None).rule, Rule::NotAsked, "{}", one.key);
        }
    }
}
