//! Loans of people whose data is erased.

use crate::db::Tx;
use crate::error::Result;
use crate::people::Erasure;

/// Removes a person's words and name from the loans. What was lent, and in what condition,
/// stays on file.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let (people, names) = (erasure.rows_json(), erasure.words_json());
    blank_loans(tx, &people, &names).await?;
    blank_steps(tx, &people, &names).await?;
    blank_conditions(tx, &people, &names).await
}

async fn blank_loans(tx: &mut Tx, people: &str, names: &str) -> Result<()> {
    sqlx::query!(
        "update loan_letter set text = '' where loan_id in (
             select id from loan where lender_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan set notes = '', collect_place = '', return_place = '', version = version + 1
         where lender_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan set collect_by = iif(collect_by in (select value from json_each(?1)), '', collect_by),
                         return_by = iif(return_by in (select value from json_each(?1)), '', return_by),
                         operator = iif(operator in (select value from json_each(?1)), '', operator)
         where collect_by in (select value from json_each(?1)) or return_by in (select value from json_each(?1))
            or operator in (select value from json_each(?1))",
        names
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

async fn blank_steps(tx: &mut Tx, people: &str, names: &str) -> Result<()> {
    sqlx::query!(
        "update loan_step set note = '' where loan_id in (
             select id from loan where lender_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("update loan_step set who = '' where who in (select value from json_each(?))", names)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

async fn blank_conditions(tx: &mut Tx, people: &str, names: &str) -> Result<()> {
    sqlx::query!(
        "update loan_condition set given_by = iif(given_by in (select value from json_each(?1)), '', given_by),
                                   taken_by = iif(taken_by in (select value from json_each(?1)), '', taken_by)
         where given_by in (select value from json_each(?1)) or taken_by in (select value from json_each(?1))",
        names
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan_condition set notes = '' where loan_id in (
             select id from loan where lender_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
