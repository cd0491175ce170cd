//! The rules someone would break in a position on a day, in words.

use super::snapshot::CrewSnapshot;
use super::violation::{Violation, Why};
use super::{Assignment, Hours, Post, skills};
use crate::calc::duties::{self, Duty};
use crate::web::words::{self, Reader};
use time::Date;

/// The key for a required qualification, by number: with the last day it is valid and the
/// day it is required on if it is on record.
pub(super) fn key_of_qualification(id: i64, dates: Option<(Date, Date)>) -> String {
    match dates {
        Some((last, on)) => format!("{} {id} {} {}", Why::Expired.as_str(), words::iso(last), words::iso(on)),
        None => format!("{} {id}", Why::NotRecorded.as_str()),
    }
}

/// The key for someone who is there for these hours and needed for those.
pub(super) fn key_of_hours(on: Date, there: Hours, needed: Hours) -> String {
    format!("{} {} {} {}", Why::Hours.as_str(), words::iso(on), minutes(there), minutes(needed))
}

/// The key for someone with this duty who also has another position.
pub(super) fn key_of_duties(duty: Duty, other: &Post) -> String {
    let theirs = &other.details;
    format!("{} {duty}, {} {} {}", Why::Duties.as_str(), theirs.duty, other.id, minutes(theirs.hours))
}

fn minutes(hours: Hours) -> String {
    format!("{}-{}", hours.from, hours.until)
}

pub(super) fn span(hours: Hours, on: Date) -> Option<duties::Hours> {
    let (from, until) = hours.on(on);
    duties::Hours::new(from, until)
}

impl CrewSnapshot {
    /// The rules that would be broken, about qualifications, hours and the duties of other
    /// positions. The words hold no one's name, since an override stores them.
    #[must_use]
    pub fn against(&self, post: &Post, person_id: i64, on: Date) -> Vec<Violation> {
        let mut found = self.lacking(post, person_id, on);
        if let Some(there) = self.hours(person_id, on).filter(|there| !there.covers(post.details.hours)) {
            let needed = post.details.hours;
            found.push(Violation {
                why: Why::Hours,
                key: key_of_hours(on, there, needed),
                words: format!(
                    "Available {} on {}; the position needs {}.",
                    there.says(),
                    Reader::App.day(on),
                    needed.says()
                ),
                basis: "common practice: no one leaves a position early".to_owned(),
            });
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
                    let (last, on) = (Reader::App.day(last), Reader::App.day(on));
                    (Why::Expired, format!("“{}” is required on {on} but expires {last}.", needed.name))
                }
                None => (Why::NotRecorded, format!("“{}” is required and not on record.", needed.name)),
            };
            let key = key_of_qualification(needed.id, last.map(|last| (last, on)));
            Some(Violation { why, key, words, basis: needed.basis.clone() })
        });
        lacks.collect()
    }

    /// The rules against having a position along with the others they have.
    pub(super) fn clashes(&self, post: &Post, person_id: i64, on: Date) -> Vec<Violation> {
        let elsewhere = self
            .assigned
            .iter()
            .filter(|other| other.person_id == person_id && other.post_id != post.id && !other.is_standby);
        let clash = |other: &Assignment| {
            let other = self.post(other.post_id)?;
            let (ours, theirs) = (span(post.details.hours, on)?, span(other.details.hours, on)?);
            let rule = duties::clash(post.details.duty, &ours, other.details.duty, &theirs)?;
            let words =
                format!("{} Also assigned: {}, {}.", rule.words, other.details.name, other.details.hours.says());
            let key = key_of_duties(post.details.duty, other);
            Some(Violation { why: Why::Duties, key, words, basis: rule.basis.says() })
        };
        elsewhere.filter_map(clash).collect()
    }

    /// The broken rules that were not overridden.
    #[must_use]
    pub fn broken(&self, assignment: &Assignment, on: Date) -> Vec<Violation> {
        let Some(post) = self.post(assignment.post_id) else { return Vec::new() };
        let excused = assignment.rule_override.as_ref().map(|one| one.keys.as_slice()).unwrap_or_default();
        let mut found = self.against(post, assignment.person_id, on);
        found.retain(|violation| !excused.contains(&violation.key));
        found
    }
}
