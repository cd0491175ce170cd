//! What the journal says about an account.

use crate::accounts::Account;
use crate::db::journal::{Actor, Entry};

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, account: &'a Account) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "account",
        subject_id: Some(account.id),
        event_id: None,
        title: &account.name,
        before: None,
        after: None,
    }
}
