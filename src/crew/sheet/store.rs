use crate::db::Tx;
use crate::error::{Error, Result};
use crate::mail::MailState;
use anyhow::anyhow;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::OffsetDateTime;

/// An email that holds someone's call sheet.
#[derive(Debug, Clone)]
pub(super) struct SentSheet {
    pub mail_id: i64,
    /// The key of the sheet. None for one that had changed before sheets had keys.
    pub made_from: Option<String>,
    pub state: MailState,
    pub at: OffsetDateTime,
}

/// Notes which sheet an email holds.
pub async fn note_sheet(tx: &mut Tx, dedup: &str, made_from: &str) -> Result<()> {
    sqlx::query!("insert into sent_sheet (dedup, made_from) values (?, ?) on conflict do nothing", dedup, made_from)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// The emails of an event that hold a call sheet, by person, oldest first.
pub(super) async fn sent(db: &mut SqliteConnection, event_id: i64) -> Result<HashMap<i64, Vec<SentSheet>>> {
    let rows = sqlx::query!(
        r#"select m.id as "id!", coalesce(p.merged_into, p.id) as "person_id!: i64", m.state as "state!",
                  s.made_from as "made_from?", coalesce(m.settled_at, m.created_at) as "at!: i64"
           from mail m join person p on p.id = m.person_id left join sent_sheet s on s.dedup = m.dedup
           where m.event_id = ? and (s.dedup is not null or m.dedup glob 'call-sheet/*') order by m.id"#,
        event_id
    );
    let mut sent: HashMap<i64, Vec<SentSheet>> = HashMap::new();
    for row in rows.fetch_all(db).await? {
        let state = row.state.parse::<MailState>();
        let state = state.map_err(|_| Error::Internal(anyhow!("an unknown state of an email in the store")))?;
        let at = OffsetDateTime::from_unix_timestamp(row.at)?;
        let one = SentSheet { mail_id: row.id, made_from: row.made_from, state, at };
        sent.entry(row.person_id).or_default().push(one);
    }
    Ok(sent)
}

/// An email from before sheets had keys that may hold a call sheet.
pub(super) struct OldMail {
    pub dedup: String,
    pub person_id: i64,
    pub text: String,
    pub written_at: OffsetDateTime,
}

/// All of those of an event.
pub(super) async fn old_mails(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<OldMail>> {
    let rows = sqlx::query!(
        r#"select m.dedup as "dedup!", coalesce(p.merged_into, p.id) as "person_id!: i64", m.text as "text!",
                  m.created_at as "created_at!"
           from mail m join person p on p.id = m.person_id
           where m.event_id = ? and (m.kind = 'reminder' or m.dedup glob 'call-sheet/*')"#,
        event_id
    );
    let mut mails = Vec::new();
    for row in rows.fetch_all(db).await? {
        let written_at = OffsetDateTime::from_unix_timestamp(row.created_at)?;
        mails.push(OldMail { dedup: row.dedup, person_id: row.person_id, text: row.text, written_at });
    }
    Ok(mails)
}
