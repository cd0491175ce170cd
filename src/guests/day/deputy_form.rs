//! The form for a deputy who came.

use crate::asks;
use crate::guests::guest::Day;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;
use time::Date;

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct DeputyForm {
    pub deputy: String,
    pub deputy_title: String,
    pub deputy_phone: String,
    pub deputy_mail: String,
}

impl DeputyForm {
    /// The deputy, who is here on this day.
    pub fn read(&self, on: Date) -> Result<Day, Mistakes> {
        let mut mistakes = Mistakes::default();
        let name = form::name(&self.deputy, 100).map_err(|told| {
            if self.deputy.trim().is_empty() { "Enter the name of the person who came.".to_owned() } else { told }
        });
        let name = mistakes.note("deputy", name);
        let title = mistakes.note("deputy_title", form::optional_line(&self.deputy_title, 100));
        let reached = asks::deputy_reached(&self.deputy_phone, &self.deputy_mail, &mut mistakes);
        let (Some(deputy), Some(deputy_title), Some((deputy_phone, deputy_mail))) = (name, title, reached) else {
            return Err(mistakes);
        };
        Ok(Day { on: Some(on), is_here: Some(true), deputy, deputy_title, deputy_phone, deputy_mail })
    }
}
