//! Removing someone from the guest list.

use super::{page, store};
use crate::accounts::Officer;
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/{guest}/remove", post(remove))
}

async fn remove(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?;
    let to = format!("/events/{id}/guests");
    if let Some(request) = &known.request {
        let said = "This guest was invited. Withdraw the question first, so they hear about it. Then remove them.";
        return Ok(flash::redirect(&format!("/events/{id}/replies/{}", request.id), said));
    }
    let (actor, guest, name) = (visit.user.actor(), known.guest.clone(), known.person.details.name.clone());
    let write = app.db.write(move |tx| Box::pin(async move { store::remove(tx, actor, (&guest, &name), now).await }));
    write.await?;
    Ok(flash::redirect(&to, "Removed from the guest list. The contact record stays."))
}
