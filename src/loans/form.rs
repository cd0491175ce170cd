//! The form of a loan.

use super::agreed::{BURN, RAIN};
use super::checklist;
use super::choices::{Free, Insured, Kind};
use super::details::{CHOICES, Details, FIELDS};
use super::loan::Loan;
use crate::events::Event;
use crate::web::form::Mistakes;
use serde::Deserialize;
use std::collections::BTreeMap;

/// What the form sends, by the names of its fields. A checkbox sends `yes` or nothing.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(try_from = "Vec<(String, String)>")]
pub(super) struct LoanForm {
    fields: BTreeMap<String, String>,
    /// The request the lender said yes to, if it was made elsewhere.
    pub request: i64,
    pub version: i64,
}

impl TryFrom<Vec<(String, String)>> for LoanForm {
    type Error = std::num::ParseIntError;

    fn try_from(sent: Vec<(String, String)>) -> Result<Self, Self::Error> {
        let fields: BTreeMap<String, String> = sent.into_iter().collect();
        let number = |name: &str| fields.get(name).map_or(Ok(0), |text| text.parse());
        Ok(Self { request: number("request")?, version: number("version")?, fields })
    }
}

impl LoanForm {
    /// What a field holds, by its name.
    pub fn get(&self, name: &str) -> &str {
        self.fields.get(name).map_or("", String::as_str)
    }

    /// The same form with other text in a field.
    #[must_use]
    pub fn with(mut self, name: &str, text: impl Into<String>) -> Self {
        self.fields.insert(name.to_owned(), text.into());
        self
    }

    /// The likely answers for a new loan.
    pub fn fresh(person: &str) -> Self {
        let open = Free::Open.as_str();
        let form = Self::default().with("lender", person).with("kind", Kind::Clock.as_str());
        form.with(BURN.free, open).with(RAIN.free, open).with("insured", Insured::Open.as_str())
    }

    pub fn of(loan: &Loan, event: &Event) -> Self {
        let all = FIELDS.iter().chain(CHOICES);
        let fields = all.map(|field| (field.name.to_owned(), (field.typed)(&loan.details, event))).collect();
        Self { fields, request: 0, version: loan.version }
    }

    /// What was typed, checked, except for the lender, who may be new. What was agreed for dates
    /// the event no longer has stays as it was.
    pub fn read(&self, event: &Event, old: Option<&Loan>) -> Result<Details, Mistakes> {
        let (mut details, mut mistakes) = (Details::default(), Mistakes::default());
        for field in FIELDS.iter().chain(CHOICES) {
            field.read(&mut details, self.get(field.name), &mut mistakes);
        }
        details.agreed = old.map(|old| old.details.agreed.clone()).unwrap_or_default();
        for part in [BURN, RAIN] {
            let Some(on) = (part.on)(event) else { continue };
            match part.read(on, |name| self.get(name), &mut mistakes) {
                Some(agreed) => details.agreed.insert(on, agreed),
                None => details.agreed.remove(&on),
            };
        }
        // Nobody typed a list: the standard ones.
        if ["checks", "accessories"].iter().all(|name| self.get(name).trim().is_empty()) {
            details.checklist = checklist::usual(details.kind);
        }
        if mistakes.is_empty() { Ok(details) } else { Err(mistakes) }
    }
}

#[cfg(test)]
mod tests;
