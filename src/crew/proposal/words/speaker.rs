//! The names that everything in the proposal is told with.

use crate::calc::staffing::{Answer, How};
use crate::crew::proposal::plan::Dated;
use crate::crew::snapshot::CrewSnapshot;
use crate::web::words::Reader;
use time::Date;

/// At most this many people are named in one sentence.
pub(super) const MOST_NAMED: usize = 8;

/// Puts a plan into words.
pub(in crate::crew) struct Words<'a> {
    pub snapshot: &'a CrewSnapshot,
    pub today: Date,
}

impl Words<'_> {
    pub(super) fn name(&self, person: i64) -> String {
        self.snapshot.people.get(&person).map_or_else(|| "someone".to_owned(), |one| one.details.name.clone())
    }

    pub(super) fn post(&self, id: i64) -> &str {
        self.snapshot.post(id).map_or("a position", |post| post.details.name.as_str())
    }

    pub(super) fn skill(&self, id: i64) -> &str {
        self.snapshot.qualification(id).map_or("a qualification", |one| one.name.as_str())
    }

    pub(super) fn near(&self, on: Date) -> String {
        Reader::App.near_day(on, self.today)
    }

    pub(super) fn how(&self, dated: &Dated, person: i64, how: How) -> String {
        match how {
            How::ByHand => "stays by override".to_owned(),
            How::SaidYes => "said yes to this position".to_owned(),
            How::Yes => "said yes to the date".to_owned(),
            How::Maybe => "said maybe".to_owned(),
            How::Waiting => "waiting for a reply".to_owned(),
            How::NotAsked => "not asked yet".to_owned(),
            How::Moved => {
                let said = dated.people.iter().find(|one| one.id == person).into_iter().flat_map(|one| &one.posts);
                let yes =
                    said.filter(|(_, said)| *said == Answer::Yes).map(|(post, _)| format!("“{}”", self.post(*post)));
                format!("said yes to {}", joined(&yes.collect::<Vec<_>>(), "and"))
            }
        }
    }
}

/// "A", "A and B", "A, B and C".
pub(super) fn joined(parts: &[impl AsRef<str>], last: &str) -> String {
    let parts: Vec<&str> = parts.iter().map(AsRef::as_ref).collect();
    match parts.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., end] => format!("{} {last} {end}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_joined_as_people_say_them() {
        assert_eq!(joined(&[] as &[&str], "and"), "");
        assert_eq!(joined(&["Pump 1"], "and"), "Pump 1");
        assert_eq!(joined(&["Pump 1", "Pump 2"], "or"), "Pump 1 or Pump 2");
        assert_eq!(joined(&["A", "B", "C"], "and"), "A, B and C");
    }
}
