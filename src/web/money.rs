//! Amounts of money, kept in cents.

use std::fmt;
use std::iter::Sum;

/// An amount in dollars and cents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Cents(i64);

/// More than ten million dollars must be a typo.
pub const MOST: Cents = Cents(1_000_000_000);

impl Cents {
    #[must_use]
    pub const fn new(cents: i64) -> Self {
        Self(cents)
    }

    #[must_use]
    pub const fn get(self) -> i64 {
        self.0
    }

    /// "1250.00", as it is typed.
    #[must_use]
    pub fn typed(self) -> String {
        format!("{}.{:02}", self.0 / 100, self.0 % 100)
    }

    /// An amount as people type it: "1250", "1,250", "$1,250.00".
    ///
    /// # Errors
    /// What to tell the person who typed it.
    pub fn read(text: &str) -> Result<Self, String> {
        let wrong = || "Enter an amount in dollars, like 250 or 1,250.00.".to_owned();
        let text = text.trim();
        let text = text.strip_prefix('$').unwrap_or(text).trim_start();
        let (dollars, cents) = text.split_once('.').unwrap_or((text, "00"));
        let mut groups = dollars.split(',');
        let first = groups.next().unwrap_or_default();
        let rest: Vec<&str> = groups.collect();
        let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
        // A comma that doesn't separate thousands may be meant as a decimal point.
        let fits = digits(first)
            && (rest.is_empty() || first.len() <= 3)
            && rest.iter().all(|group| group.len() == 3 && digits(group))
            && cents.len() == 2
            && digits(cents);
        if !fits {
            return Err(wrong());
        }
        let number: i64 = format!("{first}{}{cents}", rest.concat()).parse().map_err(|_| wrong())?;
        if number > MOST.0 { Err(format!("Enter at most {MOST}.")) } else { Ok(Self(number)) }
    }
}

impl fmt::Display for Cents {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let dollars = (self.0 / 100).to_string();
        let mut grouped = String::new();
        for (place, digit) in dollars.chars().enumerate() {
            if place > 0 && (dollars.len() - place).is_multiple_of(3) {
                grouped.push(',');
            }
            grouped.push(digit);
        }
        write!(f, "${grouped}.{:02}", self.0 % 100)
    }
}

impl Sum for Cents {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        Self(amounts.map(|amount| amount.0).sum())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn amounts_as_people_type_them() {
        for (typed, cents) in [
            ("250", 25_000),
            (" $1,250.00 ", 125_000),
            ("0.05", 5),
            ("1250.50", 125_050),
            ("10,000,000", 1_000_000_000),
            ("$ 7", 700),
        ] {
            assert_eq!(Cents::read(typed), Ok(Cents::new(cents)), "{typed}");
        }
        for wrong in ["", "$", "-5", "1,25", "1250,00", "12.5", "1.250", "1e3", "٣", "10,000,000.01", "1,,000", ".50"]
        {
            assert!(Cents::read(wrong).is_err(), "{wrong}");
        }
        assert_eq!(Cents::new(123_456_705).to_string(), "$1,234,567.05");
        assert_eq!(Cents::new(5).to_string(), "$0.05");
    }

    proptest! {
        #[test]
        fn what_is_shown_reads_back(cents in 0..=MOST.get()) {
            let amount = Cents::new(cents);
            prop_assert_eq!(Cents::read(&amount.to_string()), Ok(amount));
            prop_assert_eq!(Cents::read(&amount.typed()), Ok(amount));
        }
    }
}
