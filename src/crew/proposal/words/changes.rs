//! What applying the proposal would change.

use super::speaker::{Words, joined};
use crate::calc::staffing::{Answer, Bar, How, bars};
use crate::crew::proposal::plan::{Change, Plan};
use std::collections::BTreeSet;

pub(in crate::crew) struct ChangeLine {
    pub kind: &'static str,
    pub person: i64,
    pub post: i64,
    /// What they answered, if the position is new to them. Empty for other changes.
    pub how: &'static str,
    /// They were asked about the position they leave.
    pub was_asked: bool,
    pub who: String,
    pub what: String,
    pub why: String,
}

impl Words<'_> {
    /// "Ada Fenn at “First pump”", needed on the rain date only.
    pub fn rain_alone(&self, plan: &Plan) -> Vec<String> {
        let seat = |(post, person): &(i64, i64)| format!("{} at “{}”", self.name(*person), self.post(*post));
        plan.rain_alone.iter().map(seat).collect()
    }

    pub fn changes(&self, plan: &Plan) -> Vec<ChangeLine> {
        plan.changes.iter().filter_map(|change| self.change(plan, *change)).collect()
    }

    fn change(&self, plan: &Plan, change: Change) -> Option<ChangeLine> {
        let of = |id: i64| self.snapshot.assigned.iter().find(|one| one.id == id);
        let line = |kind: &'static str, (person, post): (i64, i64), what: String, why: String| {
            let who = self.name(person);
            ChangeLine { kind, person, post, how: "", was_asked: false, who, what, why }
        };
        Some(match change {
            Change::Put { person, post, is_for_rain } => {
                let dated = if is_for_rain { plan.dates.get(1) } else { plan.dates.first() }?;
                let how = dated.found.seats.iter().find(|seat| (seat.post, seat.person) == (post, person))?.how;
                let said = self.how(dated, person, how);
                let why = match how {
                    How::Moved => format!("{said}, but without this move a position would stay open"),
                    _ if is_for_rain => {
                        format!("{said}, needed on the rain date, {}", self.near(dated.on))
                    }
                    _ => said,
                };
                let line = line("put", (person, post), format!("joins “{}”", self.post(post)), why);
                ChangeLine { how: how_mark(how), ..line }
            }
            Change::Seat { assignment } => {
                let one = of(assignment)?;
                let what = format!("becomes primary at “{}”", self.post(one.post_id));
                line("seat", (one.person_id, one.post_id), what, "was an alternate".to_owned())
            }
            Change::StandBy { assignment } => {
                let one = of(assignment)?;
                let why = self.why_not(plan, one.post_id, one.person_id);
                let what = format!("becomes an alternate at “{}”", self.post(one.post_id));
                line("alternate", (one.person_id, one.post_id), what, why)
            }
            Change::Off { assignment } => {
                let one = of(assignment)?;
                let seats = plan.dates.iter().flat_map(|dated| &dated.found.seats);
                let others: BTreeSet<i64> =
                    seats.filter(|seat| seat.person == one.person_id).map(|seat| seat.post).collect();
                let others: Vec<String> = others.iter().map(|post| format!("“{}”", self.post(*post))).collect();
                let was_asked = one.request_id.is_some();
                let asked =
                    if was_asked { "; they were asked about it, so withdraw that question under Replies" } else { "" };
                let why = format!("moves to {}{asked}", joined(&others, "and"));
                let what = format!("leaves “{}”", self.post(one.post_id));
                ChangeLine { was_asked, ..line("off", (one.person_id, one.post_id), what, why) }
            }
        })
    }

    /// Why someone isn't placed in the position they are assigned to.
    fn why_not(&self, plan: &Plan, post: i64, person: i64) -> String {
        let Some(dated) = plan.dates.first() else { return String::new() };
        let post = dated.posts.iter().find(|one| one.id == post);
        let one = dated.people.iter().find(|one| one.id == person);
        let bars = post.zip(one).map(|(post, one)| bars(post, one, Answer::NotAsked));
        match bars.unwrap_or_default().first() {
            None => "others are more likely to come, or need fewer moves".to_owned(),
            Some(Bar::Answer(_)) => format!("said no to {}", self.near(dated.on)),
            Some(Bar::Hours) => "can't be there the whole time".to_owned(),
            Some(Bar::Expired(skill)) => format!("“{}” isn't valid on {}", self.skill(*skill), self.near(dated.on)),
            Some(Bar::Missing(skill)) => format!("“{}” is not on record", self.skill(*skill)),
        }
    }
}

/// What someone who gets a position answered, as a mark on pages.
fn how_mark(how: How) -> &'static str {
    match how {
        How::ByHand => "by-hand",
        How::SaidYes | How::Yes => "yes",
        How::Maybe => "maybe",
        How::Waiting => "waiting",
        How::NotAsked => "not-asked",
        How::Moved => "moved",
    }
}
