//! What sponsors give, in money and in kind: promised, received, credited and receipted.

mod form;
mod history;
mod old_receipts;
mod person_references;
mod receipt;
mod report;
mod routes;
mod store;
mod views;

use crate::countdown::{Call, CountdownItems, Due, Owner, Strand};
use crate::error::Result;
use crate::events::Event;
use crate::named::named;
use crate::state::App;
use crate::web::words::Reader;
use axum::Router;
use std::pin::Pin;
use time::{Date, OffsetDateTime};

pub use crate::web::money::Cents;
pub use history::HISTORY;
pub use old_receipts::read_old_receipts;
pub use person_references::PERSON_REFERENCES;
pub use receipt::{MadeFrom, Missing, Receipt, receipt};
pub use routes::letter as receipt_letter;
pub use store::{add, add_receipt, find, of_event, save};

/// The gifts to an event.
pub fn router() -> Router<App> {
    routes::router()
}

named! {
    /// Money or anything else.
    Kind, "Choose a type of gift.", KINDS: [
        Money = "money",
        Goods = "in kind",
    ]
}

named! {
    /// A gift's status.
    GiftState, "Choose a status.", STATES: [
        Promised = "promised",
        Received = "received",
        NotComing = "not coming",
    ]
}

named! {
    /// Whose name it is given in.
    InName, "Choose whose name it is given in.", IN_NAMES: [
        Organization = "their organisation",
        Person = "themselves",
    ]
}

named! {
    /// Whether the donor got something in return.
    InReturn, "Choose whether something was given in return.", IN_RETURNS: [
        Unsaid = "not said yet",
        Nothing = "nothing",
        Something = "something",
    ]
}

named! {
    /// Whether the donor is named in front of the audience and in print.
    Recognition, "Choose what was agreed.", RECOGNITIONS: [
        Open = "not agreed yet",
        Agreed = "agreed",
        Unwanted = "wants none",
    ]
}

named! {
    /// Where the value of a gift in kind comes from.
    Basis, "Choose where the value comes from.", BASES: [
        FairMarket = "fair market value",
        Rental = "rental price",
        GiversWord = "giver's word",
    ]
}

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

impl InName {
    /// Its name on pages.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Organization => "their organization",
            Self::Person => "themselves",
        }
    }
}

impl Basis {
    /// Its name on pages.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::FairMarket | Self::Rental => self.as_str(),
            Self::GiversWord => "donor's estimate",
        }
    }
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
}

impl What {
    /// The same as a heading, where one of it goes without saying.
    fn title(&self) -> String {
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
}

/// What the countdown shows for gifts: each promise on its due date.
#[must_use]
pub fn countdown_items(
    app: App,
    event: Event,
    now: OffsetDateTime,
) -> Pin<Box<dyn Future<Output = Result<CountdownItems>> + Send>> {
    Box::pin(async move {
        let gifts = of_event(&mut *app.db.read().acquire().await?, event.id).await?;
        let today = event.today(now);
        let due = |gift: &Gift| {
            let on = gift.details.promised_by.filter(|_| gift.details.status == GiftStatus::Promised)?;
            let by = Reader::App.near_day(on, today);
            Some(Due {
                title: format!("Gift due: {}", gift.details.what.title()),
                beneath: format!("{} promised it for {by}. Call if it isn't here.", gift.giver_in_full()),
                said: String::new(),
                href: gift.href(),
                person: None,
                owner: Owner::EducationOfficer,
                on,
                call: Call::People(vec![gift.details.person_id]),
                is_problem: false,
            })
        };
        let due = gifts.iter().filter_map(due).collect();
        Ok(CountdownItems { strand: Some(Strand::Guests), due, ..CountdownItems::default() })
    })
}

impl Gift {
    /// The address of its page.
    #[must_use]
    pub fn href(&self) -> String {
        format!("/events/{}/guests/gifts/{}", self.event_id, self.id)
    }
}
