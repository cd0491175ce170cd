//! What people enter about a loan, field by field. Everything but the store and the page of the
//! form goes through [`FIELDS`].

use super::agreed::{AgreedDates, BURN, RAIN};
use super::checklist::{self, Checklist};
use super::choices::{Insured, Kind};
use super::field::{Field, id, line, one_of, optional_one, text, tick};
use super::joined::joined;
use crate::web::form;
use crate::web::money::Cents;
use crate::web::words;
use serde_json::{Map, Value, json};
use time::Time;

/// A pickup or a return.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Trip {
    pub place: String,
    pub at: Option<Time>,
    /// Who drives.
    pub by: String,
}

/// What people enter about a loan. A field is here, in `FIELDS`, in the store's row, and in
/// the form.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Details {
    pub what: String,
    pub kind: Kind,
    pub serial: String,
    pub lender_id: i64,
    pub is_school: bool,
    /// The lender's contact, if that is someone else; may be empty.
    pub lender_contact: String,
    /// Our contact; may be empty.
    pub our_contact: String,
    pub agreed: AgreedDates,
    pub collect: Trip,
    pub bring: Trip,
    pub transport: String,
    pub power: String,
    pub connector: String,
    pub operator: String,
    pub training: String,
    pub value: Option<Cents>,
    pub insured: Insured,
    pub certificate: String,
    pub task_id: Option<i64>,
    /// There is only one, and the burn needs it.
    pub is_single: bool,
    /// The backup: another loan on the list, or in words.
    pub backup_id: Option<i64>,
    pub backup: String,
    pub same_as: Option<i64>,
    pub stands: String,
    pub distance_ft: Option<u32>,
    pub checklist: Checklist,
    pub notes: String,
}

/// One of the event's dates: the fields say how it is typed, and the form reads all five at
/// once.
macro_rules! date {
    ($part:ident, $name:ident, $label:literal) => {
        Field::new(
            ($part.$name, $label),
            |it: &Details, event| $part.typed($part.$name, &it.agreed, event),
            |_| Value::Null,
            |_, _| Ok(()),
        )
    };
}

/// A list of what is checked or counted, one per line.
macro_rules! list {
    ($name:ident, $label:literal, $typed:ident, $read:ident) => {
        Field::new(
            (stringify!($name), $label),
            |it: &Details, _| it.checklist.$typed(),
            |it| json!(it.checklist.$typed().replace('\n', "; ")),
            |it, text| {
                it.checklist.$name = checklist::$read(&form::paragraph(text, 2_000)?)?;
                Ok(())
            },
        )
    };
}

