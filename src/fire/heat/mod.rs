//! How far people and things must be from the fire, and whether the water lasts.

mod distances;
mod glow;
mod reach;
mod view;
mod water;

pub use distances::BTU;
pub(super) use distances::melts;
pub(super) use glow::Glow;
pub use reach::Reach;
pub(super) use view::HeatView;
