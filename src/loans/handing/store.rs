//! Saving and reading condition records, with their photos.

use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::loans::choices::Step;
use crate::loans::condition::Condition;
use crate::loans::loan::Loan;
use crate::loans::record::Record;
use crate::loans::store::{Noted, hour, note};
use crate::photos::{self, Taken};
use crate::web::words;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

/// The records of these loans, a JSON array of numbers, that nobody undid; oldest first.
pub(in crate::loans) async fn records(db: &mut SqliteConnection, ids: &str) -> Result<HashMap<i64, Vec<Record>>> {
    let rows = sqlx::query!(
        r#"select c.id as "id!", c.loan_id, c.step_id, c.is_return, c.taken_on as "taken_on: Date", c.taken_time,
                  c.given_by, c.taken_by, c.checks, c.accessories, c.notes
           from loan_condition c join loan_step s on s.id = c.step_id and s.taken_back_at is null
           where c.loan_id in (select value from json_each(?)) order by c.id"#,
        ids
    );
    let rows = rows.fetch_all(&mut *db).await?;
    let mut photos = photos_of(db, ids).await?;
    let mut all: HashMap<i64, Vec<Record>> = HashMap::new();
    for row in rows {
        all.entry(row.loan_id).or_default().push(Record {
            id: row.id,
            step_id: row.step_id,
            is_return: row.is_return != 0,
            on: row.taken_on,
            at: hour(&row.taken_time)?,
            given_by: row.given_by,
            taken_by: row.taken_by,
            condition: Condition {
                checks: serde_json::from_str(&row.checks)?,
                accessories: serde_json::from_str(&row.accessories)?,
            },
            notes: row.notes,
            photos: photos.remove(&row.id).unwrap_or_default(),
        });
    }
    Ok(all)
}

async fn photos_of(db: &mut SqliteConnection, ids: &str) -> Result<HashMap<i64, Vec<(usize, i64)>>> {
    let rows = sqlx::query!(
        "select p.condition_id, p.side, p.photo_id from loan_photo p join loan_condition c on c.id = p.condition_id
         where c.loan_id in (select value from json_each(?)) order by p.condition_id, p.side",
        ids
    );
    let mut all: HashMap<i64, Vec<(usize, i64)>> = HashMap::new();
    for row in rows.fetch_all(db).await? {
        all.entry(row.condition_id).or_default().push((usize::try_from(row.side)?, row.photo_id));
    }
    Ok(all)
}

/// Saves a record, together with the step that the item was picked up or returned.
pub async fn add(
    tx: &mut Tx,
    by: i64,
    loan: &Loan,
    (new, photos): (&Record, &[(usize, Taken)]),
    now: OffsetDateTime,
) -> Result<i64> {
    let noted = Noted {
        step: if new.is_return { Step::Returned } else { Step::Collected },
        for_on: Vec::new(),
        on: new.on,
        who: if new.is_return { new.given_by.clone() } else { new.taken_by.clone() },
        note: String::new(),
    };
    let step_id = note(tx, by, loan, &noted, now).await?;
    let id = put(tx, loan.id, step_id, new).await?;
    for (side, taken) in photos {
        let photo = photos::keep(tx, taken, Actor::Account(by), now).await?;
        put_photo(tx, id, i64::try_from(*side)?, photo).await?;
    }
    Ok(id)
}

async fn put_photo(tx: &mut Tx, condition_id: i64, side: i64, photo_id: i64) -> Result<()> {
    sqlx::query!(
        "insert into loan_photo (condition_id, side, photo_id) values (?, ?, ?)",
        condition_id,
        side,
        photo_id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

async fn put(tx: &mut Tx, loan_id: i64, step_id: i64, new: &Record) -> Result<i64> {
    let checks = serde_json::to_string(&new.condition.checks)?;
    let accessories = serde_json::to_string(&new.condition.accessories)?;
    let at = words::iso_time(new.at);
    let added = sqlx::query!(
        "insert into loan_condition (loan_id, step_id, is_return, taken_on, taken_time, given_by, taken_by, checks,
                                     accessories, notes)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        loan_id,
        step_id,
        new.is_return,
        new.on,
        at,
        new.given_by,
        new.taken_by,
        checks,
        accessories,
        new.notes
    );
    Ok(added.execute(&mut **tx).await?.last_insert_rowid())
}
