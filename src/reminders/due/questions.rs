//! Reminders about questions: what was not answered, and what was promised.

use super::Inputs;
use crate::asks::{self, Answer, Request, Said};
use crate::calc::reminder::{CREW_FINAL_CHECK, Kind, Reminder};
use crate::reminders::event_rule::{EventRule, step};
use crate::reminders::line::{About, Line};
use crate::web::words::{self, Reader};
use time::macros::time;
use time::{Duration, PrimitiveDateTime, Time};

/// No one is asked again within this many days of being asked.
const PATIENCE: i64 = 3;
const EVENING: Time = time!(20:00);

impl Inputs<'_> {
    pub(super) fn of_question(&self, request: &Request) -> Vec<Line> {
        let burn_on = self.event.details.burn_on;
        let rules = self.rules.iter().filter(|held| held.kind == request.kind && held.is_on);
        rules
            .filter_map(|held| {
                let due = held.rule.due(burn_on, self.calendar());
                let (still_true, not_after) = self.truth(request, held, due)?;
                Some(Line {
                    key: format!("question/{}/{}/{}", request.id, held.rule.key, self.event.date_revision),
                    person_id: request.person_id,
                    by: held.rule.by,
                    reminder: Reminder { about: request.id, due, not_after, still_true },
                    title: request.question.clone(),
                    why: self.why(request, held),
                    about: About::Question { request: Box::new(request.clone()), kind: held.rule.kind },
                })
            })
            .collect()
    }

    /// Why a rule reminds someone of a question: the dates they haven't answered for, or how
    /// near burn day is.
    fn why(&self, request: &Request, held: &EventRule) -> String {
        if held.rule.kind == Kind::Chase {
            let open = request.live().filter(|ask| ask.stands().is_none());
            let days = open.map(|ask| Reader::App.near_day(ask.for_on, self.outlook.today));
            return format!("no reply yet for {}", days.collect::<Vec<_>>().join(" and "));
        }
        let before = words::days(u32::from(held.rule.days), held.rule.basis);
        format!("{}, {before} before burn day", step(held.rule.kind))
    }

    /// Whether a rule's reminder about a question is still true, and until when. None if
    /// the rule doesn't apply.
    fn truth(&self, request: &Request, held: &EventRule, due: PrimitiveDateTime) -> Option<(bool, PrimitiveDateTime)> {
        let burn_on = self.event.details.burn_on;
        if held.rule.kind == Kind::Chase {
            let asked = self.wall(request.asked_at);
            // Asked too late for this rule.
            if due < asked + Duration::days(PATIENCE) {
                return None;
            }
            let waits = !request.is_withdrawn && request.live().any(|ask| ask.stands().is_none());
            return Some((waits, self.wall(request.closes_at)));
        }
        let stands = request.stands_for(burn_on);
        // They answered since then and have it in writing.
        if stands.is_some_and(|answer| self.wall(answer.at) > due) {
            return None;
        }
        // They confirmed since the final check, so we don't ask on the morning itself.
        let since = burn_on - Duration::days(i64::from(CREW_FINAL_CHECK.days));
        let is_sure = |answer: &Answer| self.wall(answer.at).date() >= since;
        if request.kind == asks::Kind::Post && held.rule.days == 0 && stands.is_some_and(is_sure) {
            return None;
        }
        let comes = stands.is_some_and(|answer| matches!(answer.said, Said::Yes | Said::Deputy));
        let until = if held.rule.days == 0 {
            PrimitiveDateTime::new(burn_on, self.event.details.burn_time)
        } else if held.rule.kind == Kind::Remind {
            PrimitiveDateTime::new(burn_on - Duration::DAY, EVENING)
        } else {
            PrimitiveDateTime::new(due.date() + Duration::DAY, EVENING)
        };
        Some((comes, until))
    }
}
