//! All routes in two visible groups, the layers round them, start and stop.

use crate::accounts::Visit;
use crate::background::Background;
use crate::db::Trouble;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::guard::Home;
use crate::web::once::{self, Once};
use crate::web::routes::get;
use crate::web::{assets, flash, guard, kept};
use crate::{
    accounts, asks, closed_days, countdown, crew, directory, events, gifts, guests, loans, mail_room, permits, photos,
    press, reminders, rooms, settings, thanks,
};
use anyhow::anyhow;
use axum::body::Body;
use axum::extract::{ConnectInfo, DefaultBodyLimit, MatchedPath, Request, State};
use axum::http::StatusCode;
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::{Json, Router};
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use serde_json::json;
use std::future::Future;
use std::net::SocketAddr;
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use tower::ServiceExt;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::csrf::CsrfLayer;
use tower_http::limit::RequestBodyLimitLayer;
use tower_http::request_id::{MakeRequestUuid, PropagateRequestIdLayer, RequestId, SetRequestIdLayer};
use tower_http::timeout::TimeoutLayer;
use tower_http::trace::TraceLayer;
use tracing::Span;

/// A form is smaller than this.
const MOST_BODY: usize = 256 * 1024;
/// At most this many connections at once; further ones wait.
const MOST_CONNECTIONS: usize = 2_000;
/// A page is made, and its request read, within this time.
const PATIENCE: Duration = Duration::from_secs(20);
/// A request with files in it, which a phone may send over a bad line.
const FILE_PATIENCE: Duration = Duration::from_mins(5);
/// At a stop, requests under way get this long to end.
const GRACE: Duration = Duration::from_secs(10);

/// The app as a service.
///
/// # Panics
/// When the base address of the settings can't be an origin, which reading the
/// settings rules out.
pub fn router(app: App) -> Router {
    let https = app.config.is_https();
    let csrf = CsrfLayer::new()
        .add_trusted_origin(app.config.base_url())
        .expect("the base address was checked when it was read")
        .with_rejection_response(|_| guard::refuse_elsewhere());

    let once = Once {
        db: app.db.clone(),
        answers: Arc::clone(&app.answers),
        key: app.link_key.clone(),
        who: |request| request.extensions().get::<Visit>().map_or(0, |visit| visit.user.account_id),
    };

    // Nobody reaches the first group unless signed in; which role a route takes,
    // each handler says in its signature.
    let signed_in = Router::new()
        .merge(events::router())
        .merge(photos::router())
        .merge(closed_days::router())
        .merge(asks::router(countdown::closings, press::coverage_lines))
        .merge(countdown::router(
            &[
                guests::told,
                gifts::told,
                thanks::told,
                press::told,
                crew::told,
                loans::told,
                rooms::told,
                permits::told,
            ],
            &[
                ("Press", press::moved),
                ("Crew", crew::moved),
                ("Loans", loans::moved),
                ("Rooms", rooms::moved),
                ("Permits and notices", permits::moved),
            ],
            &[crew::follow, guests::follow, loans::follow, reminders::follow],
        ))
        .merge(permits::router())
        .merge(crew::router())
        .merge(loans::router())
        .merge(reminders::router())
        .merge(guests::router())
        .merge(gifts::router())
        .merge(rooms::router())
        .merge(thanks::router())
        .merge(press::router())
        .merge(directory::router())
        .merge(settings::router())
        .merge(mail_room::router())
        .route_layer(from_fn_with_state(once.clone(), once::once))
        .route_layer(from_fn_with_state(app.clone(), accounts::require_sign_in));
    let public = Router::new()
        .merge(accounts::router())
        .route("/health", get(health))
        .route("/favicon.ico", get(assets::favicon))
        .route("/static/{build}/{*name}", get(assets::serve));

    // Here no cookie counts, only the secret in the address, which no other site
    // knows. A page that tells nobody its address can't say its origin, nor does a
    // mail program that posts by itself (RFC 8058).
    let by_link = asks::public_router()
        .merge(mail_room::public_router())
        .merge(crew::public_router())
        .merge(press::public_router());

    // A file is larger than a form, and photos are larger still.
    let kept_once = |routes: Router<App>| {
        routes.route_layer(from_fn_with_state(once.clone(), once::once)).layer(from_fn(kept::keep))
    };
    let files = bounded(kept_once(directory::files_router()), directory::MOST_SENT, FILE_PATIENCE)
        .merge(bounded(kept_once(loans::files_router()), photos::MOST_SENT, FILE_PATIENCE))
        .merge(bounded(kept_once(rooms::files_router()), photos::MOST_SENT, FILE_PATIENCE))
        .route_layer(from_fn_with_state(app.clone(), accounts::require_sign_in));

    // The layer named last sees a request first.
    bounded(signed_in.merge(public).layer(from_fn(kept::keep)), MOST_BODY, PATIENCE)
        .merge(files)
        .layer(csrf)
        .layer(from_fn_with_state(Home::of(&app.config), guard::origin_known))
        .merge(bounded(kept_once(by_link).layer(from_fn(guard::address_is_secret)), MOST_BODY, PATIENCE))
        .merge(bounded(
            kept_once(asks::offer_router(rooms::offered)).layer(from_fn(guard::address_is_secret)),
            asks::MOST_OFFERED,
            FILE_PATIENCE,
        ))
        .layer(CatchPanicLayer::custom(|_: Box<dyn std::any::Any + Send>| {
            Error::Internal(anyhow!("a handler panicked")).into_response()
        }))
        .layer(from_fn(flash::forget))
        .layer(from_fn(once::keys))
        .layer(from_fn(guard::dress))
        .layer(from_fn(move |request: Request, next: Next| guard::headers(https, request, next)))
        .layer(CompressionLayer::new())
        .layer(PropagateRequestIdLayer::x_request_id())
        .layer(TraceLayer::new_for_http().make_span_with(span).on_request(()).on_response(log).on_failure(()))
        .layer(SetRequestIdLayer::x_request_id(MakeRequestUuid))
        .layer(from_fn(guard::own_request_id))
        .with_state(app)
}

