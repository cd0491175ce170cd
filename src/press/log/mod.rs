//! Every contact with an outlet. Entries are only added; a correction is a new entry.

mod form;
mod routes;
mod store;

use crate::accounts::{Private, User};
use crate::asks::{Said, Way};
use crate::events::Event;
use crate::named::named;
use crate::state::App;
use crate::web::words::Reader;
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
    /// How someone was reached.
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
    /// The result.
    Outcome, "Choose a result.", OUTCOMES: [
        NoAnswer = "no answer yet",
        Answered = "answered",
        Comes = "will cover it",
        Perhaps = "may cover it",
        Declined = "will not cover it",
    ]
}

impl Channel {
    /// What people call it in a form.
    pub(super) fn label(self) -> &'static str {
        match self {
            Self::Mail => "email",
            other => other.as_str(),
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::Phone => "by phone",
            Self::Mail => "by email",
            Self::InPerson => "in person",
            Self::Text => "by text",
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
    /// Their answer to whether they will cover the burn.
    pub(super) fn said(self) -> Option<Said> {
        match self {
            Self::Comes => Some(Said::Yes),
            Self::Perhaps => Some(Said::Maybe),
            Self::Declined => Some(Said::No),
            Self::NoAnswer | Self::Answered => None,
        }
    }
}

/// An entry to add.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewEntry {
    pub event_id: i64,
    pub outlet_id: i64,
    pub person_id: i64,
    pub channel: Channel,
    pub outcome: Outcome,
    /// What was said or sent.
    pub words: String,
    pub promised: String,
    pub follow_up_on: Option<Date>,
    /// Who follows up; only with a date.
    pub follow_up_by: Option<i64>,
    /// The version of a release that was sent, and the email it went in.
    pub version_id: Option<i64>,
    pub mail_id: Option<i64>,
    pub at: OffsetDateTime,
    /// The entry it replaces.
    pub corrects: Option<i64>,
}

/// An entry of the log.
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
    /// The email was stopped before it went out.
    pub is_lost: bool,
    pub at: OffsetDateTime,
    pub recorded_by: Option<String>,
    pub corrects: Option<i64>,
    pub is_corrected: bool,
}

/// Those that no other entry corrects.
pub(super) fn standing(entries: Vec<Entry>) -> Vec<Entry> {
    entries.into_iter().filter(|entry| !entry.is_corrected).collect()
}

/// The follow-ups nobody has made yet, the soonest first. A date to follow up holds until
/// someone logs a later contact with the same person. A release sent by email doesn't
/// count as one.
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

/// An entry as a page shows it.
#[derive(Debug)]
pub(super) struct Shown {
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
pub(super) fn shown(entries: &[Entry], event: &Event, user: &User, fits: impl Fn(&Entry) -> bool) -> Vec<Shown> {
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
    fn a_follow_up_holds_until_someone_logs_a_later_contact() {
        let on = date!(2027 - 05 - 03);
        let open = |entries: &[Entry]| open_follow_ups(entries).iter().map(|(entry, _)| entry.id).collect::<Vec<_>>();
        let first = entry(1, 7, Some(on));
        assert_eq!(open(std::slice::from_ref(&first)), [1]);
        assert_eq!(open(&[first.clone(), entry(2, 8, None)]), [1], "another person's entry doesn't count");
        assert_eq!(open(&[first.clone(), entry(2, 7, None)]), [0; 0]);
        let mailed = Entry { mail_id: Some(4), ..entry(2, 7, None) };
        assert_eq!(open(&[first.clone(), mailed]), [1], "a release sent by email is no follow-up");
        let sooner = entry(3, 8, Some(date!(2027 - 05 - 02)));
        assert_eq!(open(&[first.clone(), sooner]), [3, 1]);
        let corrected = Entry { is_corrected: true, ..entry(2, 7, None) };
        assert_eq!(open(&[first, corrected]), [1], "what was corrected is not what was said");
    }
}
