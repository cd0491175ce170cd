//! Who is waiting to hear from us.

use super::Entry;
use time::Date;

/// The follow-ups nobody has made yet, the soonest first. A date to follow up holds until
/// someone logs a later contact with the same person. A release sent by email doesn't
/// count as one.
pub(in crate::press) fn open_follow_ups(entries: &[Entry]) -> Vec<(&Entry, Date)> {
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

#[cfg(test)]
mod tests {
    use super::super::{Channel, Outcome};
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
