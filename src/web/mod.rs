//! The HTTP edge. It knows no slice.

pub mod assets;
pub mod conflict;
pub mod flash;
pub mod fold;
pub mod form;
pub mod guard;
pub mod history;
pub mod kept;
pub mod limits;
pub mod link;
pub mod money;
pub mod moved;
pub mod needs;
pub mod once;
pub mod page;
pub mod path;
pub mod phone;
pub mod routes;
pub mod words;
