//! The addresses of the countdown.

use super::moves::Moves;
use super::{Follow, ListMoves, Places, changing, lists, moving, overview, planning, task_list, tasks, wall};
use crate::state::App;
use axum::{Extension, Router};

/// The countdown and everything about tasks. Other places report what they have to
/// show here and what a change to the event would do to them, and then carry out
/// their part of the change.
pub fn router(places: Places, moves: &[(&'static str, ListMoves)], follows: &[Follow]) -> Router<App> {
    let routes = overview::router()
        .merge(task_list::router())
        .merge(lists::router())
        .merge(tasks::router())
        .merge(wall::router())
        .layer(Extension(places));
    let changes = planning::router().merge(moving::router()).merge(changing::router());
    routes.merge(changes.layer(Extension(Moves::of(moves, follows))))
}
