//! Who can be responsible for an outlet.

use crate::accounts::{Account, Role};
use crate::people::Name;

/// People with an account.
pub(in crate::press) fn owners(accounts: &[Account]) -> Vec<Name> {
    let able = accounts.iter().filter(|account| !account.disabled && account.role != Role::Reader);
    able.map(|account| Name { id: account.person_id, name: account.name.clone() }).collect()
}
