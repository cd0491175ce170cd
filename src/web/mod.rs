//! The HTTP edge. It knows no slice.

pub mod assets;
pub mod conflict;
pub mod flash;
pub mod form;
pub mod guard;
pub mod limits;
pub mod link;
pub mod page;
pub mod words;
