//! Gift totals, for internal use.

use super::{Basis, Cents, Gift, GiftState, What};
use crate::web::words;

/// The totals of an event's gifts, without those that aren't coming.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Totals {
    pub money_received: Cents,
    pub money_promised: Cents,
    /// Received gifts in kind with a value, by the basis of the value.
    pub kind_received: Vec<(Basis, Cents, usize)>,
    pub kind_promised: Cents,
    /// Gifts in kind without a value.
    pub unvalued: usize,
}

impl Totals {
    pub fn of(gifts: &[Gift]) -> Self {
        let money = |wanted| gifts.iter().filter(|gift| state(gift) == wanted).filter_map(money).sum();
        let valued = |wanted| gifts.iter().filter(move |gift| state(gift) == wanted).filter_map(worth);
        let by_basis = Basis::ALL.into_iter().map(|basis| {
            let these = valued(GiftState::Received).filter(|(known, _)| *known == basis);
            (basis, these.clone().map(|(_, worth)| worth).sum(), these.count())
        });
        let unvalued = |gift: &&Gift| {
            state(gift) != GiftState::NotComing && matches!(gift.details.what, What::Goods { value: None, .. })
        };
        Self {
            money_received: money(GiftState::Received),
            money_promised: money(GiftState::Promised),
            kind_received: by_basis.filter(|(.., count)| *count > 0).collect(),
            kind_promised: valued(GiftState::Promised).map(|(_, worth)| worth).sum(),
            unvalued: gifts.iter().filter(unvalued).count(),
        }
    }

    /// Each basis with the number of gifts and their total.
    pub fn bases(&self) -> Vec<(Basis, usize, String)> {
        let says = |(basis, worth, count): &(Basis, Cents, usize)| {
            (*basis, *count, format!("{worth} by {}, {}", basis.label(), words::count(count, "gift", "gifts")))
        };
        self.kind_received.iter().map(says).collect()
    }

    /// The total of all received gifts in kind.
    pub fn kind(&self) -> Cents {
        self.kind_received.iter().map(|(_, worth, _)| *worth).sum()
    }
}

fn state(gift: &Gift) -> GiftState {
    gift.details.status.state()
}

fn money(gift: &Gift) -> Option<Cents> {
    match gift.details.what {
        What::Money { amount, .. } => Some(amount),
        What::Goods { .. } => None,
    }
}

fn worth(gift: &Gift) -> Option<(Basis, Cents)> {
    match &gift.details.what {
        What::Goods { value: Some(value), .. } => Some((value.basis, value.worth)),
        _ => None,
    }
}
