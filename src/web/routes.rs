//! The methods of a route, each with its handler behind a box.
//!
//! Axum compiles its own code anew for each type of handler, and the compiler
//! proves for each piece that everything the handler awaits can move between
//! threads. With some hundred handlers that was a third of a build. Behind the box
//! they are all of one type.

use crate::state::App;
use axum::extract::Request;
use axum::handler::Handler;
use axum::response::Response;
use axum::routing::MethodRouter;
use std::pin::Pin;
use std::sync::Arc;

type Answer = Pin<Box<dyn Future<Output = Response> + Send>>;

#[derive(Clone)]
struct Boxed(Arc<dyn Fn(Request, App) -> Answer + Send + Sync>);

impl Boxed {
    fn new<T: 'static>(handler: impl Handler<T, App>) -> Self {
        Self(Arc::new(move |request, app| Box::pin(handler.clone().call(request, app))))
    }
}

impl Handler<(), App> for Boxed {
    type Future = Answer;

    fn call(self, request: Request, app: App) -> Answer {
        (self.0)(request, app)
    }
}

/// Answers `GET`.
pub fn get<T: 'static>(handler: impl Handler<T, App>) -> MethodRouter<App> {
    axum::routing::get(Boxed::new(handler))
}

/// Answers `POST`.
pub fn post<T: 'static>(handler: impl Handler<T, App>) -> MethodRouter<App> {
    axum::routing::post(Boxed::new(handler))
}
