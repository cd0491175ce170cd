//! The department that this installation belongs to.

use crate::calc::homes::Home;

/// The department that this installation belongs to.
#[derive(Debug, Clone, Default)]
pub struct Department {
    pub name: String,
    /// IANA name of its time zone.
    pub zone: String,
    /// The phone that someone with a dead link can call; may be empty.
    pub phone: String,
    /// Where the department is: whose officials are local.
    pub home: Home,
    pub version: i64,
}
