//! All routes in two visible groups, the layers round them, start and stop.

use crate::error::Result;
use crate::state::App;
use crate::web::{assets, flash, guard};
use crate::{accounts, countdown, events, settings};
use anyhow::Context;
use axum::Router;
use axum::body::Body;
use axum::extract::{DefaultBodyLimit, MatchedPath, Request, State};
use axum::http::{StatusCode, header};
use axum::middleware::{Next, from_fn};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use std::future::Future;
use std::net::SocketAddr;
use std::time::Duration;
use tokio::net::TcpListener;
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
/// A page is made, and its request read, within this time.
const PATIENCE: Duration = Duration::from_secs(20);
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

    // Where a slice's routes need somebody signed in, each handler says so in
    // its signature; a test walks them all as a stranger.
    let signed_in = Router::new().merge(events::router()).merge(countdown::router()).merge(settings::router());
    let public = Router::new()
        .merge(accounts::router())
        .route("/health", get(health))
        .route("/static/{build}/{*name}", get(assets::serve));

    // The layer named last sees a request first.
    signed_in
        .merge(public)
        .layer(DefaultBodyLimit::max(MOST_BODY))
        .layer(csrf)
        .layer(from_fn(guard::origin_known))
        .layer(RequestBodyLimitLayer::new(MOST_BODY))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, PATIENCE))
        .layer(CatchPanicLayer::custom(|_: Box<dyn std::any::Any + Send>| {
            StatusCode::INTERNAL_SERVER_ERROR.into_response()
        }))
        .layer(from_fn(flash::forget))
        .layer(from_fn(guard::dress))
        .layer(from_fn(move |request: Request, next: Next| guard::headers(https, request, next)))
        .layer(CompressionLayer::new())
        .layer(PropagateRequestIdLayer::x_request_id())
        .layer(TraceLayer::new_for_http().make_span_with(span).on_request(()).on_response(log).on_failure(()))
        .layer(SetRequestIdLayer::x_request_id(MakeRequestUuid))
        .with_state(app)
}

/// For a monitor: can pages be read and changes be kept?
async fn health(State(app): State<App>) -> Result<Response> {
    let answer = match tokio::time::timeout(Duration::from_secs(5), app.db.probe()).await {
        Ok(Ok(())) => (StatusCode::OK, "{\"store\":\"ok\"}"),
        Ok(Err(_)) | Err(_) => (StatusCode::SERVICE_UNAVAILABLE, "{\"store\":\"failing\"}"),
    };
    Ok((answer.0, [(header::CONTENT_TYPE, "application/json")], answer.1).into_response())
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
/// When the address can't be listened on.
pub async fn run(
    app: App,
    listener: TcpListener,
    stop: impl Future<Output = ()> + Send + 'static,
) -> anyhow::Result<()> {
    let db = app.db.clone();
    let service = router(app).into_make_service_with_connect_info::<SocketAddr>();
    let (stopping, mut stopped) = tokio::sync::watch::channel(false);
    let serve = axum::serve(listener, service).with_graceful_shutdown(async move {
        stop.await;
        let _ = stopping.send(true);
    });
    tokio::select! {
        ended = serve => ended.context("serve")?,
        () = async { let _ = stopped.changed().await; tokio::time::sleep(GRACE).await } => {
            tracing::warn!("some requests were still open at the stop");
        }
    }
    db.close().await;
    Ok(())
}
