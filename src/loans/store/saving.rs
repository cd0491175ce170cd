//! Adding and changing a loan.

use super::journal::entry;
use super::row::{self, Contacts};
use super::spans::put_spans;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::loans::details::Details;
use crate::loans::loan::{Loan, LoanName};
use crate::people;
use time::OffsetDateTime;

/// Adds a loan.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let (kind, insured) = (details.kind.as_str(), details.insured.as_str());
    let id = sqlx::query!(
        "insert into loan (event_id, what, kind, lender_id, insured) values (?, ?, ?, ?, ?)",
        event_id,
        details.what,
        kind,
        details.lender_id,
        insured
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    put(tx, id, details, None, now).await?;
    let name = LoanName { event_id, id, what: &details.what };
    record(tx, now, Entry { after: Some(details.journal()), ..entry(actor, "added", &name) });
    Ok(id)
}

/// Changes a loan that stands like this.
pub(in crate::loans) async fn save(
    tx: &mut Tx,
    actor: Actor,
    old: &Loan,
    new: &Details,
    now: OffsetDateTime,
) -> Result<()> {
    put(tx, old.id, new, Some(old), now).await?;
    let (before, after) = (Some(old.details.journal()), Some(new.journal()));
    let name = LoanName { what: &new.what, ..old.name() };
    record(tx, now, Entry { before, after, ..entry(actor, "changed", &name) });
    Ok(())
}

/// Links a loan to the request it was asked for with.
pub(in crate::loans) async fn asked(
    tx: &mut Tx,
    actor: Actor,
    loan: &LoanName<'_>,
    request_id: i64,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("update loan set request_id = ? where id = ?", request_id, loan.id).execute(&mut **tx).await?;
    record(tx, now, entry(actor, "requested", loan));
    Ok(())
}

async fn put(tx: &mut Tx, id: i64, new: &Details, old: Option<&Loan>, now: OffsetDateTime) -> Result<()> {
    let lender_contact = old.map_or(("", None), |old| (old.details.lender_contact.as_str(), old.lender_contact_id));
    let our_contact = old.map_or(("", None), |old| (old.details.our_contact.as_str(), old.our_contact_id));
    let contacts = Contacts {
        lender_contact_id: somebody(tx, &new.lender_contact, lender_contact, now).await?,
        our_contact_id: somebody(tx, &new.our_contact, our_contact, now).await?,
    };
    row::put(tx, id, new, contacts).await?;
    put_spans(tx, id, new).await
}

/// A person by name. If the name didn't change, it stays the same person.
async fn somebody(
    tx: &mut Tx,
    name: &str,
    (old_name, old): (&str, Option<i64>),
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    match name {
        "" => Ok(None),
        name if name == old_name && old.is_some() => Ok(old),
        name => Ok(Some(people::named(tx, name, now).await?)),
    }
}
