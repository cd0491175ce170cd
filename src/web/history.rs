//! The journal in words.

use crate::db::journal::Told;
use crate::web::words;
use crate::zone::Zone;

/// An entry as a page shows it.
#[derive(Debug)]
pub struct HistoryLine {
    pub when: String,
    pub who: String,
    pub verb: String,
    pub subject: String,
    pub title: String,
    /// Where the thing is; empty when it has no page or is gone.
    pub href: String,
    /// Field, before, after.
    pub changes: Vec<(String, String, String)>,
}

impl HistoryLine {
    /// In the words of a page; times in this zone.
    #[must_use]
    pub fn of(told: Told, zone: &Zone) -> Self {
        let href = match (told.subject.as_str(), told.event_id, told.subject_id) {
            ("task", Some(event), Some(task)) if told.verb != "removed" => format!("/events/{event}/tasks/{task}"),
            ("question", Some(event), Some(question)) => format!("/events/{event}/asks/{question}"),
            ("guest", Some(event), Some(guest)) if told.verb != "removed" => format!("/events/{event}/guests/{guest}"),
            ("thing", Some(event), Some(thing)) if told.verb != "removed" => {
                format!("/events/{event}/rooms/things/{thing}")
            }
            ("gift", Some(event), Some(gift)) => format!("/events/{event}/guests/gifts/{gift}"),
            ("permit", Some(event), Some(permit)) if told.verb != "removed" => {
                format!("/events/{event}/permits/{permit}")
            }
            ("loan", Some(event), Some(loan)) => format!("/events/{event}/loans/{loan}"),
            _ => String::new(),
        };
        Self {
            when: words::moment(zone.wall(told.at)),
            who: told.who,
            verb: told.verb,
            subject: told.subject,
            title: told.title,
            href,
            changes: told.changes.into_iter().map(|c| (c.field, c.before, c.after)).collect(),
        }
    }
}
