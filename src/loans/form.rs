//! The form of a loan.

use super::condition::{self, Checklist};
use super::{Agreed, Details, Free, Insured, Kind, Loan, Span, Trip};
use crate::events::Event;
use crate::web::form::{self, Mistakes};
use crate::web::money::Cents;
use crate::web::words::{self, Reader};
use serde::Deserialize;
use std::collections::BTreeMap;
use time::{Date, Time};

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct LoanForm {
    pub what: String,
    pub kind: String,
    pub serial: String,
    pub lender: String,
    /// `yes` or nothing, like all checkboxes.
    pub is_school: String,
    pub lender_contact: String,
    pub our_contact: String,
    pub burn_free: String,
    pub burn_from: String,
    pub burn_until: String,
    pub burn_collect: String,
    pub burn_return: String,
    pub rain_free: String,
    pub rain_from: String,
    pub rain_until: String,
    pub rain_collect: String,
    pub rain_return: String,
    pub collect_place: String,
    pub collect_time: String,
    pub collect_by: String,
    pub return_place: String,
    pub return_time: String,
    pub return_by: String,
    pub transport: String,
    pub power: String,
    pub connector: String,
    pub operator: String,
    pub training: String,
    pub value: String,
    pub insured: String,
    pub certificate: String,
    pub task: String,
    pub is_single: String,
    pub backup_id: String,
    pub backup: String,
    pub same_as: String,
    pub stands: String,
    pub distance: String,
    pub checks: String,
    pub accessories: String,
    pub notes: String,
    /// The request the lender said yes to, if it was made elsewhere.
    pub request: i64,
    pub version: i64,
}

/// A field of the form, for showing two versions side by side.
pub(super) struct FormField {
    pub name: &'static str,
    pub label: &'static str,
    pub of: fn(&LoanForm) -> &String,
}

macro_rules! fields {
    ($($name:ident: $label:literal),+ $(,)?) => {
        [$(FormField { name: stringify!($name), label: $label, of: |form| &form.$name }),+]
    };
}

/// The fields that are compared as typed, in the form's order: all but the ones that hold
/// the number of another record.
pub(super) const FORM: [FormField; 37] = fields! {
    what: "Item", kind: "Type", serial: "Serial number", is_school: "A school", lender_contact: "Their contact",
    our_contact: "Our contact", burn_free: "Burn day: available", burn_from: "Burn day: first day",
    burn_until: "Burn day: last day", burn_collect: "Burn day: pickup date", burn_return: "Burn day: return date",
    rain_free: "Rain date: available", rain_from: "Rain date: first day", rain_until: "Rain date: last day",
    rain_collect: "Rain date: pickup date", rain_return: "Rain date: return date", collect_place: "Pickup place",
    collect_time: "Pickup time", collect_by: "Pickup driver", return_place: "Return place",
    return_time: "Return time", return_by: "Return driver", transport: "Transport", power: "Power",
    connector: "Connector", operator: "Operator", training: "Training", value: "Agreed value", insured: "Insured",
    certificate: "Insurance certificate", is_single: "There is only one", backup: "Other backup",
    stands: "Place on burn day", distance: "Feet from the rooms", checks: "Check", accessories: "Count",
    notes: "Notes",
};

/// The fields that hold the number of another record.
pub(super) const CHOICES: [FormField; 4] =
    fields! { lender: "Lender", task: "Needed for", backup_id: "Backup", same_as: "Same item as" };

fn tick(is: bool) -> String {
    if is { "yes".to_owned() } else { String::new() }
}

fn day(on: Option<Date>) -> String {
    on.map(words::iso).unwrap_or_default()
}

fn number(of: Option<i64>) -> String {
    of.map(|id| id.to_string()).unwrap_or_default()
}

/// One date's part of the form: available or not, first day, last day, pickup, return.
type Typed = [String; 5];

fn typed(agreed: Option<&Agreed>) -> Typed {
    let none = String::new;
    match agreed {
        None => [Free::Open.to_string(), none(), none(), none(), none()],
        Some(Agreed::NotFree) => [Free::NotFree.to_string(), none(), none(), none(), none()],
        Some(Agreed::Free(span)) => [
            Free::Free.to_string(),
            words::iso(span.from_on),
            words::iso(span.until_on),
            day(span.collect_on),
            day(span.return_on),
        ],
    }
}

impl LoanForm {
    /// What a field holds, by its name.
    pub fn value(&self, name: &str) -> String {
        let mut fields = FORM.into_iter().chain(CHOICES);
        fields.find(|field| field.name == name).map(|field| (field.of)(self).clone()).unwrap_or_default()
    }

