//! What decides whether someone may get an email.

use crate::db::Tx;
use crate::error::Result;

/// What decides whether a row of a person may get an email.
#[derive(Debug)]
pub struct MailWishes {
    pub is_erased: bool,
    pub no_announcements: bool,
}

/// What decides whether this row of a person may get an email, also if it was merged.
pub async fn mail_wishes(tx: &mut Tx, id: i64) -> Result<Option<MailWishes>> {
    let row = sqlx::query_as!(
        MailWishes,
        r#"select forgotten_at is not null as "is_erased!: bool", no_mail <> 0 as "no_announcements!: bool"
           from person where id = ?"#,
        id
    );
    Ok(row.fetch_optional(&mut **tx).await?)
}
