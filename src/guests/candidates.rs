//! Who can be responsible for an office.

use crate::accounts;
use crate::error::Result;
use crate::state::App;

/// People who can be responsible for an office: everyone with an account.
pub(super) async fn candidates(app: &App) -> Result<Vec<(i64, String)>> {
    let accounts = accounts::list(app.db.read()).await?;
    Ok(accounts.into_iter().map(|account| (account.person_id, account.name)).collect())
}

pub(super) fn ids(candidates: &[(i64, String)]) -> Vec<i64> {
    candidates.iter().map(|(id, _)| *id).collect()
}
