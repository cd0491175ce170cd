use super::{
    Cents, Credit, Details, Gift, GiftState, GiftStatus, InReturn, Kind, MadeFrom, Receipt, Recognition, Returned,
    Value, What,
};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::web::words::Reader;
use anyhow::anyhow;
use serde_json::{Value as Json, json};
use sqlx::SqliteConnection;
use std::str::FromStr;
use time::{Date, OffsetDateTime};

struct Row {
    id: i64,
    event_id: i64,
    person_id: i64,
    person: String,
    organization: Option<String>,
    in_name: String,
    kind: String,
    what: String,
    quantity: String,
    amount_cents: Option<i64>,
    promised_on: Date,
    promised_by: Option<Date>,
    state: String,
    received_on: Option<Date>,
    taken_by: String,
    in_return: String,
    return_what: String,
    return_cents: Option<i64>,
    recognition: String,
    credited_as: String,
    agreed_by: String,
    agreed_on: Option<Date>,
    logo: String,
    value_cents: Option<i64>,
    value_basis: Option<String>,
    value_on: Option<Date>,
    value_by: String,
    notes: String,
    version: i64,
}

fn unknown(what: &str) -> Error {
    Error::Internal(anyhow!("a gift without {what} that fits in the store"))
}

fn known<T: FromStr>(text: &str, what: &str) -> Result<T> {
    text.parse().map_err(|_| unknown(what))
}

impl Row {
    fn gift(self) -> Result<Gift> {
        let (what, status, returned) = (self.what()?, self.status()?, self.returned()?);
        let credit = Credit {
            recognition: known::<Recognition>(&self.recognition, "recognition")?,
            credited_as: self.credited_as,
            agreed_by: self.agreed_by,
            agreed_on: self.agreed_on,
            logo: self.logo,
        };
        let details = Details {
            person_id: self.person_id,
            in_name: known(&self.in_name, "a name it is given in")?,
            what,
            promised_on: self.promised_on,
            promised_by: self.promised_by,
            status,
            returned,
            credit,
            notes: self.notes,
        };
        let organization = self.organization.unwrap_or_default();
        let (id, event_id, person, version) = (self.id, self.event_id, self.person, self.version);
        Ok(Gift { id, event_id, person, organization, details, version })
    }

    fn what(&self) -> Result<What> {
        if known::<Kind>(&self.kind, "a kind")? == Kind::Money {
            let amount = self.amount_cents.ok_or_else(|| unknown("an amount"))?;
            return Ok(What::Money { amount: Cents::new(amount), purpose: self.what.clone() });
        }
        let value = match (self.value_cents, &self.value_basis, self.value_on) {
            (Some(worth), Some(basis), Some(on)) => {
                let by = self.value_by.clone();
                Some(Value { worth: Cents::new(worth), basis: known(basis, "a basis")?, on, by })
            }
            _ => None,
        };
        Ok(What::Goods { description: self.what.clone(), quantity: self.quantity.clone(), value })
    }

    fn status(&self) -> Result<GiftStatus> {
        Ok(match known::<GiftState>(&self.state, "a state")? {
            GiftState::Promised => GiftStatus::Promised,
            GiftState::NotComing => GiftStatus::NotComing,
            GiftState::Received => {
                let on = self.received_on.ok_or_else(|| unknown("a day"))?;
                GiftStatus::Received { on, taken_by: self.taken_by.clone() }
            }
        })
    }

    fn returned(&self) -> Result<Returned> {
        Ok(match known::<InReturn>(&self.in_return, "what was given in return")? {
            InReturn::Unsaid => Returned::Unsaid,
            InReturn::Nothing => Returned::Nothing,
            InReturn::Something => {
                let estimate = Cents::new(self.return_cents.ok_or_else(|| unknown("an estimate"))?);
                Returned::Something { what: self.return_what.clone(), estimate }
            }
        })
    }
}

/// The columns of a gift as stored.
struct Columns {
    in_name: &'static str,
    kind: &'static str,
    what: String,
    quantity: String,
    amount: Option<i64>,
    state: &'static str,
    received_on: Option<Date>,
    taken_by: String,
    in_return: &'static str,
    return_what: String,
    return_cents: Option<i64>,
    recognition: &'static str,
    value_cents: Option<i64>,
    value_basis: Option<&'static str>,
    value_on: Option<Date>,
    value_by: String,
}

