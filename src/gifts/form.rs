//! The gift forms, and how they are read.

use super::{
    Basis, Cents, Credit, Details, Gift, GiftState, GiftStatus, InName, InReturn, Kind, Recognition, Returned, Value,
    What,
};
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;
use time::Date;

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

    /// Reads what was typed, except for the donor, who may be new: that number is 0 until
    /// someone is chosen.
    pub fn read(&self, today: Date) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let person_id: i64 = self.person.trim().parse().unwrap_or_default();
        let in_name = mistakes.note("in_name", self.in_name.parse());
        let what = self.what(&mut mistakes);
        let promised_on = mistakes.note("promised_on", past(&self.promised_on, today));
        let promised_by = optional(&self.promised_by, form::day);
        let promised_by = mistakes.note("promised_by", promised_by).flatten();
        if let (Some(on), Some(by)) = (promised_on, promised_by)
            && by < on
        {
            mistakes.add("promised_by", "This is before the gift was promised. Check both dates.");
        }
        let status = self.status(today, &mut mistakes);
        let returned = self.returned(&mut mistakes);
        let credit = self.credit(today, &mut mistakes);
        let notes = mistakes.note("notes", form::paragraph(&self.notes, 2_000)).unwrap_or_default();
        match (in_name, what, promised_on, status, returned, credit, mistakes.is_empty()) {
            (Some(in_name), Some(what), Some(promised_on), Some(status), Some(returned), Some(credit), true) => {
                Ok(Details { person_id, in_name, what, promised_on, promised_by, status, returned, credit, notes })
            }
            _ => Err(mistakes),
        }
    }

    fn what(&self, mistakes: &mut Mistakes) -> Option<What> {
        let kind = mistakes.note("kind", self.kind.parse::<Kind>())?;
        if kind == Kind::Money {
            let amount = Cents::read(&self.amount).and_then(some);
            let purpose = mistakes.note("what", form::optional_line(&self.what, 120));
            for (field, text) in [("quantity", &self.quantity), ("worth", &self.worth)] {
                if !text.trim().is_empty() {
                    mistakes.add(field, "This is for gifts in kind. Leave it empty for money.");
                }
            }
            return Some(What::Money { amount: mistakes.note("amount", amount)?, purpose: purpose? });
        }
        if !self.amount.trim().is_empty() {
            mistakes.add("amount", "This is for money. Enter the value of a gift in kind below.");
        }
        let description = mistakes.note("what", form::line(&self.what, 120).and_then(unpriced));
        let quantity = mistakes.note("quantity", form::optional_line(&self.quantity, 30).and_then(unpriced));
        let value = self.worth(mistakes);
        Some(What::Goods { description: description?, quantity: quantity?, value: value? })
    }

    /// None if there is a mistake in it.
    #[expect(clippy::option_option, reason = "whether it could be read, and whether there is one")]
    fn worth(&self, mistakes: &mut Mistakes) -> Option<Option<Value>> {
        if self.worth.trim().is_empty() {
            return Some(None);
        }
        let worth = mistakes.note("worth", Cents::read(&self.worth).and_then(some));
        let basis = mistakes.note("basis", self.basis.parse());
        let on = mistakes.note("value_on", form::day(&self.value_on));
        let by = mistakes.note("value_by", form::line(&self.value_by, 100));
        Some(Some(Value { worth: worth?, basis: basis?, on: on?, by: by? }))
    }

    fn status(&self, today: Date, mistakes: &mut Mistakes) -> Option<GiftStatus> {
        match mistakes.note("state", self.state.parse::<GiftState>())? {
            GiftState::Promised => Some(GiftStatus::Promised),
            GiftState::NotComing => Some(GiftStatus::NotComing),
            GiftState::Received => {
                let on = mistakes.note("received_on", past(&self.received_on, today));
                let taken_by = mistakes.note("taken_by", form::line(&self.taken_by, 100));
                Some(GiftStatus::Received { on: on?, taken_by: taken_by? })
            }
        }
    }

    fn returned(&self, mistakes: &mut Mistakes) -> Option<Returned> {
        match mistakes.note("in_return", self.in_return.parse::<InReturn>())? {
            InReturn::Unsaid => Some(Returned::Unsaid),
            InReturn::Nothing => Some(Returned::Nothing),
            InReturn::Something => {
                let what = form::line(&self.return_what, 120).map(|what| what.trim_end_matches('.').to_owned());
                let what = mistakes.note("return_what", what);
                let estimate = mistakes.note("return_worth", Cents::read(&self.return_worth));
                Some(Returned::Something { what: what?, estimate: estimate? })
            }
        }
    }

    fn credit(&self, today: Date, mistakes: &mut Mistakes) -> Option<Credit> {
        let recognition = mistakes.note("recognition", self.recognition.parse());
        let is_agreed = recognition == Some(Recognition::Agreed);
        let needed =
            |text: &str, most| if is_agreed { form::line(text, most) } else { form::optional_line(text, most) };
        let credited_as = mistakes.note("credited_as", needed(&self.credited_as, 150));
        let agreed_by = mistakes.note("agreed_by", needed(&self.agreed_by, 100));
        let day = |text: &str| past(text, today);
        let agreed_on = if is_agreed { day(&self.agreed_on).map(Some) } else { optional(&self.agreed_on, day) };
        let agreed_on = mistakes.note("agreed_on", agreed_on);
        let logo = mistakes.note("logo", form::optional_line(&self.logo, 200));
        Some(Credit {
            recognition: recognition?,
            credited_as: credited_as?,
            agreed_by: agreed_by?,
            agreed_on: agreed_on?,
            logo: logo?,
        })
    }
}

/// A gift was received.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct ReceivedForm {
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

fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.trim().is_empty() { Ok(None) } else { read(text).map(Some) }
}

/// A date no later than today.
fn past(text: &str, today: Date) -> Result<Date, String> {
    let on = form::day(text)?;
    if on > today { Err("This date is in the future. Enter today or earlier.".to_owned()) } else { Ok(on) }
}

fn some(amount: Cents) -> Result<Cents, String> {
    if amount == Cents::default() { Err("Enter an amount above $0.".to_owned()) } else { Ok(amount) }
}

/// Text that goes on a receipt for goods, which must not state a value.
fn unpriced(text: String) -> Result<String, String> {
    let small = text.to_lowercase();
    let priced = |c: char| matches!(c, '$' | '€' | '£' | '¥' | '¢');
    let words = small.split(|c: char| !c.is_alphabetic());
    if text.contains(priced) || words.into_iter().any(|word| ["worth", "dollar", "dollars", "usd"].contains(&word)) {
        return Err("Leave the value out: this text goes on the receipt. Enter the value below.".to_owned());
    }
    Ok(text)
}

#[cfg(test)]
mod tests;
