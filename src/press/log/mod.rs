//! Every word with an outlet: rows are only added, and a correction is one more.

mod form;
mod routes;
mod store;

use crate::accounts::{Private, User};
use crate::asks::{Said, Way};
use crate::events::Event;
use crate::named::named;
use crate::state::App;
use crate::web::words;
use axum::Router;
use time::{Date, OffsetDateTime};

pub(super) use form::LogForm;
pub(super) use routes::{Choices, DueLine, due};
pub use store::add;
pub(super) use store::of_event;

pub(super) fn router() -> Router<App> {
    routes::router()
}

named! {
    /// How somebody was reached.
    Channel, "Choose how they were reached.", CHANNELS: [
        Phone = "phone",
        Mail = "mail",
        InPerson = "in person",
        Text = "text message",
        Form = "web form",
        Letter = "letter",
    ]
}

named! {
    /// What came of it.
    Outcome, "Choose what came of it.", OUTCOMES: [
        NoAnswer = "no answer yet",
        Answered = "answered",
        Comes = "will cover it",
        Perhaps = "may cover it",
        Declined = "will not cover it",
    ]
}

impl Channel {
    fn says(self) -> &'static str {
        match self {
            Self::Phone => "by phone",
            Self::Mail => "by mail",
            Self::InPerson => "in person",
            Self::Text => "by text message",
            Self::Form => "by web form",
            Self::Letter => "by letter",
        }
    }

    pub(super) fn way(self) -> Way {
        match self {
            Self::Phone => Way::Phone,
            Self::InPerson => Way::InPerson,
            Self::Letter => Way::Letter,
            Self::Mail | Self::Text | Self::Form => Way::Mail,
        }
    }
}

impl Outcome {
    /// What it says to the question whether they cover the burn.
    pub(super) fn said(self) -> Option<Said> {
        match self {
            Self::Comes => Some(Said::Yes),
            Self::Perhaps => Some(Said::Maybe),
            Self::Declined => Some(Said::No),
            Self::NoAnswer | Self::Answered => None,
        }
    }
}

/// One row as it is added.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewEntry {
    pub event_id: i64,
    pub outlet_id: i64,
    pub person_id: i64,
    pub channel: Channel,
    pub outcome: Outcome,
    /// What was sent or said.
    pub words: String,
    pub promised: String,
    pub follow_up_on: Option<Date>,
    /// Who follows up; only with a day.
    pub follow_up_by: Option<i64>,
    /// The version of a paper that was sent, and the mail it went in.
    pub version_id: Option<i64>,
    pub mail_id: Option<i64>,
    pub at: OffsetDateTime,
    /// The row it takes the place of.
    pub corrects: Option<i64>,
}

/// One row as it is read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Entry {
    pub id: i64,
    pub outlet_id: i64,
    pub outlet: String,
    pub person_id: i64,
    pub person: String,
    pub channel: Channel,
    pub outcome: Outcome,
    pub words: String,
    pub promised: String,
    pub follow_up_on: Option<Date>,
    pub follow_up_by: Option<(i64, String)>,
    /// "media advisory v1"; empty if nothing was sent.
    pub sent: String,
    pub is_advisory: bool,
    pub version_id: Option<i64>,
    pub mail_id: Option<i64>,
    /// The mail was stopped before it left.
    pub is_lost: bool,
    pub at: OffsetDateTime,
    pub recorded_by: Option<String>,
    pub corrects: Option<i64>,
    pub is_corrected: bool,
}

/// Those that no other row corrects.
pub(super) fn standing(entries: Vec<Entry>) -> Vec<Entry> {
    entries.into_iter().filter(|entry| !entry.is_corrected).collect()
}

