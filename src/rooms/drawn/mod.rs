//! Both rooms, drawn to scale: where each item stands, and what is wrong with that.

mod boxes;
mod changing;
mod drawing;
mod fixture;
mod form;
mod item_page;
mod measured;
mod moving;
mod place;
mod plan_page;
mod routes;
mod said;
mod says;
mod size_page;
mod snapshot;
mod store;
mod usual_places;

pub(super) use drawing::{Picture, pictures};
pub use measured::{Measured, measured};
pub use place::{Frame, Place};
pub(super) use routes::router;
pub(super) use said::Said;
pub(super) use snapshot::{LayoutSnapshot, moved};
pub use store::{place, set_frame};
pub use usual_places::place_usual;
