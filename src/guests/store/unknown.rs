//! Words in the store that this version doesn't know.

use crate::error::Error;
use anyhow::anyhow;

pub(super) fn unknown(what: &str) -> Error {
    Error::Internal(anyhow!("an unknown {what} in the store"))
}
