//! Who asks and gets the replies, and how they greet people.

use crate::accounts::{self, Account, Department, Role, User};
use crate::error::Result;
use crate::people::{self, Person};
use crate::web::words;
use sqlx::{SqliteConnection, SqlitePool};
use std::collections::HashMap;

/// Who asks, and gets the replies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sender {
    pub name: String,
    pub mail: String,
    pub phone: String,
    /// For the letters they sign: their office. May be empty.
    pub title: String,
    pub department: String,
    /// Who signs, if not the sender. Replies and calls still go to the sender.
    pub signer: Option<Signer>,
}

/// Someone who signs, such as the chief.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signer {
    pub name: String,
    /// May be empty.
    pub title: String,
}

/// What a sender's account and contact record say about them. All but the name may be empty.
#[derive(Debug, Default)]
pub(super) struct Holder {
    pub name: String,
    pub mail: String,
    pub phone: String,
    pub title: String,
}

impl Sender {
    /// An account holder, or else the department.
    pub(super) fn from(holder: Option<Holder>, department: String, department_phone: String) -> Self {
        let holder = holder.unwrap_or_else(|| Holder { name: department.clone(), ..Holder::default() });
        let phone = if holder.phone.is_empty() { department_phone } else { holder.phone };
        Self { name: holder.name, mail: holder.mail, phone, title: holder.title, department, signer: None }
    }

    /// Whom to call: "Olga Wren, 555-0117".
    #[must_use]
    pub fn contact(&self) -> String {
        let parts = [self.name.clone(), words::phone(&self.phone)];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// The signed-in user.
    pub async fn of(db: &SqlitePool, user: &User) -> Result<Self> {
        Self::named(db, Some(user.account_id)).await
    }

    /// The education officer, who gets all replies, or else the department.
    pub async fn officer(db: &SqlitePool) -> Result<Self> {
        Ok(Senders::load(&mut *db.acquire().await?).await?.officer())
    }

    /// An account holder, or else the department.
    pub async fn named(db: &SqlitePool, account: Option<i64>) -> Result<Self> {
        Ok(Senders::load(&mut *db.acquire().await?).await?.named(account))
    }
}

/// Everyone who can ask: the account holders, or else the department.
pub(super) struct Senders {
    department: Department,
    accounts: Vec<Account>,
    /// The account holders' contact records.
    people: HashMap<i64, Person>,
}

impl Senders {
    pub async fn load(db: &mut SqliteConnection) -> Result<Self> {
        let department = accounts::department_in(db).await?.unwrap_or_default();
        let accounts = accounts::list_in(db).await?;
        let holders: Vec<i64> = accounts.iter().map(|account| account.person_id).collect();
        let people = people::some(db, &holders).await?.into_iter().map(|person| (person.id, person)).collect();
        Ok(Self { department, accounts, people })
    }

    /// An account holder, or else the department.
    pub fn named(&self, account: Option<i64>) -> Sender {
        let account = self.accounts.iter().find(|known| Some(known.id) == account);
        let holder = account.map(|account| {
            let details = self.people.get(&account.person_id).map(|person| &person.details);
            Holder {
                name: account.name.clone(),
                mail: account.mail.clone(),
                phone: details.map(|details| details.phone.clone()).unwrap_or_default(),
                title: details.map(|details| details.office.clone()).unwrap_or_default(),
            }
        });
        Sender::from(holder, self.department.name.clone(), self.department.phone.clone())
    }

    /// The education officer, or else the department.
    fn officer(&self) -> Sender {
        let officer = self.accounts.iter().find(|one| one.role == Role::EducationOfficer && !one.disabled);
        self.named(officer.map(|account| account.id))
    }
}

/// How a friendly message greets someone: officials by their full name.
#[must_use]
pub fn greeted(person: &Person) -> &str {
    let details = &person.details;
    if details.office.is_empty() { details.called() } else { &details.name }
}
