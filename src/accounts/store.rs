use super::{Department, Purpose, Role};
use crate::calc::homes::Home;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::people;
use crate::web::link::Secret;
use crate::zone;
use serde::Deserialize;
use serde_json::{Value, json};
use sqlx::types::Json;
use sqlx::{SqliteConnection, SqlitePool};
use time::OffsetDateTime;

/// An account as the education officer sees it.
#[derive(Debug, Clone)]
pub struct Account {
    pub id: i64,
    pub person_id: i64,
    pub name: String,
    pub mail: String,
    pub role: Role,
    /// Has a password: the invitation was accepted.
    pub joined: bool,
    pub disabled: bool,
    pub sign_ins: i64,
    pub version: i64,
}

/// Someone who holds a role and whose account isn't disabled.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holder {
    pub role: Role,
    pub person_id: i64,
    pub name: String,
}

/// What the education officer may change in an account.
#[derive(Debug, Clone)]
pub struct Change {
    pub name: String,
    pub mail: String,
    pub role: Role,
    pub disabled: bool,
}

/// Why a change to an account was not made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// Someone else changed it in the meantime.
    Stale,
    /// The last education officer who can sign in must stay one.
    LastOfficer,
    /// Another account has this email.
    MailTaken,
    /// Another account has this name.
    NameTaken,
}

/// Where the department is, as it is in the store.
#[derive(Deserialize)]
pub(super) struct HomeRow {
    city: String,
    county: String,
    state: String,
    congress_district: String,
    senate_district: String,
    house_district: String,
    other_places: String,
}

impl HomeRow {
    pub(super) fn home(self) -> Home {
        Home {
            city: self.city,
            county: self.county,
            state: self.state,
            congress_district: self.congress_district,
            senate_district: self.senate_district,
            house_district: self.house_district,
            others: self.other_places.lines().map(str::to_owned).collect(),
        }
    }
}

struct DepartmentRow {
    name: String,
    zone: String,
    phone: String,
    home: Json<HomeRow>,
    version: i64,
}

pub(super) fn parse_role(text: &str) -> Result<Role> {
    text.parse().map_err(|_| Error::Internal(anyhow::anyhow!("the store holds an unknown role")))
}

/// The department, once it is set up.
///
/// # Errors
/// The store's.
pub async fn department(db: &SqlitePool) -> Result<Option<Department>> {
    department_in(&mut *db.acquire().await?).await
}

/// The same, with an open connection or inside a write.
///
/// # Errors
/// The store's.
pub async fn department_in(db: &mut SqliteConnection) -> Result<Option<Department>> {
    let row = sqlx::query_as!(
        DepartmentRow,
        r#"select name, zone, phone, version,
                  json_object('city', city, 'county', county, 'state', state,
                      'congress_district', congress_district, 'senate_district', senate_district,
                      'house_district', house_district, 'other_places', other_places) as "home!: Json<HomeRow>"
           from department"#
    );
    Ok(row.fetch_optional(db).await?.map(|row| Department {
        name: row.name,
        zone: row.zone,
        phone: row.phone,
        home: row.home.0.home(),
        version: row.version,
    }))
}

/// The department as it appears in the journal.
fn department_told(department: &Department) -> Value {
    let home = &department.home;
    json!({
        "name": department.name,
        "time zone": zone::plain(&department.zone),
        "phone": department.phone,
        "city": home.city,
        "county": home.county,
        "state": home.state,
        "congressional district": home.congress_district,
        "state senate district": home.senate_district,
        "state house district": home.house_district,
        "other places": home.others.join("; "),
    })
}

/// Changes the department, unless someone else changed it in the meantime.
///
/// # Errors
/// The store's.
pub async fn save_department(
    tx: &mut Tx,
    actor: Actor,
    new: &Department,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let old = department_in(tx).await?.unwrap_or_default();
    if old.version != new.version {
        return Ok(Err(Refused::Stale));
    }
    let others = new.home.others.join("\n");
    sqlx::query!(
        "update department set name = ?, zone = ?, phone = ?, city = ?, county = ?, state = ?, congress_district = ?,
                               senate_district = ?, house_district = ?, other_places = ?, version = version + 1",
        new.name,
        new.zone,
        new.phone,
        new.home.city,
        new.home.county,
        new.home.state,
        new.home.congress_district,
        new.home.senate_district,
        new.home.house_district,
        others
    )
    .execute(&mut **tx)
    .await?;
    let entry = Entry {
        actor,
        verb: "changed",
        subject: "department",
        subject_id: Some(1),
        event_id: None,
        title: &new.name,
        before: Some(department_told(&old)),
        after: Some(department_told(new)),
    };
    record(tx, now, entry);
    Ok(Ok(()))
}

