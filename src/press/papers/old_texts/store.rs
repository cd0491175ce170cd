//! Texts from before there were marks.

use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::press::papers::journaled::entry;
use crate::press::papers::kind::PaperKind;
use crate::press::papers::store::kind;
use serde_json::json;
use time::OffsetDateTime;

/// A release from before there were marks.
pub(super) struct OldText {
    pub event_id: i64,
    pub paper_id: i64,
    pub kind: PaperKind,
    pub text: String,
}

pub(super) async fn without_marks(tx: &mut Tx) -> Result<Vec<OldText>> {
    let rows = sqlx::query!(r#"select id as "id!", event_id, kind, text from paper where has_marks = 0 order by id"#);
    let rows = rows.fetch_all(&mut **tx).await?;
    let old = rows
        .into_iter()
        .map(|row| Ok(OldText { event_id: row.event_id, paper_id: row.id, kind: kind(&row.kind)?, text: row.text }));
    old.collect()
}

/// Puts marks in a text from before. It counts as a change for whoever has it open, but
/// who edited it last stays.
pub(super) async fn put_marks(tx: &mut Tx, old: &OldText, new: &str, now: OffsetDateTime) -> Result<()> {
    sqlx::query!(
        "update paper set text = ?, has_marks = 1, version = version + (text <> ?) where id = ?",
        new,
        new,
        old.paper_id
    )
    .execute(&mut **tx)
    .await?;
    if old.text != new {
        let entry = entry(Actor::System, "marked the facts in", (old.event_id, old.paper_id), old.kind.as_str());
        let (before, after) = (Some(json!({"text": old.text})), Some(json!({"text": new})));
        record(tx, now, Entry { before, after, ..entry });
    }
    Ok(())
}
