//! People who said yes to lending something that is on no loan yet.

use super::snapshot::LoanSnapshot;
use crate::asks::{self, Unlisted};
use crate::error::Result;
use crate::state::App;
use time::OffsetDateTime;

/// People who said yes to lending something that is on no loan here.
pub(super) async fn unlisted(app: &App, snapshot: &LoanSnapshot, now: OffsetDateTime) -> Result<Vec<Unlisted>> {
    let is_listed = |request: &asks::Request| snapshot.loans.iter().any(|loan| loan.request_id == Some(request.id));
    asks::unlisted(&mut *app.db.read().acquire().await?, &snapshot.event, asks::Kind::Loan, is_listed, now).await
}
