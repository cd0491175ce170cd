//! Reading loans: by their numbers, or those of an event. Each takes the same few statements,
//! however many there are.

use super::row::rows;
use super::spans::spans;
use super::steps::steps;
use crate::error::Result;
use crate::loans::choices::Step;
use crate::loans::handing::store::records;
use crate::loans::loan::Loan;
use serde_json::json;
use sqlx::SqliteConnection;

/// The loans with these numbers, oldest first.
pub(in crate::loans) async fn some(db: &mut SqliteConnection, ids: &[i64]) -> Result<Vec<Loan>> {
    if ids.is_empty() {
        return Ok(Vec::new());
    }
    let ids = json!(ids).to_string();
    let rows = rows(db, &ids).await?;
    let (mut spans, mut steps) = (spans(db, &ids).await?, steps(db, &ids).await?);
    let mut records = records(db, &ids).await?;
    let whole = |row: super::row::Row| {
        let mut loan = row.loan()?;
        loan.details.agreed = spans.remove(&loan.id).unwrap_or_default();
        loan.steps = steps.remove(&loan.id).unwrap_or_default();
        loan.records = records.remove(&loan.id).unwrap_or_default();
        Ok(loan)
    };
    rows.into_iter().map(whole).collect()
}

/// One loan of an event.
pub async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Loan>> {
    Ok(some(db, &[id]).await?.into_iter().find(|loan| loan.event_id == event_id))
}

/// The loans of an event.
pub(in crate::loans) async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Loan>> {
    let ids = sqlx::query_scalar!(r#"select id as "id!" from loan where event_id = ?"#, event_id);
    let ids = ids.fetch_all(&mut *db).await?;
    some(db, &ids).await
}

/// The loans that one request is about.
pub(in crate::loans) async fn of_request(db: &mut SqliteConnection, request_id: i64) -> Result<Vec<Loan>> {
    let ids = sqlx::query_scalar!(r#"select id as "id!" from loan where request_id = ?"#, request_id);
    let ids = ids.fetch_all(&mut *db).await?;
    some(db, &ids).await
}

/// Loans of other events that may be the same items as loans of this one: someone said so, or
/// the lender is the same and both have a serial number.
pub(in crate::loans) async fn alike(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Loan>> {
    let ids = sqlx::query_scalar!(
        r#"select distinct other.id as "id!"
           from loan ours join loan other on other.event_id <> ours.event_id
                and (other.same_as = ours.id or other.id = ours.same_as or other.same_as = ours.same_as
                     or (other.lender_id = ours.lender_id and other.serial <> '' and ours.serial <> ''))
           where ours.event_id = ?"#,
        event_id
    );
    let ids = ids.fetch_all(&mut *db).await?;
    some(db, &ids).await
}

/// A loan of another event, by name.
pub(in crate::loans) struct OtherLoan {
    pub id: i64,
    pub event_id: i64,
    pub what: String,
    /// The lender, in short.
    pub lender: String,
}

/// Every loan of every other event, oldest first.
pub(in crate::loans) async fn elsewhere(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<OtherLoan>> {
    let rows = sqlx::query_as!(
        OtherLoan,
        r#"select l.id as "id!", l.event_id, l.what, coalesce(nullif(o.name, ''), p.name) as "lender!: String"
           from loan l join person p on p.id = l.lender_id left join organization o on o.id = p.organization_id
           where l.event_id <> ? order by l.id"#,
        event_id
    );
    Ok(rows.fetch_all(db).await?)
}

/// The event a loan belongs to.
pub(in crate::loans) async fn event_of(db: &mut SqliteConnection, id: i64) -> Result<Option<i64>> {
    Ok(sqlx::query_scalar!("select event_id from loan where id = ?", id).fetch_optional(db).await?)
}

/// Everything we picked up for an event, whether or not it has been returned.
pub async fn lent(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Loan>> {
    let mut lent = of_event(db, event_id).await?;
    lent.retain(|loan| loan.has(Step::Collected));
    Ok(lent)
}

/// Do we have the item, so that it must go back?
pub async fn is_out(db: &mut SqliteConnection, id: i64) -> Result<bool> {
    Ok(some(db, &[id]).await?.iter().any(Loan::is_out))
}