/// Requests are no larger, and take no longer, than this.
fn bounded(routes: Router<App>, most: usize, patience: Duration) -> Router<App> {
    routes
        .layer(DefaultBodyLimit::max(most))
        .layer(RequestBodyLimitLayer::new(most))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, patience))
}

/// For a monitor: can pages be read and changes be kept, and does mail go out?
async fn health(State(app): State<App>) -> Result<Response> {
    let look = async {
        app.db.probe().await?;
        app.mailer.unwell(&app, app.clock.now()).await
    };
    let (status, store, mail) = match tokio::time::timeout(Duration::from_secs(5), look).await {
        Ok(Ok(None)) if app.db.trouble() == Some(Trouble::Low) => {
            (StatusCode::SERVICE_UNAVAILABLE, "almost full", "ok".to_owned())
        }
        Ok(Ok(None)) => (StatusCode::OK, "ok", "ok".to_owned()),
        Ok(Ok(Some(why))) => (StatusCode::SERVICE_UNAVAILABLE, "ok", why),
        Ok(Err(_)) | Err(_) => (StatusCode::SERVICE_UNAVAILABLE, "failing", "not looked at".to_owned()),
    };
    Ok((status, Json(json!({ "store": store, "mail": mail }))).into_response())
}

/// What is logged of a request: the route and never the address, which may hold
/// a link's secret.
fn span(request: &Request<Body>) -> Span {
    let route = request.extensions().get::<MatchedPath>().map_or("none", MatchedPath::as_str);
    let id = request.extensions().get::<RequestId>().and_then(|id| id.header_value().to_str().ok()).unwrap_or("");
    tracing::info_span!("request", method = %request.method(), route, id)
}

fn log<B>(response: &Response<B>, took: Duration, _: &Span) {
    let status = response.status().as_u16();
    let ms = u64::try_from(took.as_millis()).unwrap_or(u64::MAX);
    if status == 500 {
        tracing::error!(status, ms, "answered");
    } else {
        tracing::debug!(status, ms, "answered");
    }
}

/// Serves until told to stop, then lets requests under way end and closes the
/// store.
///
/// # Errors
/// When connections can't be taken any more.
pub async fn run(app: App, listener: TcpListener, stop: impl Future<Output = ()>) -> anyhow::Result<()> {
    let (db, mailer, heavy) = (app.db.clone(), Arc::clone(&app.mailer), Arc::clone(&app.heavy));
    let background = Background::start(app.clone());
    let service = router(app);
    let room = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let connections = GracefulShutdown::new();
    let mut stop = pin!(stop);
    loop {
        let next = async {
            let place = Arc::clone(&room).acquire_owned().await?;
            anyhow::Ok((place, listener.accept().await))
        };
        let (place, accepted) = tokio::select! {
            next = next => next?,
            () = &mut stop => break,
        };
        let (stream, peer) = match accepted {
            Ok(accepted) => accepted,
            Err(error) => {
                // Out of file handles, or a client gone: neither is a reason to end.
                tracing::warn!(%error, "a connection was not taken");
                tokio::time::sleep(Duration::from_millis(50)).await;
                continue;
            }
        };
        let service = service.clone();
        let answer = service_fn(move |mut request: axum::http::Request<Incoming>| {
            request.extensions_mut().insert(ConnectInfo::<SocketAddr>(peer));
            service.clone().oneshot(request.map(Body::new))
        });
        let connection = http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(PATIENCE)
            .serve_connection(TokioIo::new(stream), answer);
        let connection = connections.watch(connection);
        tokio::spawn(async move {
            // How a client ends its connection is its own affair.
            let _ = connection.await;
            drop(place);
        });
    }
    drop(listener);
    mailer.stop();
    heavy.end();
    if tokio::time::timeout(GRACE, connections.shutdown()).await.is_err() {
        tracing::warn!("some requests were still open at the stop");
    }
    background.stop().await;
    db.close().await;
    Ok(())
}
