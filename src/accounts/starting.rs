//! Starting a session.

use super::{device, session};
use crate::error::Result;
use crate::state::App;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;

/// Signs in with a new secret, no matter which one the browser brought.
pub(super) async fn start_session(app: &App, jar: &CookieJar, account: i64, next: &str) -> Result<Response> {
    let now = app.clock.now();
    let old = session::secret(app, jar);
    let sign_in = app.db.write(move |tx| {
        Box::pin(async move {
            if let Some(old) = old {
                session::store::sign_out(tx, old).await?;
            }
            session::store::sign_in(tx, account, now).await
        })
    });
    let secret = sign_in.await?;
    Ok((session::start(app, &secret), device::note(app, jar, account), Redirect::to(next)).into_response())
}
