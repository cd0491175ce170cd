//! What speaks against somebody at a post on a day, in words.

use super::book::Book;
use super::{Hours, Post, skills};
use crate::calc::duties;
use crate::web::words;
use time::Date;

/// A rule that somebody at a post would break.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    pub words: String,
    /// What the rule rests on.
    pub basis: String,
}

impl Violation {
    fn new(words: String, basis: impl Into<String>) -> Self {
        Self { words, basis: basis.into() }
    }
}

pub(super) fn span(hours: Hours, on: Date) -> Option<duties::Hours> {
    let (from, until) = hours.on(on);
    duties::Hours::new(from, until)
}

impl Book {
    /// What speaks against it: qualifications, hours, and the duties at other
    /// posts. Nobody's name is in the words, since they are kept with a decision
    /// to do it all the same.
    #[must_use]
    pub fn against(&self, post: &Post, person_id: i64, on: Date) -> Vec<Violation> {
        let mut found = self.lacking(post, person_id, on);
        if let Some(there) = self.hours(person_id, on).filter(|there| !there.covers(post.details.hours)) {
            found.push(Violation::new(
                format!(
                    "Can be there {} on {}; the post is {}.",
                    there.says(),
                    words::day(on),
                    post.details.hours.says()
                ),
                "common practice: nobody leaves a post before it ends",
            ));
        }
        found.extend(self.clashes(post, person_id, on));
        found
    }

    fn lacking(&self, post: &Post, person_id: i64, on: Date) -> Vec<Violation> {
        let needs = post.details.needs.iter().filter_map(|id| self.qualification(*id));
        let lacks = needs.filter_map(|needed| {
            let held = self.held(person_id).filter(|holding| {
                skills::with_lesser(holding.kept.qualification_id, &self.qualifications).contains(&needed.id)
            });
            let held: Vec<_> = held.collect();
            if held.iter().any(|holding| holding.kept.holds_on(on)) {
                return None;
            }
            let last = held.iter().filter_map(|holding| holding.kept.expires_on).max();
            let words = match last {
                Some(last) => format!(
                    "“{}” is needed and holds until {}, not on {}.",
                    needed.name,
                    words::day(last),
                    words::day(on)
                ),
                None => format!("“{}” is needed and not recorded.", needed.name),
            };
            Some(Violation::new(words, needed.basis.as_str()))
        });
        lacks.collect()
    }

    fn clashes(&self, post: &Post, person_id: i64, on: Date) -> Vec<Violation> {
        let elsewhere = self
            .assigned
            .iter()
            .filter(|other| other.person_id == person_id && other.post_id != post.id && !other.is_standby);
        let clash = |other: &super::Assignment| {
            let other = self.post(other.post_id)?;
            let (ours, theirs) = (span(post.details.hours, on)?, span(other.details.hours, on)?);
            let rule = duties::clash(post.details.duty, &ours, other.details.duty, &theirs)?;
            let words = format!("{} Also: {}, {}.", rule.words, other.details.name, other.details.hours.says());
            Some(Violation::new(words, rule.basis.says()))
        };
        elsewhere.filter_map(clash).collect()
    }

    /// What is not excused by a decision to do it all the same.
    #[must_use]
    pub fn broken(&self, assignment: &super::Assignment, on: Date) -> Vec<Violation> {
        let Some(post) = self.post(assignment.post_id) else { return Vec::new() };
        let excused = assignment.all_the_same.as_ref().map(|one| one.rules.as_slice()).unwrap_or_default();
        let mut found = self.against(post, assignment.person_id, on);
        found.retain(|violation| !excused.contains(&violation.words));
        found
    }
}
