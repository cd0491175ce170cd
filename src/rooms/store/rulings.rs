//! Decisions about fuel warnings.

use super::entry::entry;
use super::reading::{known, number};
use crate::calc::pairs::folded;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::rooms::Hazard;
use crate::web::words::Reader;
use serde_json::json;
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

/// A decision about a type of item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ruling {
    pub hazard: Hazard,
    /// The type, as it is compared.
    pub what: String,
    /// How many it covers.
    pub quantity: u32,
    pub decided: String,
    /// Who decided.
    pub by: String,
    /// The role in which they signed; empty if the name was only typed.
    pub signed_as: String,
    pub on: Date,
}

impl Ruling {
    /// "Dele Aldous, safety officer", "the fire marshal (name typed)".
    #[must_use]
    pub fn says_by(&self) -> String {
        // What the store calls them.
        let is_erased = self.by == "somebody forgotten";
        let by = if is_erased { "someone whose data was erased" } else { self.by.as_str() };
        if self.signed_as.is_empty() {
            format!("{by} (name typed, not signed)")
        } else {
            format!("{by}, {}", self.signed_as)
        }
    }
}

pub(in crate::rooms) async fn rulings(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Ruling>> {
    let rows = sqlx::query!(
        r#"select r.hazard, r.what, r.quantity, r.decided, r.decided_by, r.signed_as, r.decided_on as "on: Date",
                  p.name as "signed_by?"
           from room_ruling r left join account a on a.id = r.signed_by left join person p on p.id = a.person_id
           where r.event_id = ?"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        Ok(Ruling {
            hazard: known(&row.hazard)?,
            // An earlier version left letters such as ø as they are.
            what: folded(&row.what),
            quantity: number(row.quantity)?,
            decided: row.decided,
            by: row.signed_by.unwrap_or(row.decided_by),
            signed_as: row.signed_as,
            on: row.on,
        })
    });
    rows.collect()
}

/// Records a decision by an account. A later decision replaces an earlier one, which stays
/// in the journal.
pub async fn rule(tx: &mut Tx, account: i64, event_id: i64, new: &Ruling, now: OffsetDateTime) -> Result<()> {
    let actor = Actor::Account(account);
    let old = rulings(tx, event_id).await?.into_iter().find(|old| (old.hazard, &old.what) == (new.hazard, &new.what));
    forget_other_spellings(tx, event_id, new).await?;
    let hazard = new.hazard.as_str();
    sqlx::query!(
        "insert into room_ruling (event_id, hazard, what, quantity, decided, decided_by, decided_on, signed_by,
                                  signed_as)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id, hazard, what) do update set quantity = excluded.quantity, decided = excluded.decided,
            decided_by = excluded.decided_by, decided_on = excluded.decided_on, signed_by = excluded.signed_by,
            signed_as = excluded.signed_as",
        event_id,
        hazard,
        new.what,
        new.quantity,
        new.decided,
        new.by,
        new.on,
        account,
        new.signed_as
    )
    .execute(&mut **tx)
    .await?;
    let journaled = |ruling: &Ruling| {
        json!({
            "about": ruling.hazard.as_str(),
            "decided": ruling.decided,
            "by": ruling.says_by(),
            "on": Reader::App.day(ruling.on),
            "for": ruling.quantity,
        })
    };
    let entry = Entry { subject: "warning", subject_id: None, ..entry(actor, "decided", event_id, 0, &new.what) };
    record(tx, now, Entry { before: old.as_ref().map(journaled), after: Some(journaled(new)), ..entry });
    Ok(())
}

/// Removes decisions about the same that an earlier version saved with other letters.
async fn forget_other_spellings(tx: &mut Tx, event_id: i64, new: &Ruling) -> Result<()> {
    let hazard = new.hazard.as_str();
    let saved = sqlx::query_scalar!("select what from room_ruling where event_id = ? and hazard = ?", event_id, hazard)
        .fetch_all(&mut **tx)
        .await?;
    for what in saved.iter().filter(|what| **what != new.what && folded(what) == new.what) {
        sqlx::query!("delete from room_ruling where event_id = ? and hazard = ? and what = ?", event_id, hazard, what)
            .execute(&mut **tx)
            .await?;
    }
    Ok(())
}
