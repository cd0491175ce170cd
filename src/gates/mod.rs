//! Gates: the go/no-go checks of burn day, what was read for each, and the signed decisions
//! that rest on them.

mod adopting;
mod chart;
mod countdown_items;
mod decision;
mod editing;
mod follow;
mod form;
mod gate;
mod gate_page;
mod history;
mod index;
mod line;
mod measure;
mod page;
mod reading;
mod reading_form;
mod routes;
mod says;
mod sheet;
mod signature;
mod signing;
mod snapshot;
mod starting;
mod store;
mod times_page;
mod usual;

pub use countdown_items::countdown_items;
pub use decision::{DECISIONS, Decision, DecisionTimes};
pub use follow::follow;
pub use form::WORSE;
pub use gate::{Adopted, BASES, Basis, Choice, Details, GRADES, Gate, Grade};
pub use history::HISTORY;
pub use measure::{MEASURES, Measure};
pub use reading::{Air, Noted, Reading};
pub use routes::router;
pub use signature::{SAYS, Says, Signature};
pub use store::{add, add_reading, adopt, of_event};
pub use usual::usual;
