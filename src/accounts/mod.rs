//! Who may do what: accounts, roles, sign-ins, and invitations.

mod account;
mod department;
mod device;
mod entering;
mod history;
mod home;
mod new_password;
mod opened;
mod password;
mod person_references;
mod purpose;
mod routes;
mod sees;
mod session;
mod setting_up;
mod signing_in;
mod starting;
mod store;
mod user;
mod visit;

pub use account::{Account, Change, Holder, Refused};
pub use department::Department;
pub use history::HISTORY;
pub use home::{FIELDS as HOME_FIELDS, HomeForm};
pub use opened::{dead_link, private};
pub use password::{
    Own, check as check_password, hash as hash_password, is_own as is_own_password, verify as verify_password,
};
pub use person_references::PERSON_REFERENCES;
pub use purpose::Purpose;
pub use routes::router;
pub use sees::Private;
pub use session::{end as end_session_cookie, require as require_sign_in, sweep as sweep_sign_ins};
pub use setting_up::zone;
pub use store::{
    change_password, department, department_in, end_sign_ins, find, find_by_mail, holders, invite,
    is_entered_by_password, list, list_in, make_link, of_person, save, save_department, set_up, set_up_link,
};
pub use user::{ROLES, Role, User};
pub use visit::{Officer, PeopleKeeper, PeopleReader, SignedIn, Visit, Worker};
