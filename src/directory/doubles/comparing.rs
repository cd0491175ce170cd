//! Whether two rows may be the same person, and why.

use super::card::Card;
use super::likeness::likeness;
use super::reason::Reason;

/// Names at least this similar count on their own.
const VERY_ALIKE: f64 = 0.96;

pub(super) fn compare(one: &Card, other: &Card) -> Option<(Vec<Reason>, u32)> {
    let both = |a: &str, b: &str| !a.is_empty() && a == b;
    let differ = |a: &str, b: &str| !a.is_empty() && !b.is_empty() && a != b;
    let likeness = likeness(one, other);
    let mail = both(&one.mail, &other.mail);
    let phone = both(&one.phone, &other.phone) && one.phone.len() >= 7;
    let organization = both(&one.organization, &other.organization);
    let office = both(&one.office, &other.office);
    let something = mail || phone || organization || office;
    let against = differ(&one.mail, &other.mail) || differ(&one.organization, &other.organization);
    let worth = match likeness {
        Some(1.0) => true,
        Some(likeness) => something || (likeness >= VERY_ALIKE && !against),
        None => mail || phone,
    };
    if !worth {
        return None;
    }
    let mut reasons = Vec::new();
    let mut weight = 0;
    let mut say = |holds: bool, reason, counts| {
        if holds {
            reasons.push(reason);
            weight += counts;
        }
    };
    say(mail, Reason::SameMail, 40);
    say(phone, Reason::SamePhone, 30);
    say(likeness == Some(1.0), Reason::SameName, 35);
    say(likeness.is_some_and(|likeness| likeness < 1.0), Reason::NamesAlike, 20);
    say(organization, Reason::SameOrganization, 10);
    say(office, Reason::SameOffice, 10);
    say(likeness.is_none(), Reason::DifferentNames, 0);
    Some((reasons, weight))
}
