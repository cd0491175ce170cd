//! What the lender and we agreed for a date: kept by date, typed for burn day and the rain
//! date.

use super::choices::Free;
use super::field::optional;
use crate::events::Event;
use crate::web::form::{self, Mistakes};
use crate::web::words::{self, Reader};
use std::collections::BTreeMap;
use time::Date;

/// The loan dates agreed for one date of the event.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// The first and the last day we have it,
    pub from_on: Date,
    pub until_on: Date,
    /// and the days of pickup and return, where agreed.
    pub collect_on: Option<Date>,
    pub return_on: Option<Date>,
}

/// What the lender and we agreed for one date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Agreed {
    Free(Span),
    NotFree,
}

/// By date of the event. A date nobody has talked about is missing.
pub type AgreedDates = BTreeMap<Date, Agreed>;

/// One of the event's dates in the form, with the names of its fields.
pub(super) struct DatePart {
    pub on: fn(&Event) -> Option<Date>,
    pub free: &'static str,
    pub from: &'static str,
    pub until: &'static str,
    pub collect: &'static str,
    pub bring: &'static str,
}

pub(super) const BURN: DatePart = DatePart {
    on: |event| Some(event.details.burn_on),
    free: "burn_free",
    from: "burn_from",
    until: "burn_until",
    collect: "burn_collect",
    bring: "burn_return",
};
pub(super) const RAIN: DatePart = DatePart {
    on: |event| event.details.rain_on,
    free: "rain_free",
    from: "rain_from",
    until: "rain_until",
    collect: "rain_collect",
    bring: "rain_return",
};

impl DatePart {
    /// What a field of it holds, as it is typed.
    pub fn typed(&self, name: &str, agreed: &AgreedDates, event: &Event) -> String {
        let agreed = (self.on)(event).and_then(|on| agreed.get(&on));
        let span = match agreed {
            Some(Agreed::Free(span)) => Some(span),
            _ => None,
        };
        if name == self.free {
            let free = agreed.map_or(Free::Open, |_| if span.is_some() { Free::Free } else { Free::NotFree });
            return free.to_string();
        }
        let on = span.and_then(|span| match name {
            _ if name == self.from => Some(span.from_on),
            _ if name == self.until => Some(span.until_on),
            _ if name == self.collect => span.collect_on,
            _ => span.return_on,
        });
        on.map(words::iso).unwrap_or_default()
    }

    /// What was typed for a date; `None` if nothing is agreed, or after a mistake.
    pub fn read<'a>(&self, on: Date, get: impl Fn(&str) -> &'a str, mistakes: &mut Mistakes) -> Option<Agreed> {
        let dates = [self.from, self.until, self.collect, self.bring];
        let free = mistakes.note(self.free, get(self.free).parse::<Free>())?;
        if free != Free::Free {
            if dates.iter().any(|name| !get(name).trim().is_empty()) {
                mistakes.add(self.free, "Choose “available”, or clear the dates below.");
            }
            return (free == Free::NotFree).then_some(Agreed::NotFree);
        }
        let from_on = mistakes.note(self.from, form::day(get(self.from)));
        let until_on = mistakes.note(self.until, form::day(get(self.until)));
        let collect_on = mistakes.note(self.collect, optional(get(self.collect), form::day)).flatten();
        let return_on = mistakes.note(self.bring, optional(get(self.bring), form::day)).flatten();
        let span = Span { from_on: from_on?, until_on: until_on?, collect_on, return_on };
        self.check(&span, on, mistakes);
        Some(Agreed::Free(span))
    }

    /// Notes what doesn't fit the date that the days are for.
    fn check(&self, span: &Span, on: Date, mistakes: &mut Mistakes) {
        let (day, Span { from_on, until_on, collect_on, return_on }) = (Reader::App.day(on), *span);
        if from_on > on {
            mistakes.add(self.from, format!("This is after {day}. Choose that day or an earlier one."));
        }
        if until_on < on {
            mistakes.add(self.until, format!("This is before {day}. Choose that day or a later one."));
        }
        if collect_on.is_some_and(|collect_on| collect_on < from_on || collect_on > on) {
            mistakes.add(self.collect, format!("Choose a day from the first day to {day}."));
        }
        if return_on.is_some_and(|return_on| return_on < on || return_on > until_on) {
            mistakes.add(self.bring, format!("Choose a day from {day} to the last day."));
        }
    }
}

impl Agreed {
    /// As the journal says it.
    pub(super) fn says(&self, on: Date) -> String {
        let (date, Self::Free(span)) = (Reader::App.day(on), self) else {
            return format!("{}: not available", Reader::App.day(on));
        };
        let mut says = format!("{date}: {} to {}", Reader::App.day(span.from_on), Reader::App.day(span.until_on));
        for (label, on) in [("pickup", span.collect_on), ("return", span.return_on)] {
            says += &on.map(|on| format!(", {label} {}", Reader::App.day(on))).unwrap_or_default();
        }
        says
    }
}
