//! How the form of a gift is read.

use super::GiftForm;
use crate::gifts::{Cents, Credit, Details, GiftState, GiftStatus, InReturn, Kind, Recognition, Returned, Value, What};
use crate::web::form::{self, Mistakes};
use time::Date;

impl GiftForm {
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

fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.trim().is_empty() { Ok(None) } else { read(text).map(Some) }
}

/// A date no later than today.
pub(super) fn past(text: &str, today: Date) -> Result<Date, String> {
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