    /// The likely answers for a new loan.
    pub fn fresh(person: &str) -> Self {
        let open = || Free::Open.to_string();
        Self {
            lender: person.to_owned(),
            kind: Kind::Clock.to_string(),
            burn_free: open(),
            rain_free: open(),
            insured: Insured::Open.to_string(),
            ..Self::default()
        }
    }

    pub fn of(loan: &Loan, event: &Event) -> Self {
        let details = &loan.details;
        let time = |at: Option<Time>| at.map(words::iso_time).unwrap_or_default();
        let [burn_free, burn_from, burn_until, burn_collect, burn_return] =
            typed(details.agreed.get(&event.details.burn_on));
        let [rain_free, rain_from, rain_until, rain_collect, rain_return] =
            typed(event.details.rain_on.and_then(|on| details.agreed.get(&on)));
        Self {
            what: details.what.clone(),
            kind: details.kind.to_string(),
            serial: details.serial.clone(),
            lender: details.lender_id.to_string(),
            is_school: tick(details.is_school),
            lender_contact: details.lender_contact.clone(),
            our_contact: details.our_contact.clone(),
            burn_free,
            burn_from,
            burn_until,
            burn_collect,
            burn_return,
            rain_free,
            rain_from,
            rain_until,
            rain_collect,
            rain_return,
            collect_place: details.collect.place.clone(),
            collect_time: time(details.collect.at),
            collect_by: details.collect.by.clone(),
            return_place: details.bring.place.clone(),
            return_time: time(details.bring.at),
            return_by: details.bring.by.clone(),
            transport: details.transport.clone(),
            power: details.power.clone(),
            connector: details.connector.clone(),
            operator: details.operator.clone(),
            training: details.training.clone(),
            value: details.value.map(Cents::typed).unwrap_or_default(),
            insured: details.insured.to_string(),
            certificate: details.certificate.clone(),
            task: number(details.task_id),
            is_single: tick(details.is_single),
            backup_id: number(details.backup_id),
            backup: details.backup.clone(),
            same_as: number(details.same_as),
            stands: details.stands.clone(),
            distance: details.distance_ft.map(|feet| feet.to_string()).unwrap_or_default(),
            checks: details.checklist.typed_checks(),
            accessories: details.checklist.typed_accessories(),
            notes: details.notes.clone(),
            request: 0,
            version: loan.version,
        }
    }

