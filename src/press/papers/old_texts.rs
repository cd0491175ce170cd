//! Texts from before there were marks get them once, at a start.

use super::marks::PaperFacts;
use super::{draft, store};
use crate::db::Tx;
use crate::error::Result;
use crate::events;
use crate::press::facts;
use time::OffsetDateTime;

/// Puts marks where a text still says what it was made of, word for word. What
/// was written anew stays, and is checked as words.
///
/// # Errors
/// The store's.
pub async fn mark_old_papers(tx: &mut Tx, department: &str, now: OffsetDateTime) -> Result<()> {
    for (event_id, id, kind, text) in store::without_marks(tx).await? {
        let Some(event) = events::find_in(tx, event_id).await? else { continue };
        let known = facts::of_event(tx, event_id).await?;
        let facts = PaperFacts::of(&event.details, department, &known);
        let marked = draft::with_marks(kind, &text, &known, &facts);
        store::put_marks(tx, (event_id, id, kind), (&text, &marked), now).await?;
    }
    Ok(())
}
