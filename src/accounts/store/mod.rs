//! The department, accounts, and links in the store.

mod department;
mod entry;
mod links;
mod passwords;
mod reading;
mod writing;

pub(super) use department::HomeRow;
pub(super) use links::{link, use_up};
pub(super) use passwords::{credentials, password_hash};
pub(super) use reading::parse_role;

pub use department::{department, department_in, save_department, set_up};
pub use links::{make_link, set_up_link};
pub use passwords::{change_password, end_sign_ins, is_entered_by_password};
pub use reading::{find, find_by_mail, holders, list, list_in, of_person};
pub use writing::{invite, save};
