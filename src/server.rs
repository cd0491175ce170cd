//! All routes in two visible groups, the layers around them, start and stop.

use crate::accounts::Visit;
use crate::background::{Background, OUTSIDE};
use crate::db::Trouble;
use crate::error::{Error, Result};
use crate::mail;
use crate::people::PersonReferences;
use crate::state::App;
use crate::web::guard::Home;
use crate::web::history::{History, Subject};
use crate::web::once::{self, Once};
use crate::web::routes::get;
use crate::web::{assets, flash, guard, kept, moved};
use crate::{
    accounts, asks, burn_day, closed_days, countdown, crew, directory, events, fire, gates, gifts, guests, loans,
    mail_room, people, permit_records, permits, photos, press, reminders, rooms, settings, site, talk, thanks,
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
/// At most this many connections at once; more have to wait.
const MOST_CONNECTIONS: usize = 2_000;
/// Reading a request and making its page take no longer than this.
const PATIENCE: Duration = Duration::from_secs(20);
/// The same for a request with files, which a phone may send over a weak signal.
const FILE_PATIENCE: Duration = Duration::from_mins(5);
/// When the program stops, requests in progress get this long to finish.
const GRACE: Duration = Duration::from_secs(10);

/// What each place shows in the countdown.
const LISTS: [countdown::ListItems; 11] = [
    guests::countdown_items,
    gifts::countdown_items,
    thanks::countdown_items,
    press::countdown_items,
    crew::countdown_items,
    loans::countdown_items,
    rooms::countdown_items,
    site::countdown_items,
    gates::countdown_items,
    talk::countdown_items,
    permits::countdown_items,
];

/// What each slice keeps about people.
pub const PERSON_REFERENCES: [PersonReferences; 16] = [
    people::PERSON_REFERENCES,
    accounts::PERSON_REFERENCES,
    mail_room::PERSON_REFERENCES,
    permit_records::PERSON_REFERENCES,
    asks::PERSON_REFERENCES,
    countdown::PERSON_REFERENCES,
    crew::PERSON_REFERENCES,
    loans::PERSON_REFERENCES,
    reminders::PERSON_REFERENCES,
    guests::PERSON_REFERENCES,
    gifts::PERSON_REFERENCES,
    rooms::PERSON_REFERENCES,
    talk::PERSON_REFERENCES,
    thanks::PERSON_REFERENCES,
    press::PERSON_REFERENCES,
    directory::PERSON_REFERENCES,
];

/// What each place calls its entries in the journal.
pub const HISTORY: [&[Subject]; 21] = [
    people::HISTORY,
    accounts::HISTORY,
    events::HISTORY,
    mail_room::HISTORY,
    closed_days::HISTORY,
    asks::HISTORY,
    countdown::HISTORY,
    permits::HISTORY,
    crew::HISTORY,
    loans::HISTORY,
    reminders::HISTORY,
    guests::HISTORY,
    gifts::HISTORY,
    rooms::HISTORY,
    fire::HISTORY,
    site::HISTORY,
    gates::HISTORY,
    talk::HISTORY,
    thanks::HISTORY,
    press::HISTORY,
    directory::HISTORY,
];

/// The app as a service.
///
/// # Panics
/// When the base address in the settings isn't an origin, which can't happen once the
/// settings are read.
pub fn router(mut app: App) -> Router {
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

    let ledgers = asks::Ledgers::default();
    let places = countdown::Places::of(&LISTS, ledgers.clone());
    app.history = History::of(&HISTORY);
    app.needs = places.needs(&app);

    // Only people who are signed in reach the first group. Each handler says in its
    // signature which role it needs.
    let signed_in = Router::new()
        .merge(events::router())
        .merge(photos::router())
        .merge(closed_days::router())
        .merge(asks::router(countdown::closings, press::coverage_lines, ledgers))
        .merge(countdown::router(
            places,
            &[
                ("Press", press::moves),
                ("Crew", crew::moves),
                ("Loans", loans::moves),
                ("Rooms", rooms::moves),
                ("Permits and notices", permits::moves),
            ],
            &[crew::follow, guests::follow, loans::follow, reminders::follow, gates::follow],
        ))
        .merge(permits::router())
        .merge(crew::router())
        .merge(loans::router(fire::melts))
        .merge(reminders::router())
        .merge(guests::router(talk::before_lighting))
        .merge(gifts::router())
        .merge(rooms::router())
        .merge(fire::router())
        .merge(site::router())
        .merge(gates::router())
        .merge(talk::router(press::messages_changed))
        .merge(thanks::router())
        .merge(press::router())
        .merge(burn_day::router())
        .merge(directory::router(&PERSON_REFERENCES))
        .merge(settings::router())
        .merge(mail_room::router())
        .route_layer(from_fn_with_state(once.clone(), once::once))
        .route_layer(from_fn_with_state(app.clone(), accounts::require_sign_in));
    let public = Router::new()
        .merge(accounts::router().route_layer(from_fn(once::saved)))
        .route("/health", get(health))
        .route("/favicon.ico", get(assets::favicon))
        .route("/static/{build}/{*name}", get(assets::serve));

    // Here cookies don't count, only the secret in the address, which no other site knows.
    // A page that hides its address can't send its origin, and neither does a mail program
    // that posts on its own (RFC 8058).
    let by_link = asks::public_router()
        .merge(mail_room::public_router())
        .merge(crew::public_router())
        .merge(press::public_router());

    // Files are larger than forms, and photos are larger still.
    let kept_once = |routes: Router<App>| {
        routes.route_layer(from_fn_with_state(once.clone(), once::once)).layer(from_fn(kept::keep))
    };
    let files = bounded(kept_once(directory::files_router()), directory::MOST_SENT, FILE_PATIENCE)
        .merge(bounded(kept_once(loans::files_router()), photos::MOST_SENT, FILE_PATIENCE))
        .merge(bounded(kept_once(rooms::files_router()), photos::MOST_SENT, FILE_PATIENCE))
        .merge(bounded(kept_once(site::files_router()), photos::MOST_SENT, FILE_PATIENCE))
        .route_layer(from_fn_with_state(app.clone(), accounts::require_sign_in));

    // The last layer here sees a request first.
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
        .layer(from_fn(moved::lead))
        .layer(from_fn(flash::forget))
        .layer(from_fn(once::keys))
        .layer(from_fn(guard::add_headers))
        .layer(from_fn(move |request: Request, next: Next| guard::headers(https, request, next)))
        .layer(CompressionLayer::new())
        .layer(PropagateRequestIdLayer::x_request_id())
        .layer(TraceLayer::new_for_http().make_span_with(span).on_request(()).on_response(log).on_failure(()))
        .layer(SetRequestIdLayer::x_request_id(MakeRequestUuid))
        .layer(from_fn(guard::own_request_id))
        .with_state(app)
}

/// Limits how large requests are and how long they take.
fn bounded(routes: Router<App>, most: usize, patience: Duration) -> Router<App> {
    routes
        .layer(DefaultBodyLimit::max(most))
        .layer(RequestBodyLimitLayer::new(most))
        .layer(TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, patience))
}

