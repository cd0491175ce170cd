//! Choosing people out of many: search by words or by what they did, one page at a time.
//! People who are checked stay checked while you search for others. Someone who isn't in
//! People yet is typed in the same form.

mod adding;
mod chooser;
mod find;
mod recognizing;
mod store;
mod suggesting;

pub use adding::{Adding, NewPerson, Newcomer, Whom, WithPerson, who_is_it};
pub use chooser::{Chooser, Line};
pub use find::{Find, PARTS};
pub use recognizing::{Recognized, Settled, known_about, recognize, settle};
pub use suggesting::{names, suggested};