    /// What was typed, checked, except for the lender, who may be new: that number is 0 until
    /// someone is chosen. What was agreed for dates the event no longer has stays as it was.
    pub fn read(&self, event: &Event, old: Option<&Loan>) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let lender: i64 = self.lender.trim().parse().unwrap_or_default();
        let what = mistakes.note("what", form::line(&self.what, 100)).unwrap_or_default();
        let kind = mistakes.note("kind", self.kind.parse()).unwrap_or(Kind::Other);
        let mut agreed: BTreeMap<Date, Agreed> = old.map(|old| old.details.agreed.clone()).unwrap_or_default();
        for (on, which) in [(Some(event.details.burn_on), "burn"), (event.details.rain_on, "rain")] {
            let Some(on) = on else { continue };
            match self.agreed(on, which == "rain", &mut mistakes) {
                Some(new) => agreed.insert(on, new),
                None => agreed.remove(&on),
            };
        }
        let details = Details {
            serial: line(&mut mistakes, "serial", &self.serial, 60),
            is_school: self.is_school == "yes",
            lender_contact: line(&mut mistakes, "lender_contact", &self.lender_contact, 100),
            our_contact: line(&mut mistakes, "our_contact", &self.our_contact, 100),
            agreed,
            collect: Trip {
                place: line(&mut mistakes, "collect_place", &self.collect_place, 150),
                at: time(&mut mistakes, "collect_time", &self.collect_time),
                by: line(&mut mistakes, "collect_by", &self.collect_by, 100),
            },
            bring: Trip {
                place: line(&mut mistakes, "return_place", &self.return_place, 150),
                at: time(&mut mistakes, "return_time", &self.return_time),
                by: line(&mut mistakes, "return_by", &self.return_by, 100),
            },
            transport: line(&mut mistakes, "transport", &self.transport, 150),
            power: line(&mut mistakes, "power", &self.power, 100),
            connector: line(&mut mistakes, "connector", &self.connector, 100),
            operator: line(&mut mistakes, "operator", &self.operator, 100),
            training: line(&mut mistakes, "training", &self.training, 150),
            value: optional(&mut mistakes, "value", &self.value, |text| Cents::read(text).and_then(some)),
            insured: mistakes.note("insured", self.insured.parse()).unwrap_or(Insured::Open),
            certificate: line(&mut mistakes, "certificate", &self.certificate, 150),
            task_id: optional(&mut mistakes, "task", &self.task, id),
            is_single: self.is_single == "yes",
            backup_id: optional(&mut mistakes, "backup_id", &self.backup_id, id),
            backup: line(&mut mistakes, "backup", &self.backup, 150),
            same_as: optional(&mut mistakes, "same_as", &self.same_as, id),
            stands: line(&mut mistakes, "stands", &self.stands, 150),
            distance_ft: optional(&mut mistakes, "distance", &self.distance, |text| form::number(text, 1, 10_000)),
            checklist: self.checklist(kind, &mut mistakes),
            notes: mistakes.note("notes", form::paragraph(&self.notes, 2_000)).unwrap_or_default(),
            ..Details::of(&what, kind, lender)
        };
        if mistakes.is_empty() { Ok(details) } else { Err(mistakes) }
    }

    /// What is checked and counted; the standard list if nothing was typed.
    fn checklist(&self, kind: Kind, mistakes: &mut Mistakes) -> Checklist {
        if self.checks.trim().is_empty() && self.accessories.trim().is_empty() {
            return condition::usual(kind);
        }
        let text = |text: &str| form::paragraph(text, 2_000);
        let checks = mistakes.note("checks", text(&self.checks).and_then(|text| condition::read_checks(&text)));
        let counted = text(&self.accessories).and_then(|text| condition::read_accessories(&text));
        let accessories = mistakes.note("accessories", counted);
        Checklist { checks: checks.unwrap_or_default(), accessories: accessories.unwrap_or_default() }
    }

    /// What was agreed for one date; `None` if nothing was, or after a mistake.
    fn agreed(&self, on: Date, is_rain: bool, mistakes: &mut Mistakes) -> Option<Agreed> {
        let (typed, names): ([&String; 5], [&'static str; 5]) = if is_rain {
            (
                [&self.rain_free, &self.rain_from, &self.rain_until, &self.rain_collect, &self.rain_return],
                ["rain_free", "rain_from", "rain_until", "rain_collect", "rain_return"],
            )
        } else {
            (
                [&self.burn_free, &self.burn_from, &self.burn_until, &self.burn_collect, &self.burn_return],
                ["burn_free", "burn_from", "burn_until", "burn_collect", "burn_return"],
            )
        };
        let free = mistakes.note(names[0], typed[0].parse::<Free>())?;
        if free != Free::Free {
            if typed[1..].iter().any(|text| !text.trim().is_empty()) {
                mistakes.add(names[0], "Choose “available”, or clear the dates below.");
            }
            return (free == Free::NotFree).then_some(Agreed::NotFree);
        }
        let from_on = mistakes.note(names[1], form::day(typed[1]));
        let until_on = mistakes.note(names[2], form::day(typed[2]));
        let collect_on = optional(mistakes, names[3], typed[3], form::day);
        let return_on = optional(mistakes, names[4], typed[4], form::day);
        let (from_on, until_on) = (from_on?, until_on?);
        if from_on > on {
            mistakes
                .add(names[1], format!("This is after {}. Choose that day or an earlier one.", Reader::App.day(on)));
        }
        if until_on < on {
            mistakes.add(names[2], format!("This is before {}. Choose that day or a later one.", Reader::App.day(on)));
        }
        if collect_on.is_some_and(|day| day < from_on || day > on) {
            mistakes.add(names[3], format!("Choose a day from the first day to {}.", Reader::App.day(on)));
        }
        if return_on.is_some_and(|day| day < on || day > until_on) {
            mistakes.add(names[4], format!("Choose a day from {} to the last day.", Reader::App.day(on)));
        }
        Some(Agreed::Free(Span { from_on, until_on, collect_on, return_on }))
    }
}

fn line(mistakes: &mut Mistakes, name: &'static str, text: &str, most: usize) -> String {
    mistakes.note(name, form::optional_line(text, most)).unwrap_or_default()
}

fn time(mistakes: &mut Mistakes, name: &'static str, text: &str) -> Option<Time> {
    optional(mistakes, name, text, form::time_of_day)
}

fn optional<T>(
    mistakes: &mut Mistakes,
    name: &'static str,
    text: &str,
    read: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    if text.trim().is_empty() { None } else { mistakes.note(name, read(text)) }
}

fn id(text: &str) -> Result<i64, String> {
    text.trim().parse().map_err(|_| "Choose one from the list.".to_owned())
}

