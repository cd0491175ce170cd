//! The front page of Press.

mod advice;
mod conflicts;
mod follow_ups;
mod lines;
mod page;
mod routes;
mod said_yes;
mod split;
mod steps;

pub(super) use routes::router;