/// The follow-ups that nobody has made yet, the soonest first: a day that was
/// noted holds until somebody writes of a later word with the same person. A
/// mailed paper alone is none.
pub(super) fn open_follow_ups(entries: &[Entry]) -> Vec<(&Entry, Date)> {
    let later = |entry: &Entry, other: &Entry| {
        (other.outlet_id, other.person_id) == (entry.outlet_id, entry.person_id)
            && !other.is_corrected
            && other.mail_id.is_none()
            && (other.at, other.id) > (entry.at, entry.id)
    };
    let open = entries.iter().filter(|entry| !entry.is_corrected && !entries.iter().any(|other| later(entry, other)));
    let mut open: Vec<_> = open.filter_map(|entry| Some((entry, entry.follow_up_on?))).collect();
    open.sort_by(|(a, a_on), (b, b_on)| (a_on, &a.outlet, a.id).cmp(&(b_on, &b.outlet, b.id)));
    open
}

/// A row as a page shows it.
#[derive(Debug)]
pub(super) struct Shown {
    pub id: i64,
    pub outlet_id: i64,
    pub outlet: String,
    pub person_id: i64,
    pub person: String,
    pub channel: Channel,
    pub outcome: Outcome,
    /// What was said, for those who may read it.
    pub words: String,
    pub promised: String,
    /// "by phone, recorded by Jun Castellane"
    pub detail: String,
    pub follow_up: String,
    pub when: String,
    /// "media advisory v1"; empty if nothing was sent.
    pub sent: String,
    /// The mail was stopped before it left.
    pub is_lost: bool,
    pub is_corrected: bool,
    /// The row it takes the place of.
    pub corrects: Option<i64>,
}

/// The rows that fit, the newest first. What people said is not for everybody.
pub(super) fn shown(entries: &[Entry], event: &Event, user: &User, fits: impl Fn(&Entry) -> bool) -> Vec<Shown> {
    let line = |entry: &Entry| {
        let mut detail = vec![entry.channel.says().to_owned()];
        detail.extend(Some(&entry.sent).filter(|sent| !sent.is_empty()).map(|sent| format!("sent {sent}")));
        detail.extend(entry.is_lost.then(|| "the mail did not go out".to_owned()));
        detail.extend(entry.recorded_by.as_ref().map(|who| format!("recorded by {who}")));
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
            follow_up: entry.follow_up_on.map(|on| format!("follow up {}{by}", words::day(on))).unwrap_or_default(),
            when: words::moment(event.details.zone.wall(entry.at)),
            sent: entry.sent.clone(),
            is_lost: entry.is_lost,
            is_corrected: entry.is_corrected,
            corrects: entry.corrects,
        }
    };
    entries.iter().filter(|entry| fits(entry)).map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, datetime};

    fn entry(id: i64, person_id: i64, follow_up_on: Option<Date>) -> Entry {
        Entry {
            id,
            outlet_id: 1,
            outlet: "Radio Bend".to_owned(),
            person_id,
            person: String::new(),
            channel: Channel::Phone,
            outcome: Outcome::NoAnswer,
            words: String::new(),
            promised: String::new(),
            follow_up_on,
            follow_up_by: None,
            sent: String::new(),
            is_advisory: false,
            version_id: None,
            mail_id: None,
            is_lost: false,
            at: datetime!(2027-05-01 12:00 UTC) + time::Duration::hours(id),
            recorded_by: None,
            corrects: None,
            is_corrected: false,
        }
    }

    #[test]
    fn a_follow_up_holds_until_somebody_writes_of_a_later_word() {
        let on = date!(2027 - 05 - 03);
        let open = |entries: &[Entry]| open_follow_ups(entries).iter().map(|(entry, _)| entry.id).collect::<Vec<_>>();
        let first = entry(1, 7, Some(on));
        assert_eq!(open(std::slice::from_ref(&first)), [1]);
        assert_eq!(open(&[first.clone(), entry(2, 8, None)]), [1], "another person's word settles nothing");
        assert_eq!(open(&[first.clone(), entry(2, 7, None)]), [0; 0]);
        let mailed = Entry { mail_id: Some(4), ..entry(2, 7, None) };
        assert_eq!(open(&[first.clone(), mailed]), [1], "a mailed paper is no follow-up");
        let sooner = entry(3, 8, Some(date!(2027 - 05 - 02)));
        assert_eq!(open(&[first.clone(), sooner]), [3, 1]);
        let corrected = Entry { is_corrected: true, ..entry(2, 7, None) };
        assert_eq!(open(&[first, corrected]), [1], "what was corrected is not what was said");
    }
}