/// Creates the department and its first account. None if they already exist.
///
/// # Errors
/// The store's.
pub async fn set_up(
    tx: &mut Tx,
    department: &Department,
    name: &str,
    mail: &str,
    password_hash: &str,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let done = sqlx::query_scalar!(r#"select count(*) as "n!" from department"#).fetch_one(&mut **tx).await?;
    if done > 0 {
        return Ok(None);
    }
    let others = department.home.others.join("\n");
    sqlx::query!(
        "insert into department (id, name, zone, phone, city, county, state, congress_district, senate_district,
                                 house_district, other_places)
         values (1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        department.name,
        department.zone,
        department.phone,
        department.home.city,
        department.home.county,
        department.home.state,
        department.home.congress_district,
        department.home.senate_district,
        department.home.house_district,
        others
    )
    .execute(&mut **tx)
    .await?;
    let account = insert(tx, name, mail, Role::EducationOfficer, Some(password_hash), now).await?;
    sqlx::query!("delete from link where purpose = 'set-up'").execute(&mut **tx).await?;
    let entry = Entry {
        actor: Actor::Account(account),
        verb: "set up",
        subject: "department",
        subject_id: Some(1),
        event_id: None,
        title: &department.name,
        before: None,
        after: Some(department_told(department)),
    };
    record(tx, now, entry);
    Ok(Some(account))
}

async fn insert(
    tx: &mut Tx,
    name: &str,
    mail: &str,
    role: Role,
    password_hash: Option<&str>,
    now: OffsetDateTime,
) -> Result<i64> {
    let person = people::named(tx, name, now).await?;
    people::note_mail(tx, person, mail).await?;
    let at = now.unix_timestamp();
    let role = role.as_str();
    Ok(sqlx::query!(
        "insert into account (person_id, mail, role, password_hash, created_at) values (?, ?, ?, ?, ?)",
        person,
        mail,
        role,
        password_hash,
        at
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid())
}

/// Creates an account without a password, and a link where its owner chooses one.
///
/// # Errors
/// The store's.
pub async fn invite(
    tx: &mut Tx,
    actor: Actor,
    name: &str,
    mail: &str,
    role: Role,
    now: OffsetDateTime,
) -> Result<Result<(i64, Secret), Refused>> {
    if let Some(refused) = taken(tx, name, mail, None).await? {
        return Ok(Err(refused));
    }
    let id = insert(tx, name, mail, role, None, now).await?;
    let entry = Entry {
        actor,
        verb: "invited",
        subject: "account",
        subject_id: Some(id),
        event_id: None,
        title: name,
        before: None,
        after: Some(json!({"role": role.as_str()})),
    };
    record(tx, now, entry);
    let secret = add_link(tx, Purpose::Invitation, Some(id), now).await?;
    Ok(Ok((id, secret)))
}

/// Does another account have this name or email?
async fn taken(tx: &mut Tx, name: &str, mail: &str, except: Option<i64>) -> Result<Option<Refused>> {
    let others = list_in(tx).await?.into_iter().filter(|account| Some(account.id) != except);
    let same = |a: &str, b: &str| a.to_lowercase() == b.to_lowercase();
    Ok(others.into_iter().find_map(|other| match (same(&other.mail, mail), same(&other.name, name)) {
        (true, _) => Some(Refused::MailTaken),
        (false, true) => Some(Refused::NameTaken),
        (false, false) => None,
    }))
}

/// A new link for an account. Older links for the same purpose stop working.
///
/// # Errors
/// The store's.
pub async fn make_link(
    tx: &mut Tx,
    actor: Actor,
    account: &Account,
    purpose: Purpose,
    now: OffsetDateTime,
) -> Result<Secret> {
    let secret = add_link(tx, purpose, Some(account.id), now).await?;
    let entry = Entry {
        actor,
        verb: "made a link for",
        subject: "account",
        subject_id: Some(account.id),
        event_id: None,
        title: &account.name,
        before: None,
        after: Some(json!({"for": purpose.as_str()})),
    };
    record(tx, now, entry);
    Ok(secret)
}

/// A link where the first education officer sets up Burnday. Older ones stop working. None
/// once it is set up.
///
/// # Errors
/// The store's.
pub async fn set_up_link(tx: &mut Tx, now: OffsetDateTime) -> Result<Option<Secret>> {
    let done = sqlx::query_scalar!(r#"select count(*) as "n!" from department"#).fetch_one(&mut **tx).await?;
    if done > 0 {
        return Ok(None);
    }
    Ok(Some(add_link(tx, Purpose::SetUp, None, now).await?))
}

async fn add_link(tx: &mut Tx, purpose: Purpose, account: Option<i64>, now: OffsetDateTime) -> Result<Secret> {
    let secret = Secret::new();
    let hash = secret.hash();
    let (at, until) = (now.unix_timestamp(), (now + purpose.lasts()).unix_timestamp());
    let purpose = purpose.as_str();
    sqlx::query!("delete from link where (purpose = ? and account_id is ?) or expires_at < ?", purpose, account, at)
        .execute(&mut **tx)
        .await?;
    sqlx::query!(
        "insert into link (token_hash, purpose, account_id, created_at, expires_at) values (?, ?, ?, ?, ?)",
        hash,
        purpose,
        account,
        at,
        until
    )
    .execute(&mut **tx)
    .await?;
    Ok(secret)
}

/// The account a link is for, if the link opens that now.
pub(super) async fn link(
    db: &SqlitePool,
    secret: &Secret,
    purpose: Purpose,
    now: OffsetDateTime,
) -> Result<Option<Option<Account>>> {
    let (hash, purpose, at) = (secret.hash(), purpose.as_str(), now.unix_timestamp());
    let found = sqlx::query!(
        "select account_id from link where token_hash = ? and purpose = ? and expires_at > ?",
        hash,
        purpose,
        at
    )
    .fetch_optional(db)
    .await?;
    let Some(row) = found else { return Ok(None) };
    let Some(id) = row.account_id else { return Ok(Some(None)) };
    Ok(find(db, id).await?.filter(|account| !account.disabled).map(Some))
}

/// Uses up a link. False if someone was faster.
pub(super) async fn use_up(tx: &mut Tx, secret: &Secret) -> Result<bool> {
    let hash = secret.hash();
    Ok(sqlx::query!("delete from link where token_hash = ?", hash).execute(&mut **tx).await?.rows_affected() == 1)
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
///
/// # Errors
/// The store's.
pub async fn list(db: &SqlitePool) -> Result<Vec<Account>> {
    list_in(&mut *db.acquire().await?).await
}

/// The same, inside a write.
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
pub async fn holders(db: &mut SqliteConnection) -> Result<Vec<Holder>> {
    let rows = sqlx::query!(
        "select a.role, a.person_id, p.name from account a join person p on p.id = a.person_id
         where a.disabled_at is null order by a.id"
    );
    let rows = rows.fetch_all(db).await?.into_iter();
    rows.map(|row| Ok(Holder { role: parse_role(&row.role)?, person_id: row.person_id, name: row.name })).collect()
}

/// One account.
///
/// # Errors
/// The store's.
pub async fn find(db: &SqlitePool, id: i64) -> Result<Option<Account>> {
    Ok(list(db).await?.into_iter().find(|account| account.id == id))
}

/// The account of a person.
///
/// # Errors
/// The store's.
pub async fn of_person(db: &mut SqliteConnection, person: i64) -> Result<Option<Account>> {
    Ok(list_in(db).await?.into_iter().find(|account| account.person_id == person))
}

/// Moves an account to another row of the same person.
///
/// # Errors
/// The store's.
pub async fn move_person(tx: &mut Tx, from: i64, to: i64) -> Result<()> {
    sqlx::query!("update account set person_id = ? where person_id = ?", to, from).execute(&mut **tx).await?;
    Ok(())
}

/// Blanks a disabled account whose person is erased. What it did stays under its number.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, account: i64) -> Result<()> {
    sqlx::query!(
        "update account set mail = 'forgotten-' || id || '@invalid', password_hash = null, version = version + 1
         where id = ? and disabled_at is not null",
        account
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// The account that signs in with an email.
///
/// # Errors
/// The store's.
pub async fn find_by_mail(db: &SqlitePool, mail: &str) -> Result<Option<Account>> {
    Ok(list(db).await?.into_iter().find(|account| account.mail.eq_ignore_ascii_case(mail)))
}

/// Who signs in with this email, and the hash to compare with.
pub(super) async fn credentials(db: &SqlitePool, mail: &str) -> Result<Option<(i64, String)>> {
    let row = sqlx::query!(
        r#"select id as "id!", password_hash as "hash!" from account
           where mail = ? and password_hash is not null and disabled_at is null"#,
        mail
    )
    .fetch_optional(db)
    .await?;
    Ok(row.map(|row| (row.id, row.hash)))
}

/// Do people sign in with passwords here? Not in a demo: there they use links.
///
/// # Errors
/// The store's.
pub async fn is_entered_by_password(db: &SqlitePool) -> Result<bool> {
    let is_demo = sqlx::query_scalar!(r#"select exists (select 1 from link where purpose = 'demo') as "demo!: bool""#);
    Ok(!is_demo.fetch_one(db).await?)
}

/// The hash of an account's password, if it has one.
pub(super) async fn password_hash(db: &SqlitePool, account_id: i64) -> Result<Option<String>> {
    let hash = sqlx::query_scalar!("select password_hash from account where id = ?", account_id);
    Ok(hash.fetch_optional(db).await?.flatten())
}

/// Ends every sign-in of an account.
///
/// # Errors
/// The store's.
pub async fn end_sign_ins(tx: &mut Tx, actor: Actor, account: &Account, now: OffsetDateTime) -> Result<()> {
    sqlx::query!("delete from session where account_id = ?", account.id).execute(&mut **tx).await?;
    record(tx, now, account_entry(actor, "ended every sign-in of", account));
    Ok(())
}

/// Gives an account a new password, and ends all its sign-ins and links.
///
/// # Errors
/// The store's.
pub async fn change_password(
    tx: &mut Tx,
    actor: Actor,
    account: &Account,
    password_hash: &str,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("update account set password_hash = ? where id = ?", password_hash, account.id)
        .execute(&mut **tx)
        .await?;
    sqlx::query!("delete from session where account_id = ?", account.id).execute(&mut **tx).await?;
    sqlx::query!("delete from link where account_id = ? and purpose <> 'demo'", account.id).execute(&mut **tx).await?;
    record(tx, now, account_entry(actor, "changed the password of", account));
    Ok(())
}

fn account_entry<'a>(actor: Actor, verb: &'static str, account: &'a Account) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "account",
        subject_id: Some(account.id),
        event_id: None,
        title: &account.name,
        before: None,
        after: None,
    }
}

/// Changes an account, unless someone else changed it in the meantime, another account has
/// the name or email, or no education officer would be left.
///
/// # Errors
/// The store's.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    account: &Account,
    change: &Change,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let officers = sqlx::query_scalar!(
        r#"select count(*) as "n!" from account where role = 'education officer' and disabled_at is null
           and password_hash is not null and id <> ?"#,
        account.id
    )
    .fetch_one(&mut **tx)
    .await?;
    if officers == 0 && (change.role != Role::EducationOfficer || change.disabled) {
        return Ok(Err(Refused::LastOfficer));
    }
    if let Some(refused) = taken(tx, &change.name, &change.mail, Some(account.id)).await? {
        return Ok(Err(refused));
    }
    let role = change.role.as_str();
    let disabled_at = change.disabled.then(|| now.unix_timestamp());
    let changed = sqlx::query!(
        "update account set mail = ?, role = ?, disabled_at = ?, version = version + 1 where id = ? and version = ?",
        change.mail,
        role,
        disabled_at,
        account.id,
        account.version
    )
    .execute(&mut **tx)
    .await?
    .rows_affected();
    if changed == 0 {
        return Ok(Err(Refused::Stale));
    }
    people::rename(tx, account.person_id, &change.name).await?;
    if change.disabled {
        sqlx::query!("delete from session where account_id = ?", account.id).execute(&mut **tx).await?;
        sqlx::query!("delete from link where account_id = ?", account.id).execute(&mut **tx).await?;
    }
    // Everyone reads the journal, and email addresses are not for everyone.
    let mail = if account.mail == change.mail { "unchanged" } else { "changed" };
    let journaled = |name: &str, role: Role, disabled, mail| {
        Some(json!({"name": name, "role": role.as_str(), "access": access(disabled), "mail address": mail}))
    };
    let entry = Entry {
        before: journaled(&account.name, account.role, account.disabled, "unchanged"),
        after: journaled(&change.name, change.role, change.disabled, mail),
        ..account_entry(actor, "changed", account)
    };
    record(tx, now, entry);
    Ok(Ok(()))
}

fn access(disabled: bool) -> &'static str {
    if disabled { "disabled" } else { "can sign in" }
}
