//! The shopping and donations list: what is still needed, who could give it, the emails that
//! ask for it, and what comes of them.

mod asking;
mod givers;
mod letter;
mod list_page;
mod needs;
mod offers;
mod promising;
mod replies;
mod routes;

pub use offers::offered;
pub(super) use routes::router;
