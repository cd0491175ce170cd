//! A gift: what is given, by whom, and what became of it.

use super::{Basis, Cents, GiftState, InName, InReturn, Kind, Recognition};
use time::Date;

/// The value of a gift in kind, for internal use only.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Value {
    pub worth: Cents,
    pub basis: Basis,
    /// The date of the estimate.
    pub on: Date,
    /// Who estimated it.
    pub by: String,
}

/// What is given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    Money {
        amount: Cents,
        /// What it is for; may be empty.
        purpose: String,
    },
    Goods {
        description: String,
        /// A count or a measure; may be empty.
        quantity: String,
        value: Option<Value>,
    },
}

/// Whether a gift has been received.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum GiftStatus {
    Promised,
    Received { on: Date, taken_by: String },
    NotComing,
}

/// What the donor got in return.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Returned {
    Unsaid,
    Nothing,
    Something { what: String, estimate: Cents },
}

/// How the donor is named.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Credit {
    pub recognition: Recognition,
    /// The agreed wording.
    pub credited_as: String,
    pub agreed_by: String,
    pub agreed_on: Option<Date>,
    /// The logo: which file we have, where it may be used.
    pub logo: String,
}

/// A gift as entered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    pub person_id: i64,
    pub in_name: InName,
    pub what: What,
    pub promised_on: Date,
    /// The date by which it is due.
    pub promised_by: Option<Date>,
    pub status: GiftStatus,
    pub returned: Returned,
    pub credit: Credit,
    pub notes: String,
}

/// A gift to an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gift {
    pub id: i64,
    pub event_id: i64,
    /// The donor's name and organization, from People.
    pub person: String,
    pub organization: String,
    pub details: Details,
    pub version: i64,
}

impl What {
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self {
            Self::Money { .. } => Kind::Money,
            Self::Goods { .. } => Kind::Goods,
        }
    }

    /// "money for the program", "2 × matching sofas": without any amount.
    #[must_use]
    pub fn says(&self) -> String {
        match self {
            Self::Money { purpose, .. } if purpose.is_empty() => "money".to_owned(),
            Self::Money { purpose, .. } => format!("money for {purpose}"),
            Self::Goods { description, quantity, .. } if quantity.is_empty() => description.clone(),
            Self::Goods { description, quantity, .. } => format!("{quantity} × {description}"),
        }
    }

    /// The same as a heading, where one of it goes without saying.
    pub(super) fn title(&self) -> String {
        match self {
            Self::Goods { description, quantity, .. } if quantity == "1" => description.clone(),
            other => other.says(),
        }
    }
}

impl GiftStatus {
    #[must_use]
    pub fn state(&self) -> GiftState {
        match self {
            Self::Promised => GiftState::Promised,
            Self::Received { .. } => GiftState::Received,
            Self::NotComing => GiftState::NotComing,
        }
    }
}

impl Returned {
    #[must_use]
    pub fn state(&self) -> InReturn {
        match self {
            Self::Unsaid => InReturn::Unsaid,
            Self::Nothing => InReturn::Nothing,
            Self::Something { .. } => InReturn::Something,
        }
    }
}

impl Gift {
    /// The donor's public name.
    #[must_use]
    pub fn giver(&self) -> &str {
        match self.details.in_name {
            InName::Organization if !self.organization.is_empty() => &self.organization,
            InName::Organization | InName::Person => &self.person,
        }
    }

    /// "Bend Lumber Yard (Gideon Astley)", or the person alone.
    #[must_use]
    pub fn giver_in_full(&self) -> String {
        if self.giver() == self.person { self.person.clone() } else { format!("{} ({})", self.giver(), self.person) }
    }

    #[must_use]
    pub fn is_received(&self) -> bool {
        matches!(self.details.status, GiftStatus::Received { .. })
    }

    /// Promised and overdue.
    #[must_use]
    pub fn is_late(&self, today: Date) -> bool {
        self.details.status == GiftStatus::Promised && self.details.promised_by.is_some_and(|by| by < today)
    }

    /// The address of its page.
    #[must_use]
    pub fn href(&self) -> String {
        format!("/events/{}/guests/gifts/{}", self.event_id, self.id)
    }
}
