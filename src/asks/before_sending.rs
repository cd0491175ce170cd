//! No one is asked what was withdrawn, or reminded of what they answered.

use super::store;
use crate::db::{Tx, Write};
use crate::mail::{About, Kind};

/// Why a message about a question is no longer true, if it isn't.
#[must_use]
pub fn against_sending<'c>(tx: &'c mut Tx, mail: &'c About) -> Write<'c, Option<&'static str>> {
    Box::pin(async move {
        let Some(request) = mail.request_id.filter(|_| matches!(mail.kind, Kind::Ask | Kind::Reminder)) else {
            return Ok(None);
        };
        let request = store::of_request_in(tx, request).await?.filter(|request| !request.is_withdrawn);
        let Some(request) = request else {
            return Ok(Some("The question was withdrawn before this could go out."));
        };
        let is_open = request.live().any(|ask| ask.answers.is_empty());
        let why = "The question was answered before this could go out.";
        Ok((mail.kind == Kind::Reminder && !is_open).then_some(why))
    })
}
