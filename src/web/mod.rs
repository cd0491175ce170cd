//! The HTTP edge. It knows no slice.

pub mod assets;
pub mod client;
pub mod conflict;
pub mod error_page;
pub mod flash;
pub mod fold;
pub mod form;
pub mod form_key;
pub mod guard;
pub mod history;
pub mod kept;
pub mod limits;
pub mod link;
pub mod local_path;
pub mod money;
pub mod moved;
pub mod needs;
pub mod once;
pub mod page;
pub mod path;
pub mod phone;
pub mod query;
pub mod routes;
pub mod words;
