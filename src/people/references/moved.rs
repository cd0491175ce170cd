//! The record of what a merge moved, as the journal keeps it.

use crate::error::{Error, Result};
use anyhow::anyhow;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

/// What a merge moved. Each part has the name of its column. Records of older versions have
/// parts of other names, and parts within parts.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Moved(Map<String, Value>);

impl Moved {
    pub(super) fn keep(&mut self, key: String, value: Value) {
        self.0.insert(key, value);
    }

    /// The names of all parts with something in them.
    pub(super) fn keys(&self) -> impl Iterator<Item = &str> {
        self.0.iter().filter(|(_, value)| !value.is_null()).map(|(key, _)| key.as_str())
    }

    /// The part at one of these paths, such as "loans/lender". None if nothing was moved.
    ///
    /// # Errors
    /// When it can't be read: then no one knows what was moved.
    pub(super) fn read<T: DeserializeOwned>(&self, paths: &[&str]) -> Result<Option<T>> {
        for path in paths {
            let unreadable = || Error::Internal(anyhow!("what a merge moved can't be read: {path}"));
            let (first, rest) = path.split_once('/').unwrap_or((path, ""));
            let mut value = self.0.get(first);
            for step in rest.split('/').filter(|step| !step.is_empty()) {
                value = match value {
                    Some(Value::Object(parts)) => parts.get(step),
                    Some(Value::Array(parts)) => step.parse().ok().and_then(|place: usize| parts.get(place)),
                    None | Some(Value::Null) => None,
                    Some(_) => return Err(unreadable()),
                };
            }
            if let Some(value) = value.filter(|value| !value.is_null()) {
                return serde_json::from_value(value.clone()).map(Some).map_err(|_| unreadable());
            }
        }
        Ok(None)
    }
}
