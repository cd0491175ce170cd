//! Who else can approve releases.

use crate::accounts::{self, Role, Visit};
use crate::error::Result;
use crate::state::App;

/// Does nobody else have an account that can approve releases?
pub(super) async fn is_alone(app: &App, visit: &Visit) -> Result<bool> {
    let accounts = accounts::list_in(&mut *app.db.read().acquire().await?).await?;
    let keeps = |role| matches!(role, Role::EducationOfficer | Role::InformationOfficer);
    let another = |account: &accounts::Account| {
        account.id != visit.user.account_id && account.joined && !account.disabled && keeps(account.role)
    };
    Ok(!accounts.iter().any(another))
}
