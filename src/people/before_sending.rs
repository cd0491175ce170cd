//! Someone who is erased gets no email, and someone who doesn't want announcements gets none.

use super::store;
use crate::db::{Tx, Write};
use crate::mail::{About, Kind};

/// Why a message isn't for this person any more, if it isn't.
#[must_use]
pub fn against_sending<'c>(tx: &'c mut Tx, mail: &'c About) -> Write<'c, Option<&'static str>> {
    Box::pin(async move {
        let Some(person) = mail.person_id else { return Ok(None) };
        let Some(wishes) = store::mail_wishes(tx, person).await? else { return Ok(None) };
        Ok(if wishes.is_erased {
            Some("This person's data was erased before this could go out.")
        } else if mail.kind == Kind::Announcement && wishes.no_announcements {
            Some("This person asked for no more announcements.")
        } else {
            None
        })
    })
}
