//! The sign-ins in the store, each under the hash of its secret.

use crate::accounts::store::{HomeRow, parse_role};
use crate::accounts::{Department, User};
use crate::db::Tx;
use crate::error::Result;
use crate::web::link::Secret;
use sqlx::SqlitePool;
use sqlx::types::Json;
use time::{Duration, OffsetDateTime};

/// A sign-in ends after this long without a request.
pub(in crate::accounts) const IDLE: Duration = Duration::days(14);
/// A sign-in ends after this long in any case.
pub(in crate::accounts) const LONGEST: Duration = Duration::days(60);

struct SignedInRow {
    account_id: i64,
    person_id: i64,
    name: String,
    role: String,
    seen_at: i64,
    department: String,
    zone: String,
    phone: String,
    home: Json<HomeRow>,
    department_version: i64,
}

/// Who holds this secret, and when they were last seen.
pub(in crate::accounts) async fn signed_in(
    db: &SqlitePool,
    secret: &Secret,
    now: OffsetDateTime,
) -> Result<Option<(User, OffsetDateTime)>> {
    let hash = secret.hash();
    let at = now.unix_timestamp();
    let idle_since = (now - IDLE).unix_timestamp();
    let row = sqlx::query_as!(
        SignedInRow,
        r#"select a.id as "account_id!", a.person_id, p.name, a.role, s.seen_at, d.name as "department!",
                  d.zone as "zone!", d.phone as "phone!", d.version as "department_version!",
                  json_object('city', d.city, 'county', d.county, 'state', d.state,
                      'congress_district', d.congress_district, 'senate_district', d.senate_district,
                      'house_district', d.house_district, 'other_places', d.other_places) as "home!: Json<HomeRow>"
           from session s join account a on a.id = s.account_id join person p on p.id = a.person_id join department d
           where s.secret_hash = ? and s.expires_at > ? and s.seen_at > ? and a.disabled_at is null"#,
        hash,
        at,
        idle_since
    )
    .fetch_optional(db)
    .await?;
    row.map(|row| {
        let department = Department {
            name: row.department,
            zone: row.zone,
            phone: row.phone,
            home: row.home.0.home(),
            version: row.department_version,
        };
        let user = User {
            account_id: row.account_id,
            person_id: row.person_id,
            name: row.name,
            role: parse_role(&row.role)?,
            department,
        };
        Ok((user, OffsetDateTime::from_unix_timestamp(row.seen_at)?))
    })
    .transpose()
}

pub(in crate::accounts) async fn saw(tx: &mut Tx, secret_hash: Vec<u8>, now: OffsetDateTime) -> Result<()> {
    let at = now.unix_timestamp();
    sqlx::query!("update session set seen_at = ? where secret_hash = ?", at, secret_hash).execute(&mut **tx).await?;
    Ok(())
}

/// Signs an account in.
pub(in crate::accounts) async fn sign_in(tx: &mut Tx, account_id: i64, now: OffsetDateTime) -> Result<Secret> {
    let secret = Secret::new();
    let hash = secret.hash();
    let (at, until) = (now.unix_timestamp(), (now + LONGEST).unix_timestamp());
    end_over(tx, now).await?;
    sqlx::query!(
        "insert into session (secret_hash, account_id, created_at, seen_at, expires_at) values (?, ?, ?, ?, ?)",
        hash,
        account_id,
        at,
        at,
        until
    )
    .execute(&mut **tx)
    .await?;
    Ok(secret)
}

/// Is there a sign-in with this secret, over or not?
pub(in crate::accounts) async fn is_session(db: &SqlitePool, secret: &Secret) -> Result<bool> {
    let hash = secret.hash();
    let found = sqlx::query_scalar!(r#"select count(*) as "found!" from session where secret_hash = ?"#, hash);
    Ok(found.fetch_one(db).await? > 0)
}

/// Is there a sign-in in the store that is over?
pub(in crate::accounts) async fn has_over(db: &SqlitePool, now: OffsetDateTime) -> Result<bool> {
    let (at, idle_since) = (now.unix_timestamp(), (now - IDLE).unix_timestamp());
    let over = sqlx::query_scalar!(
        r#"select count(*) as "over!" from session where expires_at <= ? or seen_at <= ?"#,
        at,
        idle_since
    );
    Ok(over.fetch_one(db).await? > 0)
}

/// Removes the sign-ins that are over.
pub(in crate::accounts) async fn end_over(tx: &mut Tx, now: OffsetDateTime) -> Result<()> {
    let (at, idle_since) = (now.unix_timestamp(), (now - IDLE).unix_timestamp());
    sqlx::query!("delete from session where expires_at <= ? or seen_at <= ?", at, idle_since)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

pub(in crate::accounts) async fn sign_out(tx: &mut Tx, secret: Secret) -> Result<()> {
    let hash = secret.hash();
    sqlx::query!("delete from session where secret_hash = ?", hash).execute(&mut **tx).await?;
    Ok(())
}
