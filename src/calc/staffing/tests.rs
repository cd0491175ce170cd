mod by_hand;
mod known;
mod random;

use super::crew::Crew;
use super::*;
use crate::calc::duties::{Duty, Hours, clash};
use time::Duration;
use time::macros::datetime;

const ANSWERS: [Answer; 5] = [Answer::Yes, Answer::Maybe, Answer::Waiting, Answer::NotAsked, Answer::No];

/// Minutes after midnight of one day.
fn minutes(from: i64, until: i64) -> Hours {
    let at = |minutes| datetime!(2027-01-02 0:00) + Duration::minutes(minutes);
    Hours::new(at(from), at(until)).unwrap()
}

/// How far a proposal is from what people said, the most important first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
struct Weight {
    moved: u32,
    not_asked: u32,
    waiting: u32,
    maybe: u32,
    /// People who keep a position aren't counted.
    changed: u32,
}

impl Weight {
    fn add(&mut self, place: matching::Place) {
        self.changed += u32::from(place.is_new);
        match place.how {
            How::Moved => self.moved += 1,
            How::NotAsked => self.not_asked += 1,
            How::Waiting => self.waiting += 1,
            How::Maybe => self.maybe += 1,
            How::ByHand | How::SaidYes | How::Yes => {}
        }
    }
}

/// The counts of the first step: seats, critical seats, and the weight.
fn best(posts: &[Post], people: &[Person], least: Answer) -> [u32; 7] {
    let crew = Crew::new(posts, people, least);
    let base = crew.graph.best();
    let count = |of: &mut dyn Iterator<Item = (usize, matching::Place)>| u32::try_from(of.count()).unwrap();
    let is_critical = |place: matching::Place| crew.posts[place.post].priority == Priority::Critical;
    let mut weight = Weight::default();
    base.places().for_each(|(_, place)| weight.add(place));
    let Weight { moved, not_asked, waiting, maybe, changed } = weight;
    let critical = count(&mut base.places().filter(|(_, place)| is_critical(*place)));
    [count(&mut base.places()), critical, moved, not_asked, waiting, maybe, changed]
}

/// No seat breaks a rule, and every seat that isn't given is open.
fn check(posts: &[Post], people: &[Person], least: Answer, found: &Proposal) {
    let post = |id| posts.iter().find(|post| post.id == id).unwrap();
    for seat in &found.seats {
        let person = people.iter().find(|person| person.id == seat.person).unwrap();
        if seat.how != How::ByHand {
            assert_eq!(bars(post(seat.post), person, least), [], "{seat:?}");
        }
        for other in found.seats.iter().filter(|other| other.person == seat.person && *other != seat) {
            let (one, other) = (post(seat.post), post(other.post));
            let by_hand = person.fixed.contains(&one.id) && person.fixed.contains(&other.id);
            assert!(one.id != other.id && (by_hand || clash(one.duty, &one.hours, other.duty, &other.hours).is_none()));
        }
    }
    for one in posts {
        let taken = found.seats.iter().filter(|seat| seat.post == one.id).count();
        let by_hand = people.iter().filter(|person| person.fixed.contains(&one.id)).count();
        let open = found.open.iter().find(|(id, _)| *id == one.id).map_or(0, |(_, open)| *open as usize);
        assert_eq!(taken + open, (one.seats as usize).max(by_hand), "{one:?}");
    }
}
