//! A received gift to test receipts with.

use super::{Basis, Cents, Credit, Details, Gift, GiftStatus, InName, Recognition, Returned, Value, What};
use time::macros::date;

/// Received from the lumber yard on November 5.
pub fn received(what: What, returned: Returned) -> Gift {
    let credit = Credit {
        recognition: Recognition::Agreed,
        credited_as: "Lumber by Bend Lumber Yard".to_owned(),
        agreed_by: "Gideon Astley".to_owned(),
        agreed_on: Some(date!(2026 - 11 - 02)),
        logo: String::new(),
    };
    let details = Details {
        person_id: 1,
        in_name: InName::Organization,
        what,
        promised_on: date!(2026 - 11 - 02),
        promised_by: None,
        status: GiftStatus::Received { on: date!(2026 - 11 - 05), taken_by: "Tomás Brandt".to_owned() },
        returned,
        credit,
        notes: String::new(),
    };
    let (person, organization) = ("Gideon Astley".to_owned(), "Bend Lumber Yard".to_owned());
    Gift { id: 3, event_id: 1, person, organization, details, version: 1 }
}

/// A fair market value, estimated on that day.
pub fn value(cents: i64) -> Value {
    Value {
        worth: Cents::new(cents),
        basis: Basis::FairMarket,
        on: date!(2026 - 11 - 05),
        by: "Priya Okafor".to_owned(),
    }
}
