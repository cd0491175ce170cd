//! The practices in a list.

use super::clock::when;
use super::measured::{Practice, planned, rate};
use crate::calc::fire::bands::FireTimes;
use crate::calc::talk::{Audience, Mark};
use crate::talk::says;
use crate::talk::says::clock;
use crate::talk::snapshot::TalkSnapshot;
use crate::web::words::{self, Reader};
use time::OffsetDateTime;

/// A practice in the list.
pub(super) struct Kept {
    pub id: i64,
    pub when: String,
    pub lines: String,
    pub rates: String,
    pub fires: String,
    pub note: String,
}

pub(super) fn kept(snapshot: &TalkSnapshot, practice: &Practice, now: OffsetDateTime) -> Kept {
    let (event, pace) = (&snapshot.event, &snapshot.settings.pace);
    let today = event.today(now);
    let by = practice.by.as_ref().map(|by| format!(", {by}")).unwrap_or_default();
    let rates = [
        (practice.children, Audience::All, "to children and to all"),
        (practice.adults, Audience::Adults, "to adults"),
    ];
    let rates: Vec<String> = rates
        .into_iter()
        .filter_map(|(measured, audience, whom)| {
            let rate = says::whole(rate(measured)?);
            Some(format!("{rate} words a minute {whom}, planned {}", planned(pace, audience)))
        })
        .collect();
    // Each room's own moments; of a practice in another format, all of them.
    let is_same = practice.fires.len() == snapshot.burns().len();
    let fire = |(place, fire): (usize, &FireTimes)| {
        let marks = if is_same { snapshot.burns()[place].marks() } else { &Mark::ALL };
        let times = marks.iter().filter(|mark| **mark != Mark::Attack);
        let times = times.filter_map(|mark| Some(format!("{} {}", says::mark(*mark), clock(when(*mark, fire, 0)?))));
        times.collect::<Vec<_>>().join(", ")
    };
    Kept {
        id: practice.id,
        when: format!("{}{by}", Reader::App.near_moment(event.details.zone.wall(practice.at), today)),
        lines: format!(
            "{} finished, {} cut off",
            words::count(practice.finished as usize, "line", "lines"),
            practice.cut
        ),
        rates: if rates.is_empty() { "no pace measured".to_owned() } else { rates.join("; ") },
        fires: practice.fires.iter().enumerate().map(fire).collect::<Vec<_>>().join(" / "),
        note: practice.note.clone(),
    }
}
