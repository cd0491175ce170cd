//! The events themselves, and the top of every page.

mod bar;
mod before_sending;
mod dates;
mod event;
mod form;
mod history;
mod page;
mod places;
mod routes;
mod store;
#[cfg(test)]
pub(crate) mod tests;
mod visitors;
mod weekdays;

pub use before_sending::against_sending;
pub use dates::Dates;
pub use event::{Details, Event, FORMATS, Format};
pub use form::{EventForm, Read, snapshot};
pub use history::HISTORY;
pub use page::page;
pub use routes::router;
pub use store::{Refused, Row, change, create, current, find, find_in, found, list, make_current, revision_in};
pub use visitors::{ADDRESS, Coordinates, LIVE_BURN, MAP, PARKING, VisitorFacts, WEAR};
pub use weekdays::{WEEK, Weekdays};
