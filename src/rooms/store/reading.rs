//! What the store holds, as the rooms have it.

use crate::error::{Error, Result};
use anyhow::anyhow;
use std::str::FromStr;

pub(super) fn known<T: FromStr>(text: &str) -> Result<T> {
    text.parse().map_err(|_| Error::Internal(anyhow!("the store holds an item with the unknown word “{text}”")))
}

pub(super) fn number(number: i64) -> Result<u32> {
    Ok(u32::try_from(number)?)
}