impl Columns {
    fn of(details: &Details) -> Self {
        let (amount, what, quantity, value) = match &details.what {
            What::Money { amount, purpose } => (Some(amount.get()), purpose.clone(), String::new(), None),
            What::Goods { description, quantity, value } => {
                (None, description.clone(), quantity.clone(), value.as_ref())
            }
        };
        let (received_on, taken_by) = match &details.status {
            GiftStatus::Received { on, taken_by } => (Some(*on), taken_by.clone()),
            GiftStatus::Promised | GiftStatus::NotComing => (None, String::new()),
        };
        let (in_return, return_what, return_cents) = match &details.returned {
            Returned::Unsaid => (InReturn::Unsaid, String::new(), None),
            Returned::Nothing => (InReturn::Nothing, String::new(), None),
            Returned::Something { what, estimate } => (InReturn::Something, what.clone(), Some(estimate.get())),
        };
        Self {
            in_name: details.in_name.as_str(),
            kind: details.what.kind().as_str(),
            what,
            quantity,
            amount,
            state: details.status.state().as_str(),
            received_on,
            taken_by,
            in_return: in_return.as_str(),
            return_what,
            return_cents,
            recognition: details.credit.recognition.as_str(),
            value_cents: value.map(|value| value.worth.get()),
            value_basis: value.map(|value| value.basis.as_str()),
            value_on: value.map(|value| value.on),
            value_by: value.map(|value| value.by.clone()).unwrap_or_default(),
        }
    }
}

/// All gifts to an event, oldest first.
///
/// # Errors
/// The store's.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Gift>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select g.id as "id!", g.event_id, g.person_id, p.name as person, o.name as "organization?", g.in_name, g.kind,
                  g.what, g.quantity, g.amount_cents, g.promised_on as "promised_on: Date",
                  g.promised_by as "promised_by: Date", g.state, g.received_on as "received_on: Date", g.taken_by,
                  g.in_return, g.return_what, g.return_cents, g.recognition, g.credited_as, g.agreed_by,
                  g.agreed_on as "agreed_on: Date", g.logo, g.value_cents, g.value_basis,
                  g.value_on as "value_on: Date", g.value_by, g.notes, g.version
           from gift g join person p on p.id = g.person_id left join organization o on o.id = p.organization_id
           where g.event_id = ? order by g.id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::gift).collect()
}

/// One gift to an event.
///
/// # Errors
/// The store's.
pub async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Gift>> {
    let row = sqlx::query_as!(
        Row,
        r#"select g.id as "id!", g.event_id, g.person_id, p.name as person, o.name as "organization?", g.in_name, g.kind,
                  g.what, g.quantity, g.amount_cents, g.promised_on as "promised_on: Date",
                  g.promised_by as "promised_by: Date", g.state, g.received_on as "received_on: Date", g.taken_by,
                  g.in_return, g.return_what, g.return_cents, g.recognition, g.credited_as, g.agreed_by,
                  g.agreed_on as "agreed_on: Date", g.logo, g.value_cents, g.value_basis,
                  g.value_on as "value_on: Date", g.value_by, g.notes, g.version
           from gift g join person p on p.id = g.person_id left join organization o on o.id = p.organization_id
           where g.id = ? and g.event_id = ?"#,
        id,
        event_id
    );
    row.fetch_optional(db).await?.map(Row::gift).transpose()
}

