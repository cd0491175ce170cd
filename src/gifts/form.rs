//! The gift form.

mod reading;
mod received;

use super::{Basis, Gift, GiftState, GiftStatus, InName, InReturn, Kind, Recognition, Returned, What};
use crate::web::words;
use serde::Deserialize;
use time::Date;

pub(super) use received::ReceivedForm;

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct GiftForm {
    pub person: String,
    pub in_name: String,
    pub kind: String,
    pub what: String,
    pub quantity: String,
    pub amount: String,
    pub promised_on: String,
    pub promised_by: String,
    pub state: String,
    pub received_on: String,
    pub taken_by: String,
    pub in_return: String,
    pub return_what: String,
    pub return_worth: String,
    pub recognition: String,
    pub credited_as: String,
    pub agreed_by: String,
    pub agreed_on: String,
    pub logo: String,
    pub worth: String,
    pub basis: String,
    pub value_on: String,
    pub value_by: String,
    pub notes: String,
    pub version: i64,
}

/// A form field, for comparing two versions side by side.
pub(super) struct FormField {
    pub name: &'static str,
    pub label: &'static str,
    pub of: fn(&GiftForm) -> &String,
}

/// Those that show as they are sent, in the form's order. The donor, the name it is given
/// in and the basis of the value have other names on pages.
pub(super) const FORM: [FormField; 21] = [
    FormField { name: "kind", label: "Type", of: |form| &form.kind },
    FormField { name: "what", label: "What", of: |form| &form.what },
    FormField { name: "quantity", label: "Quantity", of: |form| &form.quantity },
    FormField { name: "amount", label: "Amount", of: |form| &form.amount },
    FormField { name: "promised_on", label: "Promised on", of: |form| &form.promised_on },
    FormField { name: "promised_by", label: "Due", of: |form| &form.promised_by },
    FormField { name: "state", label: "Status", of: |form| &form.state },
    FormField { name: "received_on", label: "Received on", of: |form| &form.received_on },
    FormField { name: "taken_by", label: "Received by", of: |form| &form.taken_by },
    FormField { name: "in_return", label: "Given in return", of: |form| &form.in_return },
    FormField { name: "return_what", label: "What was given in return", of: |form| &form.return_what },
    FormField { name: "return_worth", label: "Estimated value of that", of: |form| &form.return_worth },
    FormField { name: "recognition", label: "Recognition", of: |form| &form.recognition },
    FormField { name: "credited_as", label: "Credited as", of: |form| &form.credited_as },
    FormField { name: "agreed_by", label: "Agreed by", of: |form| &form.agreed_by },
    FormField { name: "agreed_on", label: "Agreed on", of: |form| &form.agreed_on },
    FormField { name: "logo", label: "Logo", of: |form| &form.logo },
    FormField { name: "worth", label: "Value", of: |form| &form.worth },
    FormField { name: "value_on", label: "Value on", of: |form| &form.value_on },
    FormField { name: "value_by", label: "Estimated by", of: |form| &form.value_by },
    FormField { name: "notes", label: "Notes", of: |form| &form.notes },
];

impl GiftForm {
    /// What a field holds, by its name.
    pub fn value(&self, name: &str) -> String {
        match name {
            "basis" => self.basis.clone(),
            name => FORM
                .into_iter()
                .find(|field| field.name == name)
                .map(|field| (field.of)(self).clone())
                .unwrap_or_default(),
        }
    }

    /// The most likely values to start from.
    pub fn fresh(person: &str, today: Date) -> Self {
        let text = str::to_owned;
        Self {
            person: text(person),
            in_name: text(InName::Organization.as_str()),
            kind: text(Kind::Goods.as_str()),
            promised_on: words::iso(today),
            state: text(GiftState::Promised.as_str()),
            in_return: text(InReturn::Unsaid.as_str()),
            recognition: text(Recognition::Open.as_str()),
            basis: text(Basis::FairMarket.as_str()),
            ..Self::default()
        }
    }

    pub fn of(gift: &Gift, today: Date) -> Self {
        let details = &gift.details;
        let day = |on: Option<Date>| on.map(words::iso).unwrap_or_default();
        let mut form = Self {
            in_name: details.in_name.to_string(),
            kind: details.what.kind().to_string(),
            promised_on: words::iso(details.promised_on),
            promised_by: day(details.promised_by),
            state: details.status.state().to_string(),
            recognition: details.credit.recognition.to_string(),
            credited_as: details.credit.credited_as.clone(),
            agreed_by: details.credit.agreed_by.clone(),
            agreed_on: day(details.credit.agreed_on),
            logo: details.credit.logo.clone(),
            notes: details.notes.clone(),
            version: gift.version,
            ..Self::fresh(&details.person_id.to_string(), today)
        };
        match &details.what {
            What::Money { amount, purpose } => (form.amount, form.what) = (amount.typed(), purpose.clone()),
            What::Goods { description, quantity, value } => {
                (form.what, form.quantity) = (description.clone(), quantity.clone());
                if let Some(value) = value {
                    form.worth = value.worth.typed();
                    form.basis = value.basis.to_string();
                    form.value_on = words::iso(value.on);
                    form.value_by.clone_from(&value.by);
                }
            }
        }
        if let GiftStatus::Received { on, taken_by } = &details.status {
            (form.received_on, form.taken_by) = (words::iso(*on), taken_by.clone());
        }
        match &details.returned {
            Returned::Unsaid => {}
            Returned::Nothing => form.in_return = InReturn::Nothing.to_string(),
            Returned::Something { what, estimate } => {
                form.in_return = InReturn::Something.to_string();
                (form.return_what, form.return_worth) = (what.clone(), estimate.typed());
            }
        }
        form
    }
}

#[cfg(test)]
mod tests;