/// For a monitor: can pages be read, can changes be saved, and does email go out?
async fn health(State(app): State<App>) -> Result<Response> {
    let probe = async {
        app.db.probe().await?;
        mail::unwell(&app, &OUTSIDE, app.clock.now()).await
    };
    let (status, store, mail) = match tokio::time::timeout(Duration::from_secs(5), probe).await {
        Ok(Ok(None)) if app.db.trouble() == Some(Trouble::Low) => {
            (StatusCode::SERVICE_UNAVAILABLE, "almost full", "ok".to_owned())
        }
        Ok(Ok(None)) => (StatusCode::OK, "ok", "ok".to_owned()),
        Ok(Ok(Some(why))) => (StatusCode::SERVICE_UNAVAILABLE, "ok", why),
        Ok(Err(_)) | Err(_) => (StatusCode::SERVICE_UNAVAILABLE, "failing", "not checked".to_owned()),
    };
    Ok((status, Json(json!({ "store": store, "mail": mail }))).into_response())
}

/// What is logged about a request: its route, never its address, which may hold a link's
/// secret.
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

/// Serves until told to stop, then lets requests in progress finish and closes the store.
///
/// # Errors
/// When no more connections can be accepted.
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
                // No file handles left, or the client is gone: neither is a reason to stop.
                tracing::warn!(%error, "a connection was not accepted");
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
            // How a client ends its connection doesn't matter here.
            let _ = connection.await;
            drop(place);
        });
    }
    drop(listener);
    mailer.stop();
    heavy.end();
    if tokio::time::timeout(GRACE, connections.shutdown()).await.is_err() {
        tracing::warn!("some requests were still open when the program stopped");
    }
    background.stop().await;
    db.close().await;
    Ok(())
}
