//! Emailing an approved version: one message to each chosen contact.

mod page;
mod routes;

pub(super) use self::routes::router;
