//! All SQL of the sentences written for people.

use super::entry::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, record};
use crate::error::Result;
use crate::thanks::Whom;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// A personal sentence for someone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::thanks) struct ThanksDraft {
    pub whom: Whom,
    pub sentence: String,
    pub version: i64,
}

/// The sentences written for people.
pub(in crate::thanks) async fn drafts(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<ThanksDraft>> {
    let rows = sqlx::query!(
        r#"select person_id, is_deputy as "is_deputy: bool", sentence, version from thanks_draft where event_id = ?
           order by id"#,
        event_id
    );
    let drafts = rows.fetch_all(db).await?.into_iter().map(|row| {
        let whom = Whom { person_id: row.person_id, is_deputy: row.is_deputy };
        ThanksDraft { whom, sentence: row.sentence, version: row.version }
    });
    Ok(drafts.collect())
}

/// Saves a sentence for someone; version 0 means there is none yet. False if someone else
/// wrote one in the meantime. The journal says that a sentence was written, not what it
/// says: that is for its reader only.
pub async fn save_draft(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (whom, name): (Whom, &str),
    (sentence, version): (&str, i64),
    now: OffsetDateTime,
) -> Result<bool> {
    let known = drafts(tx, event_id).await?.into_iter().find(|draft| draft.whom == whom);
    if known.as_ref().map_or(0, |draft| draft.version) != version {
        return Ok(false);
    }
    if known.map(|draft| draft.sentence).unwrap_or_default() == sentence {
        return Ok(true);
    }
    sqlx::query!(
        "insert into thanks_draft (event_id, person_id, is_deputy, sentence) values (?, ?, ?, ?)
         on conflict (event_id, person_id, is_deputy) do update
         set sentence = excluded.sentence, version = version + 1",
        event_id,
        whom.person_id,
        whom.is_deputy,
        sentence
    )
    .execute(&mut **tx)
    .await?;
    record(tx, now, entry(actor, "wrote a sentence of", event_id, name));
    Ok(true)
}
