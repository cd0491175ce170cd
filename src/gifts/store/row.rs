//! A gift as its row stores it.

use crate::error::{Error, Result};
use crate::gifts::{
    Cents, Credit, Details, Gift, GiftState, GiftStatus, InReturn, Kind, Recognition, Returned, Value, What,
};
use anyhow::anyhow;
use std::str::FromStr;
use time::Date;

/// A gift with the names of its donor.
pub(super) struct Row {
    pub id: i64,
    pub event_id: i64,
    pub person_id: i64,
    pub person: String,
    pub organization: Option<String>,
    pub in_name: String,
    pub kind: String,
    pub what: String,
    pub quantity: String,
    pub amount_cents: Option<i64>,
    pub promised_on: Date,
    pub promised_by: Option<Date>,
    pub state: String,
    pub received_on: Option<Date>,
    pub taken_by: String,
    pub in_return: String,
    pub return_what: String,
    pub return_cents: Option<i64>,
    pub recognition: String,
    pub credited_as: String,
    pub agreed_by: String,
    pub agreed_on: Option<Date>,
    pub logo: String,
    pub value_cents: Option<i64>,
    pub value_basis: Option<String>,
    pub value_on: Option<Date>,
    pub value_by: String,
    pub notes: String,
    pub version: i64,
}

fn unknown(what: &str) -> Error {
    Error::Internal(anyhow!("a gift without {what} that fits in the store"))
}

fn known<T: FromStr>(text: &str, what: &str) -> Result<T> {
    text.parse().map_err(|_| unknown(what))
}

impl Row {
    pub fn gift(self) -> Result<Gift> {
        let (what, status, returned) = (self.what()?, self.status()?, self.returned()?);
        let credit = Credit {
            recognition: known::<Recognition>(&self.recognition, "recognition")?,
            credited_as: self.credited_as,
            agreed_by: self.agreed_by,
            agreed_on: self.agreed_on,
            logo: self.logo,
        };
        let details = Details {
            person_id: self.person_id,
            in_name: known(&self.in_name, "a name it is given in")?,
            what,
            promised_on: self.promised_on,
            promised_by: self.promised_by,
            status,
            returned,
            credit,
            notes: self.notes,
        };
        let organization = self.organization.unwrap_or_default();
        let (id, event_id, person, version) = (self.id, self.event_id, self.person, self.version);
        Ok(Gift { id, event_id, person, organization, details, version })
    }

    fn what(&self) -> Result<What> {
        if known::<Kind>(&self.kind, "a kind")? == Kind::Money {
            let amount = self.amount_cents.ok_or_else(|| unknown("an amount"))?;
            return Ok(What::Money { amount: Cents::new(amount), purpose: self.what.clone() });
        }
        let value = match (self.value_cents, &self.value_basis, self.value_on) {
            (Some(worth), Some(basis), Some(on)) => {
                let by = self.value_by.clone();
                Some(Value { worth: Cents::new(worth), basis: known(basis, "a basis")?, on, by })
            }
            _ => None,
        };
        Ok(What::Goods { description: self.what.clone(), quantity: self.quantity.clone(), value })
    }

    fn status(&self) -> Result<GiftStatus> {
        Ok(match known::<GiftState>(&self.state, "a state")? {
            GiftState::Promised => GiftStatus::Promised,
            GiftState::NotComing => GiftStatus::NotComing,
            GiftState::Received => {
                let on = self.received_on.ok_or_else(|| unknown("a day"))?;
                GiftStatus::Received { on, taken_by: self.taken_by.clone() }
            }
        })
    }

    fn returned(&self) -> Result<Returned> {
        Ok(match known::<InReturn>(&self.in_return, "what was given in return")? {
            InReturn::Unsaid => Returned::Unsaid,
            InReturn::Nothing => Returned::Nothing,
            InReturn::Something => {
                let estimate = Cents::new(self.return_cents.ok_or_else(|| unknown("an estimate"))?);
                Returned::Something { what: self.return_what.clone(), estimate }
            }
        })
    }
}

/// The columns of a gift as stored.
pub(super) struct Columns {
    pub in_name: &'static str,
    pub kind: &'static str,
    pub what: String,
    pub quantity: String,
    pub amount: Option<i64>,
    pub state: &'static str,
    pub received_on: Option<Date>,
    pub taken_by: String,
    pub in_return: &'static str,
    pub return_what: String,
    pub return_cents: Option<i64>,
    pub recognition: &'static str,
    pub value_cents: Option<i64>,
    pub value_basis: Option<&'static str>,
    pub value_on: Option<Date>,
    pub value_by: String,
}

impl Columns {
    pub fn of(details: &Details) -> Self {
        let (amount, what, quantity, value) = match &details.what {
            What::Money { amount, purpose } => (Some(amount.get()), purpose.clone(), String::new(), None),
            What::Goods { description, quantity, value } => {
                (None, description.clone(), quantity.clone(), value.as_ref())
            }
        };
        let (received_on, taken_by) = match &details.status {
            GiftStatus::Received { on, taken_by } => (Some(*on), taken_by.clone()),
            GiftStatus::Promised | GiftStatus::NotComing => (None, String::new()),
        };
        let (in_return, return_what, return_cents) = match &details.returned {
            Returned::Unsaid => (InReturn::Unsaid, String::new(), None),
            Returned::Nothing => (InReturn::Nothing, String::new(), None),
            Returned::Something { what, estimate } => (InReturn::Something, what.clone(), Some(estimate.get())),
        };
        Self {
            in_name: details.in_name.as_str(),
            kind: details.what.kind().as_str(),
            what,
            quantity,
            amount,
            state: details.status.state().as_str(),
            received_on,
            taken_by,
            in_return: in_return.as_str(),
            return_what,
            return_cents,
            recognition: details.credit.recognition.as_str(),
            value_cents: value.map(|value| value.worth.get()),
            value_basis: value.map(|value| value.basis.as_str()),
            value_on: value.map(|value| value.on),
            value_by: value.map(|value| value.by.clone()).unwrap_or_default(),
        }
    }
}
