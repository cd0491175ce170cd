//! How many people to ask, so that enough come.

use super::speaker::Words;
use crate::calc::staffing::{Answer, standbys};
use crate::crew::proposal::plan::{Dated, Plan};
use std::collections::BTreeMap;

/// How many people to ask who hold the same qualifications.
pub(in crate::crew) struct StandbyLine {
    pub kind: String,
    pub wanted: u32,
    /// None if no number is enough.
    pub ask: Option<u32>,
    pub asked: String,
    pub known: Vec<String>,
}

impl Words<'_> {
    /// By the qualifications that positions require: how many people are needed, how many to
    /// ask, and how many are on file.
    pub fn standbys(&self, plan: &Plan, certainty: f64, show_rate: f64) -> Vec<StandbyLine> {
        let Some(burn) = plan.dates.first() else { return Vec::new() };
        let mut kinds: BTreeMap<&[i64], u32> = BTreeMap::new();
        for post in &burn.posts {
            *kinds.entry(&post.needs).or_default() += post.seats;
        }
        let known = |needs: &[i64], dated: &Dated| {
            let can = dated.people.iter().filter(|person| {
                let holds =
                    |need: &i64| person.holds.iter().any(|held| held.qualification == *need && !held.is_expired);
                needs.iter().all(holds) && person.day != Answer::No
            });
            format!("{} on {}", can.count(), self.near(dated.on))
        };
        let line = |(needs, wanted): (&[i64], u32)| {
            let names: Vec<&str> = needs.iter().map(|need| self.skill(*need)).collect();
            let ask = standbys(wanted, certainty, show_rate);
            StandbyLine {
                kind: if names.is_empty() { "no qualification required".to_owned() } else { names.join(" and ") },
                wanted,
                ask,
                asked: match ask {
                    Some(asked) => format!("{asked} ({} extra)", asked - wanted),
                    None => "no number is enough".to_owned(),
                },
                known: plan.dates.iter().map(|dated| known(needs, dated)).collect(),
            }
        };
        kinds.into_iter().map(line).collect()
    }
}
