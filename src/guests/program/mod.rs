//! The program before ignition, as of now.

mod editing;
mod form;
mod page;
pub(super) mod parts;
pub(super) mod slot;
mod timeline;
pub(super) mod times;

use crate::state::App;
use axum::Router;

pub use parts::{GIVES, Gives, PARTS, Part, Program, ProgramItem};
pub use timeline::{Following, ReadFollowing, Timeline, TimelinePart, timeline};

pub(super) fn router() -> Router<App> {
    page::router().merge(editing::router())
}
