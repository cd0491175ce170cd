//! The department's accounts, for the education officer.

mod editing;
mod inviting;
mod links;
mod refusing;
mod routes;

/// The list of accounts.
const PATH: &str = "/settings/accounts";

pub(super) use routes::router;