/// The fields of the form, in its order: how each is typed, read, named, and kept in the
/// journal. Names of people that the journal has are erased with their personal data.
pub(super) static FIELDS: &[Field<Details>] = &[
    text!("what", "Item", form::line, 100, what).in_journal("what"),
    one_of!("kind", "Type", kind, as_str).in_journal("type"),
    line!("serial", "Serial number", 60, serial).in_journal("serial number"),
    tick!("is_school", "A school", is_school).in_journal("school"),
    line!("lender_contact", "Their contact", 100, lender_contact),
    line!("our_contact", "Our contact", 100, our_contact),
    date!(BURN, free, "Burn day: available"),
    date!(BURN, from, "Burn day: first day"),
    date!(BURN, until, "Burn day: last day"),
    date!(BURN, collect, "Burn day: pickup date"),
    date!(BURN, bring, "Burn day: return date"),
    date!(RAIN, free, "Rain date: available"),
    date!(RAIN, from, "Rain date: first day"),
    date!(RAIN, until, "Rain date: last day"),
    date!(RAIN, collect, "Rain date: pickup date"),
    date!(RAIN, bring, "Rain date: return date"),
    line!("collect_place", "Pickup place", 150, collect.place),
    optional_one!("collect_time", "Pickup time", collect.at, words::iso_time, form::time_of_day),
    line!("collect_by", "Pickup driver", 100, collect.by),
    line!("return_place", "Return place", 150, bring.place),
    optional_one!("return_time", "Return time", bring.at, words::iso_time, form::time_of_day),
    line!("return_by", "Return driver", 100, bring.by),
    line!("transport", "Transport", 150, transport).in_journal("transport"),
    line!("power", "Power", 100, power).in_journal("power"),
    line!("connector", "Connector", 100, connector).in_journal("connector"),
    line!("operator", "Operator", 100, operator).in_journal("operator"),
    line!("training", "Training", 150, training).in_journal("training"),
    Field {
        value: |it| json!(it.value.map(|value| value.to_string())),
        ..optional_one!("value", "Agreed value", value, Cents::typed, amount).in_journal("value")
    },
    one_of!("insured", "Insured", insured, label).in_journal("insured"),
    line!("certificate", "Insurance certificate", 150, certificate),
    tick!("is_single", "There is only one", is_single).in_journal("only one"),
    line!("backup", "Other backup", 150, backup).in_journal("backup"),
    line!("stands", "Place on burn day", 150, stands).in_journal("place on burn day"),
    Field {
        value: |it| json!(it.distance_ft),
        ..optional_one!("distance", "Feet from the rooms", distance_ft, |feet| feet.to_string(), feet)
            .in_journal("feet from the rooms")
    },
    list!(checks, "Check", typed_checks, read_checks).in_journal("check"),
    list!(accessories, "Count", typed_accessories, read_accessories).in_journal("count"),
    text!("notes", "Notes", form::paragraph, 2_000, notes),
];

/// The fields that hold the number of another row. The lender may be new: that number is 0
/// until someone is chosen.
pub(super) static CHOICES: &[Field<Details>] = &[
    Field::new(
        ("lender", "Lender"),
        |it: &Details, _| it.lender_id.to_string(),
        |it| json!(it.lender_id),
        |it, text| {
            it.lender_id = text.trim().parse().unwrap_or_default();
            Ok(())
        },
    ),
    optional_one!("task", "Needed for", task_id, |id| id.to_string(), id),
    optional_one!("backup_id", "Backup", backup_id, |id| id.to_string(), id),
    optional_one!("same_as", "Same item as", same_as, |id| id.to_string(), id),
];

fn amount(text: &str) -> Result<Cents, String> {
    let amount = Cents::read(text)?;
    if amount == Cents::default() { Err("Give an amount above $0.".to_owned()) } else { Ok(amount) }
}

fn feet(text: &str) -> Result<u32, String> {
    form::number(text, 1, 10_000)
}

impl Details {
    /// A loan with only its name, type and lender.
    #[must_use]
    pub fn of(what: &str, kind: Kind, lender_id: i64) -> Self {
        Self { what: what.to_owned(), kind, lender_id, checklist: checklist::usual(kind), ..Self::default() }
    }

    /// What the loan's page and the agreement both say about using it.
    pub(super) fn facts_of_use(&self) -> [(&'static str, String); 4] {
        [
            ("Transport", self.transport.clone()),
            ("Power", joined([self.power.clone(), self.connector.clone()], ", ")),
            ("Operator", self.operator.clone()),
            ("Training", self.training.clone()),
        ]
    }

    /// The loan as the journal keeps it.
    pub(super) fn journal(&self) -> Value {
        let trip = |trip: &Trip| joined([trip.place.clone(), trip.at.map(words::iso_time).unwrap_or_default()], ", ");
        let agreed: Vec<String> = self.agreed.iter().map(|(on, agreed)| agreed.says(*on)).collect();
        let fields = FIELDS.iter().filter_map(|field| Some((field.journal?.to_owned(), (field.value)(self))));
        let mut all: Map<String, Value> = fields.collect();
        all.insert("agreed".to_owned(), json!(agreed.join("; ")));
        all.insert("pickup".to_owned(), json!(trip(&self.collect)));
        all.insert("return".to_owned(), json!(trip(&self.bring)));
        all.into()
    }
}
