//! What the pages need of whoever looks at them.

use crate::accounts::{self, Visit};
use crate::error::{Error, Result};
use crate::state::App;
use crate::zone::Zone;

pub(super) fn zone(visit: &Visit) -> Result<Zone> {
    Zone::named(&visit.user.department.zone).ok_or(Error::NotFound)
}

pub(super) async fn account(app: &App, visit: &Visit) -> Result<accounts::Account> {
    accounts::find(app.db.read(), visit.user.account_id).await?.ok_or(Error::NotFound)
}
