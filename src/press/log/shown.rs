//! The entries of the log as a page shows them.

use super::{Channel, Entry, Outcome};
use crate::accounts::{Private, User};
use crate::events::Event;
use crate::web::words::Reader;

/// An entry as a page shows it.
#[derive(Debug)]
pub(in crate::press) struct Shown {
    pub id: i64,
    pub outlet_id: i64,
    pub outlet: String,
    pub person_id: i64,
    pub person: String,
    pub channel: Channel,
    pub outcome: Outcome,
    /// What was said, for users who may read it.
    pub words: String,
    pub promised: String,
    /// "by phone · logged by Jun Castellane"
    pub detail: String,
    pub follow_up: String,
    pub when: String,
    /// "media advisory v1"; empty if nothing was sent.
    pub sent: String,
    /// The email was stopped before it went out.
    pub is_lost: bool,
    pub is_corrected: bool,
    /// The entry it replaces.
    pub corrects: Option<i64>,
}

/// The entries that fit, the newest first. Not every user may read what people said.
pub(in crate::press) fn shown(
    entries: &[Entry],
    event: &Event,
    user: &User,
    fits: impl Fn(&Entry) -> bool,
) -> Vec<Shown> {
    let line = |entry: &Entry| {
        let mut detail = vec![entry.channel.says().to_owned()];
        detail.extend(Some(&entry.sent).filter(|sent| !sent.is_empty()).map(|sent| format!("sent {sent}")));
        detail.extend(entry.is_lost.then(|| "the email did not go out".to_owned()));
        detail.extend(entry.recorded_by.as_ref().map(|who| format!("logged by {who}")));
        let by = entry.follow_up_by.as_ref().map(|(_, name)| format!(", {name}")).unwrap_or_default();
        Shown {
            id: entry.id,
            outlet_id: entry.outlet_id,
            outlet: entry.outlet.clone(),
            person_id: entry.person_id,
            person: entry.person.clone(),
            channel: entry.channel,
            outcome: entry.outcome,
            words: user.shown(Private::Notes, &entry.words),
            promised: user.shown(Private::Notes, &entry.promised),
            detail: detail.join(" · "),
            follow_up: entry
                .follow_up_on
                .map(|on| format!("follow up {}{by}", Reader::App.day(on)))
                .unwrap_or_default(),
            when: Reader::App.moment(event.details.zone.wall(entry.at)),
            sent: entry.sent.clone(),
            is_lost: entry.is_lost,
            is_corrected: entry.is_corrected,
            corrects: entry.corrects,
        }
    };
    entries.iter().filter(|entry| fits(entry)).map(line).collect()
}
