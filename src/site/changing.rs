//! A change of the drawing, in one write.

use super::plan::Plan;
use super::refused::Refused;
use super::store;
use crate::accounts::Visit;
use crate::error::Result;
use crate::state::App;

/// Changes the drawing as it is now. `change` gets it with the number of this change, and
/// says what was done.
pub(super) async fn change<F>(
    app: &App,
    visit: &Visit,
    id: i64,
    change: F,
) -> Result<std::result::Result<String, Refused>>
where
    F: FnOnce(&mut Plan, i64) -> std::result::Result<String, Refused> + Clone + Send + 'static,
{
    let (now, actor) = (app.clock.now(), visit.user.actor());
    app.db.write(move |tx| Box::pin(async move { store::change(tx, actor, id, now, change).await })).await
}
