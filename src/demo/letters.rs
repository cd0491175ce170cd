//! Emails that went out before today.

use crate::db::Tx;
use crate::error::Result;
use crate::mail::{self, Letter};
use crate::people;
use time::{Duration, OffsetDateTime};

pub(super) async fn went_out(tx: &mut Tx, letter: &Letter, refused: Option<&str>, at: OffsetDateTime) -> Result<()> {
    if let Some(id) = mail::queue(tx, letter, at).await? {
        mail::note_past(tx, id, refused, at + Duration::MINUTE).await?;
    }
    if let (Some(words), Some(person)) = (refused, letter.person_id) {
        people::refuse(tx, person, &letter.to.address, words, at).await?;
    }
    Ok(())
}
