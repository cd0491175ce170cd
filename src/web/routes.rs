//! The methods of a route, each with its handler behind a box.
//!
//! Axum's code is compiled again for each handler type, and each time the compiler proves
//! that everything the handler awaits can move between threads. With a few hundred handlers
//! that was a third of a build. Behind the box they all have one type.

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

/// Handles `GET`.
pub fn get<T: 'static>(handler: impl Handler<T, App>) -> MethodRouter<App> {
    axum::routing::get(Boxed::new(handler))
}

/// Handles `POST`.
pub fn post<T: 'static>(handler: impl Handler<T, App>) -> MethodRouter<App> {
    axum::routing::post(Boxed::new(handler))
}
