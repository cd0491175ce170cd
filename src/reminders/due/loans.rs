//! Reminders of borrowed items that have to go back.

use super::Inputs;
use super::keys::keyed;
use crate::calc::reminder::{By, Reminder};
use crate::loans::Out;
use crate::reminders::line::{About, Line};
use crate::web::words::{self, Reader};
use time::macros::time;
use time::{Duration, PrimitiveDateTime, Time};

const AFTER_WORK: Time = time!(18:00);
const BEFORE_WORK: Time = time!(8:00);
const EVENING: Time = time!(20:00);

/// When someone is reminded of an item.
struct Round {
    name: &'static str,
    people: Vec<i64>,
    days_after: i64,
    at: Time,
}

impl Inputs<'_> {
    /// Borrowed items go back. Whoever is responsible is reminded on burn-day evening and
    /// the next morning, and the education officer two days later if an item is late.
    /// Common practice, no published source.
    pub(super) fn of_loan(&self, out: &Out) -> Vec<Line> {
        let burn_on = self.event.details.burn_on;
        let line = |round: Round| {
            let on = burn_on + Duration::days(round.days_after);
            let key = format!("loan/{}/{}/{}", out.id, round.name, words::iso(out.due));
            let lines = keyed(round.people.into_iter(), key).map(|(person_id, key)| Line {
                key,
                person_id,
                by: By::Mail,
                reminder: Reminder {
                    about: i64::MIN / 2 + out.id,
                    due: PrimitiveDateTime::new(on, round.at),
                    not_after: PrimitiveDateTime::new(on + Duration::DAY, EVENING),
                    still_true: true,
                },
                title: format!("Return: {}", out.title),
                why: format!("due back {}", Reader::App.near_day(out.due, self.outlook.today)),
                about: About::Loan(out.clone()),
            });
            lines.collect::<Vec<_>>()
        };
        let officers = self.officers();
        let our_contact = out.our_contact_id.filter(|id| self.reaches(*id).is_some());
        let contacts = our_contact.map_or_else(|| officers.clone(), |id| vec![id]);
        let late = if out.due < burn_on + Duration::days(2) { officers } else { Vec::new() };
        let all = [
            Round { name: "evening", people: contacts.clone(), days_after: 0, at: AFTER_WORK },
            Round { name: "morning", people: contacts, days_after: 1, at: BEFORE_WORK },
            Round { name: "late", people: late, days_after: 2, at: BEFORE_WORK },
        ];
        all.into_iter().flat_map(line).collect()
    }
}
