//! What sponsors give, in money and in kind: promised, received, credited and receipted.

mod choices;
mod countdown_items;
mod editing;
mod facts;
mod form;
mod gift;
mod giving;
mod history;
mod letter;
mod list;
mod old_receipts;
mod page;
mod person_references;
mod receipt;
mod receipted;
mod report;
mod routes;
mod store;
#[cfg(test)]
mod testing;
mod views;

pub use crate::web::money::Cents;
pub use choices::{
    BASES, Basis, GiftState, IN_NAMES, IN_RETURNS, InName, InReturn, KINDS, Kind, RECOGNITIONS, Recognition, STATES,
};
pub use countdown_items::countdown_items;
pub use gift::{Credit, Details, Gift, GiftStatus, Returned, Value, What};
pub use history::HISTORY;
pub use letter::letter as receipt_letter;
pub use old_receipts::read_old_receipts;
pub use person_references::PERSON_REFERENCES;
pub use receipt::{MadeFrom, Missing, Receipt, receipt};
pub use routes::router;
pub use store::{add, add_receipt, find, of_event, save};