fn some(amount: Cents) -> Result<Cents, String> {
    if amount == Cents::default() { Err("Give an amount above $0.".to_owned()) } else { Ok(amount) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::events::{self, Format, Weekdays};
    use crate::zone::Zone;
    use time::macros::{date, time};

    fn event() -> Event {
        let details = events::Details {
            name: "Two Rooms".to_owned(),
            site: String::new(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 01 - 02),
            burn_time: time!(10:00),
            rain_on: Some(date!(2027 - 01 - 09)),
            format: Format::OneAtATime,
            audience: None,
            weekdays: Weekdays::new([time::Weekday::Saturday]).unwrap(),
            visitors: crate::events::VisitorFacts::default(),
        };
        Event { id: 1, details, date_revision: 1, facts_revision: 1, is_current: true, version: 1 }
    }

    fn typed() -> LoanForm {
        let text = str::to_owned;
        LoanForm {
            what: text("sports clock"),
            serial: text("MS-0412"),
            is_school: text("yes"),
            lender_contact: text("Coach Bell"),
            burn_free: text("free"),
            burn_from: text("2026-12-30"),
            burn_until: text("2027-01-04"),
            burn_collect: text("2026-12-31"),
            burn_return: text("2027-01-04"),
            rain_free: text("not free"),
            collect_place: text("Gym door"),
            collect_time: text("15:30"),
            value: text("1850.00"),
            insured: text("by us"),
            is_single: text("yes"),
            backup: text("hand timers"),
            distance: text("60"),
            checks: text("screen: whole"),
            accessories: text("remote: 1\ncable: 2"),
            ..LoanForm::fresh("7")
        }
    }

    fn loan(details: Details) -> Loan {
        let (person, organization) = (String::new(), String::new());
        let (lender_contact_id, our_contact_id, request_id) = (None, None, None);
        let (steps, records) = (Vec::new(), Vec::new());
        Loan {
            id: 1,
            event_id: 1,
            details,
            person,
            organization,
            lender_contact_id,
            our_contact_id,
            request_id,
            steps,
            records,
            version: 0,
        }
    }

    #[test]
    fn a_form_reads_back_as_it_was_typed() {
        let details = typed().read(&event(), None).unwrap();
        let again = LoanForm::of(&loan(details.clone()), &event());
        for field in FORM.iter().chain(&CHOICES) {
            assert_eq!((field.of)(&again), (field.of)(&typed()), "{}", field.name);
        }
        assert_eq!(again.read(&event(), None), Ok(details));
    }

    #[test]
    fn days_must_hold_the_day_they_are_for() {
        let form = LoanForm {
            burn_from: "2027-01-03".to_owned(),
            burn_until: "2027-01-01".to_owned(),
            burn_collect: "2026-12-01".to_owned(),
            burn_return: "2027-01-08".to_owned(),
            rain_from: "2027-01-08".to_owned(),
            ..typed()
        };
        let mistakes = form.read(&event(), None).unwrap_err();
        for field in ["burn_from", "burn_until", "burn_collect", "burn_return", "rain_free"] {
            assert!(!mistakes.of(field).is_empty(), "{field}");
        }
        assert_eq!(mistakes.count(), 5);
    }

    #[test]
    fn what_was_agreed_for_a_date_that_is_no_more_stays() {
        let old = loan(typed().read(&event(), None).unwrap());
        let mut moved = event();
        (moved.details.burn_on, moved.details.rain_on) = (date!(2027 - 01 - 16), None);
        let form = LoanForm::of(&old, &moved);
        assert_eq!((form.burn_free.as_str(), form.burn_from.as_str()), ("not agreed yet", ""));
        let details = form.read(&moved, Some(&old)).unwrap();
        assert_eq!(details.agreed, old.details.agreed);
    }

    #[test]
    fn an_empty_list_is_the_usual_one_of_its_sort() {
        let form = LoanForm { checks: String::new(), accessories: "\n".to_owned(), ..typed() };
        assert_eq!(form.read(&event(), None).unwrap().checklist, condition::usual(Kind::Clock));
    }

    #[test]
    fn odd_values_get_a_message_each() {
        let wrong = |text: &str| text.to_owned();
        let form = LoanForm {
            what: wrong(""),
            kind: wrong("spaceship"),
            value: wrong("0"),
            insured: wrong("by magic"),
            distance: wrong("0"),
            collect_time: wrong("25:00"),
            checks: wrong(": whole"),
            accessories: wrong("cable: many"),
            task: wrong("x"),
            ..typed()
        };
        let mistakes = form.read(&event(), None).unwrap_err();
        assert_eq!(mistakes.count(), 9, "{mistakes:?}");
    }
}
