//! The form for a gift that was received.

use super::reading::past;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;
use time::Date;

/// A gift was received.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(in crate::gifts) struct ReceivedForm {
    pub received_on: String,
    pub taken_by: String,
}

impl ReceivedForm {
    pub fn read(&self, today: Date) -> Result<(Date, String), Mistakes> {
        let mut mistakes = Mistakes::default();
        let on = mistakes.note("received_on", past(&self.received_on, today));
        let taken_by = mistakes.note("taken_by", form::line(&self.taken_by, 100));
        on.zip(taken_by).ok_or(mistakes)
    }
}