/// The gift as the journal keeps it. The donor's name there is erased along with their
/// personal data.
fn snapshot(details: &Details) -> Json {
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

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: i64, title: &'a str) -> Entry<'a> {
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

/// Adds a gift.
///
/// # Errors
/// The store's.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let columns = Columns::of(details);
    let credit = &details.credit;
    let id = sqlx::query!(
        "insert into gift (event_id, person_id, in_name, kind, what, quantity, amount_cents, promised_on, promised_by,
                           state, received_on, taken_by, in_return, return_what, return_cents, recognition, credited_as,
                           agreed_by, agreed_on, logo, value_cents, value_basis, value_on, value_by, notes)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        details.person_id,
        columns.in_name,
        columns.kind,
        columns.what,
        columns.quantity,
        columns.amount,
        details.promised_on,
        details.promised_by,
        columns.state,
        columns.received_on,
        columns.taken_by,
        columns.in_return,
        columns.return_what,
        columns.return_cents,
        columns.recognition,
        credit.credited_as,
        credit.agreed_by,
        credit.agreed_on,
        credit.logo,
        columns.value_cents,
        columns.value_basis,
        columns.value_on,
        columns.value_by,
        details.notes
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    let title = details.what.says();
    record(tx, now, Entry { after: Some(snapshot(details)), ..entry(actor, "added", event_id, id, &title) });
    Ok(id)
}

/// Changes a gift. False if someone else did in the meantime, or it is gone.
///
/// # Errors
/// The store's.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    new: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    let columns = Columns::of(new);
    let credit = &new.credit;
    sqlx::query!(
        "update gift set person_id = ?, in_name = ?, kind = ?, what = ?, quantity = ?, amount_cents = ?, promised_on = ?,
                         promised_by = ?, state = ?, received_on = ?, taken_by = ?, in_return = ?, return_what = ?,
                         return_cents = ?, recognition = ?, credited_as = ?, agreed_by = ?, agreed_on = ?, logo = ?,
                         value_cents = ?, value_basis = ?, value_on = ?, value_by = ?, notes = ?, version = version + 1
         where id = ?",
        new.person_id,
        columns.in_name,
        columns.kind,
        columns.what,
        columns.quantity,
        columns.amount,
        new.promised_on,
        new.promised_by,
        columns.state,
        columns.received_on,
        columns.taken_by,
        columns.in_return,
        columns.return_what,
        columns.return_cents,
        columns.recognition,
        credit.credited_as,
        credit.agreed_by,
        credit.agreed_on,
        credit.logo,
        columns.value_cents,
        columns.value_basis,
        columns.value_on,
        columns.value_by,
        new.notes,
        id
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    let title = new.what.says();
    record(tx, now, Entry { before, after, ..entry(actor, "changed", event_id, id, &title) });
    Ok(true)
}

/// Saves that a promised gift was received. False if it is no longer promised.
///
/// # Errors
/// The store's.
pub async fn receive(
    tx: &mut Tx,
    actor: Actor,
    gift: &Gift,
    on: Date,
    taken_by: &str,
    now: OffsetDateTime,
) -> Result<bool> {
    let done = sqlx::query!(
        "update gift set state = 'received', received_on = ?, taken_by = ?, version = version + 1
         where id = ? and state = 'promised'",
        on,
        taken_by,
        gift.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let title = gift.details.what.says();
    let after = Some(json!({"received on": Reader::App.day(on), "state": "received"}));
    let before = Some(json!({"state": "promised"}));
    record(tx, now, Entry { before, after, ..entry(actor, "received", gift.event_id, gift.id, &title) });
    Ok(true)
}

/// A receipt that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Given {
    pub id: i64,
    pub way: String,
    /// Empty once the donor's personal data is erased.
    pub text: String,
    /// None if it isn't known, as for older ones.
    pub made_from: Option<MadeFrom>,
    pub at: OffsetDateTime,
    pub by: Option<String>,
    pub mail_id: Option<i64>,
}

/// The receipts for an event's gifts, each with the gift's number, newest first.
///
/// # Errors
/// The store's.
pub(super) async fn receipts(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<(i64, Given)>> {
    let rows = sqlx::query!(
        r#"select r.id as "id!", r.gift_id, r.way, r.text, r.made_from, r.at, r.mail_id, p.name as "by?"
           from receipt r join gift g on g.id = r.gift_id left join account a on a.id = r.by
                left join person p on p.id = a.person_id
           where g.event_id = ? order by r.id desc"#,
        event_id
    );
    let given = rows.fetch_all(db).await?.into_iter().map(|row| {
        let at = OffsetDateTime::from_unix_timestamp(row.at)?;
        let made_from = row.made_from.as_deref().map(serde_json::from_str).transpose()?;
        let given = Given { id: row.id, way: row.way, text: row.text, made_from, at, by: row.by, mail_id: row.mail_id };
        Ok((row.gift_id, given))
    });
    given.collect()
}

/// Saves what a receipt said, and how it reached the donor.
///
/// # Errors
/// The store's.
pub async fn add_receipt(
    tx: &mut Tx,
    by: i64,
    gift: &Gift,
    receipt: &Receipt,
    mail_id: Option<i64>,
    now: OffsetDateTime,
) -> Result<()> {
    let (text, made_from) = (receipt.text(), serde_json::to_string(&receipt.made_from)?);
    let (way, at) = (if mail_id.is_some() { "mail" } else { "on paper" }, now.unix_timestamp());
    sqlx::query!(
        "insert into receipt (gift_id, way, text, made_from, at, by, mail_id) values (?, ?, ?, ?, ?, ?, ?)",
        gift.id,
        way,
        text,
        made_from,
        at,
        by,
        mail_id
    )
    .execute(&mut **tx)
    .await?;
    let title = gift.details.what.says();
    let after = Some(json!({"way": way}));
    let entry = entry(Actor::Account(by), "gave a receipt for", gift.event_id, gift.id, &title);
    record(tx, now, Entry { after, ..entry });
    Ok(())
}

/// Stores what a receipt was made from.
///
/// # Errors
/// The store's.
pub(super) async fn put_made_from(tx: &mut Tx, id: i64, made_from: &MadeFrom) -> Result<()> {
    let made_from = serde_json::to_string(made_from)?;
    sqlx::query!("update receipt set made_from = ? where id = ?", made_from, id).execute(&mut **tx).await?;
    Ok(())
}
