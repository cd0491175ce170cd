//! A row of the table of people.

use crate::error::{Error, Result};
use crate::people::person::{Channel, Details, Person};
use anyhow::anyhow;
use serde::Deserialize;

/// A row of the table. Other parts may read it as JSON in a statement of their own.
#[derive(Debug, Deserialize)]
pub struct Row {
    pub(super) id: i64,
    pub(super) name: String,
    pub(super) surname: String,
    pub(super) address_form: String,
    pub(super) said: String,
    pub(super) organization: Option<String>,
    pub(super) office: String,
    pub(super) jurisdiction: String,
    pub(super) mail: String,
    pub(super) phone: String,
    pub(super) channel: String,
    pub(super) notes: String,
    pub(super) access_needs: String,
    pub(super) no_mail: i64,
    pub(super) refused_at: Option<i64>,
    pub(super) refused_why: String,
    pub(super) version: i64,
}

impl Row {
    /// The person it describes.
    ///
    /// # Errors
    /// When a column holds a value this version doesn't know.
    pub fn person(self) -> Result<Person> {
        let channel: Channel =
            self.channel.parse().map_err(|_| Error::Internal(anyhow!("an unknown channel in the store")))?;
        Ok(Person {
            id: self.id,
            details: Details {
                name: self.name,
                surname: self.surname,
                address_form: self.address_form,
                said: self.said,
                organization: self.organization.unwrap_or_default(),
                office: self.office,
                jurisdiction: self.jurisdiction,
                mail: self.mail,
                phone: self.phone,
                channel,
                notes: self.notes,
                access_needs: self.access_needs,
                no_mail: self.no_mail != 0,
            },
            refused: self.refused_at.map(|_| self.refused_why).unwrap_or_default(),
            version: self.version,
        })
    }
}
