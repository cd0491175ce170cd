//! What the fire in both rooms will probably do, how far its heat reaches, and how much water
//! it takes: estimates from the rooms' own lists, compared, and pinned as the plan.

mod basis;
mod cautions;
mod chart;
mod choices;
mod compare;
mod earlier;
mod edit;
mod edit_page;
mod estimates;
mod fields;
mod fire_page;
mod heat;
mod heat_page;
mod history;
mod layer_table;
mod listed;
mod page;
mod pinning;
mod planned;
mod quantities;
mod reading;
mod routes;
mod section;
mod setup;
mod sheet;
mod shown;
mod snapshot;
mod store;
mod summary;
mod typed;

pub use estimates::tick;
pub use heat::{BTU, Reach};
pub use history::HISTORY;
pub use listed::as_listed;
pub use planned::{Clock, Fires, clock, melts, reach};
pub use routes::router;
pub use setup::Setup;
pub use store::{Earlier, Plan, Setting, add_earlier, pin, plan, save};

/// The caution on every page and every sheet about the fire.
pub const DECIDES: &str = "Screening estimate. The authority having jurisdiction, the safety officer, and the listed \
                       product's data decide.";
