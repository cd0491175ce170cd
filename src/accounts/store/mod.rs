//! The department, accounts, and links in the store.

mod department;
mod entry;
mod links;
mod passwords;
mod reading;
mod writing;

use crate::db::Tx;
use crate::error::Result;

pub(super) use department::HomeRow;
pub(super) use links::{link, use_up};
pub(super) use passwords::{credentials, password_hash};
pub(super) use reading::parse_role;

pub use department::{department, department_in, save_department, set_up};
pub use links::{make_link, set_up_link};
pub use passwords::{change_password, end_sign_ins, is_entered_by_password};
pub use reading::{find, find_by_mail, holders, list, list_in, of_person};
pub use writing::{invite, save};

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
