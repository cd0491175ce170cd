//! The site, drawn to scale and checked: whether the crowd sees, hears, and stays where it
//! should.

mod accept;
mod adding;
mod basis;
mod basis_page;
mod changing;
mod countdown_items;
mod drawing;
mod drawn;
mod form;
mod history;
mod item;
mod kept;
mod page;
mod photo;
mod plan;
mod refused;
mod routes;
mod said;
mod says;
mod scale_form;
mod scaled;
mod sheet;
mod site_page;
mod snapshot;
mod store;
mod typed;
mod undo;

pub use basis::Basis;
pub use countdown_items::countdown_items;
pub use drawn::Drawn;
pub use history::HISTORY;
pub use photo::files_router;
pub use plan::{MOST_ITEMS, Photo, Plan};
pub use refused::Refused;
pub use routes::router;
pub use store::{change, current};

/// The caution on every page and every sheet about the site.
const DECIDES: &str = "Screening estimates. Local codes, the authority having jurisdiction, and the safety officer \
                       decide.";
