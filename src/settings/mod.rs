//! The department, its accounts, and the history of changes.

mod accounts;
mod department;
mod journal;
mod routes;
mod you;

pub use routes::router;
