//! What speaks against somebody at a post on a day, in words.

use super::book::Book;
use super::{Hours, Post, skills};
use crate::calc::duties;
use crate::web::words;
use time::Date;

/// A rule that somebody at a post would break.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Violation {
    pub why: Why,
    pub words: String,
    /// What the rule rests on.
    pub basis: String,
}

impl Violation {
    fn new(why: Why, words: String, basis: impl Into<String>) -> Self {
        Self { why, words, basis: basis.into() }
    }
}

/// What kind of rule it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// Nobody recorded a qualification that is needed,
    NotRecorded,
    /// or it doesn't hold on that day.
    Expired,
    Hours,
    /// Another duty in the same hours.
    Duties,
}

impl Why {
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::NotRecorded => "not-recorded",
            Self::Expired => "expired",
            Self::Hours => "hours",
            Self::Duties => "duties",
        }
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
                Why::Hours,
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
            let (why, words) = match last {
                Some(last) => {
                    let (last, on) = (words::day(last), words::day(on));
                    (Why::Expired, format!("“{}” is needed and holds until {last}, not on {on}.", needed.name))
                }
                None => (Why::NotRecorded, format!("“{}” is needed and not recorded.", needed.name)),
            };
            Some(Violation::new(why, words, needed.basis.as_str()))
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
            Some(Violation::new(Why::Duties, words, rule.basis.says()))
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
