//! Words and times as the store keeps them.

use crate::error::{Error, Result};
use crate::web::form;
use anyhow::anyhow;
use std::str::FromStr;
use time::Time;

/// A word of an enum.
pub(in crate::loans) fn known<T: FromStr>(text: &str, what: &str) -> Result<T> {
    text.parse().map_err(|_| Error::Internal(anyhow!("the store holds a loan with an unknown {what}")))
}

pub(in crate::loans) fn hour(text: &str) -> Result<Time> {
    form::time_of_day(text).map_err(|_| Error::Internal(anyhow!("the store holds a loan with an unreadable time")))
}
