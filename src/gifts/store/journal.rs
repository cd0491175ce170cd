//! A gift as the journal keeps it.

use super::row::Columns;
use crate::db::journal::{Actor, Entry};
use crate::gifts::{Cents, Details, What};
use crate::web::words::Reader;
use serde_json::{Value as Json, json};
use time::Date;

/// The gift as the journal keeps it. The donor's name there is erased along with their
/// personal data.
pub(super) fn snapshot(details: &Details) -> Json {
    let columns = Columns::of(details);
    let day = |on: Option<Date>| on.map(|on| Reader::App.day(on));
    let money = |cents: Option<i64>| cents.map(|cents| Cents::new(cents).to_string());
    let basis = match &details.what {
        What::Goods { value: Some(value), .. } => Some(value.basis.label()),
        _ => None,
    };
    json!({
        "in the name of": details.in_name.label(),
        "given": columns.kind,
        "what": columns.what,
        "quantity": columns.quantity,
        "amount": money(columns.amount),
        "promised on": Reader::App.day(details.promised_on),
        "to be here by": day(details.promised_by),
        "state": columns.state,
        "received on": day(columns.received_on),
        "given in return": columns.in_return,
        "what was given in return": columns.return_what,
        "estimate of it": money(columns.return_cents),
        "naming the giver": columns.recognition,
        "credited as": details.credit.credited_as,
        "agreed on": day(details.credit.agreed_on),
        "logo": details.credit.logo,
        "value": money(columns.value_cents),
        "how we know it": basis,
        "value on": day(columns.value_on),
    })
}

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: i64, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "gift",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}
