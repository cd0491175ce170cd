//! Accounts, and who holds which role.

use crate::accounts::{Account, Holder, Role};
use crate::error::{Error, Result};
use anyhow::anyhow;
use sqlx::{SqliteConnection, SqlitePool};

pub(in crate::accounts) fn parse_role(text: &str) -> Result<Role> {
    text.parse().map_err(|_| Error::Internal(anyhow!("the store holds an unknown role")))
}

struct AccountRow {
    id: i64,
    person_id: i64,
    name: String,
    mail: String,
    role: String,
    joined: i64,
    disabled: i64,
    sign_ins: i64,
    version: i64,
}

impl AccountRow {
    fn account(self) -> Result<Account> {
        Ok(Account {
            id: self.id,
            person_id: self.person_id,
            name: self.name,
            mail: self.mail,
            role: parse_role(&self.role)?,
            joined: self.joined != 0,
            disabled: self.disabled != 0,
            sign_ins: self.sign_ins,
            version: self.version,
        })
    }
}

/// All accounts, by name.
pub async fn list(db: &SqlitePool) -> Result<Vec<Account>> {
    list_in(&mut *db.acquire().await?).await
}

/// The same, inside a write.
pub async fn list_in(db: &mut SqliteConnection) -> Result<Vec<Account>> {
    let rows = sqlx::query_as!(
        AccountRow,
        r#"select a.id as "id!", a.person_id, p.name, a.mail, a.role, a.password_hash is not null as "joined!: i64",
                  a.disabled_at is not null as "disabled!: i64", a.version,
                  (select count(*) from session s where s.account_id = a.id) as "sign_ins!: i64"
           from account a join person p on p.id = a.person_id
           order by p.forgotten_at is not null, p.search, p.id"#
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(AccountRow::account).collect()
}

/// Who holds which role, the oldest account first.
pub async fn holders(db: &mut SqliteConnection) -> Result<Vec<Holder>> {
    let rows = sqlx::query!(
        "select a.role, a.person_id, p.name from account a join person p on p.id = a.person_id
         where a.disabled_at is null order by a.id"
    );
    let rows = rows.fetch_all(db).await?.into_iter();
    rows.map(|row| Ok(Holder { role: parse_role(&row.role)?, person_id: row.person_id, name: row.name })).collect()
}

/// One account.
pub async fn find(db: &SqlitePool, id: i64) -> Result<Option<Account>> {
    Ok(list(db).await?.into_iter().find(|account| account.id == id))
}

/// The account of a person.
pub async fn of_person(db: &mut SqliteConnection, person: i64) -> Result<Option<Account>> {
    Ok(list_in(db).await?.into_iter().find(|account| account.person_id == person))
}

/// The account that signs in with an email.
pub async fn find_by_mail(db: &SqlitePool, mail: &str) -> Result<Option<Account>> {
    Ok(list(db).await?.into_iter().find(|account| account.mail.eq_ignore_ascii_case(mail)))
}
