//! A row of the table: how it is read and written, column by column.

use super::kept::{hour, known};
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::loans::agreed::AgreedDates;
use crate::loans::checklist::Checklist;
use crate::loans::choices::{Insured, Kind};
use crate::loans::details::{Details, Trip};
use crate::loans::loan::Loan;
use crate::web::money::Cents;
use crate::web::words;
use sqlx::SqliteConnection;

/// A row of the table, with the names of the people in it.
pub(super) struct Row {
    pub id: i64,
    event_id: i64,
    what: String,
    kind: String,
    serial: String,
    lender_id: i64,
    person: String,
    organization: Option<String>,
    is_school: i64,
    lender_contact_id: Option<i64>,
    lender_contact: Option<String>,
    our_contact_id: Option<i64>,
    our_contact: Option<String>,
    request_id: Option<i64>,
    same_as: Option<i64>,
    collect_place: String,
    collect_time: Option<String>,
    collect_by: String,
    return_place: String,
    return_time: Option<String>,
    return_by: String,
    transport: String,
    power: String,
    connector: String,
    operator: String,
    training: String,
    value_cents: Option<i64>,
    insured: String,
    certificate: String,
    task_id: Option<i64>,
    is_single: i64,
    backup_id: Option<i64>,
    backup: String,
    stands: String,
    distance_ft: Option<i64>,
    checks: String,
    accessories: String,
    notes: String,
    version: i64,
}

impl Row {
    /// The loan, still without its dates, steps, and records.
    pub(super) fn loan(self) -> Result<Loan> {
        let trip = |place: String, at: Option<String>, by: String| {
            Ok::<_, Error>(Trip { place, at: at.as_deref().map(hour).transpose()?, by })
        };
        let details = Details {
            what: self.what,
            kind: known::<Kind>(&self.kind, "type")?,
            serial: self.serial,
            lender_id: self.lender_id,
            is_school: self.is_school != 0,
            lender_contact: self.lender_contact.unwrap_or_default(),
            our_contact: self.our_contact.unwrap_or_default(),
            agreed: AgreedDates::default(),
            collect: trip(self.collect_place, self.collect_time, self.collect_by)?,
            bring: trip(self.return_place, self.return_time, self.return_by)?,
            transport: self.transport,
            power: self.power,
            connector: self.connector,
            operator: self.operator,
            training: self.training,
            value: self.value_cents.map(Cents::new),
            insured: known::<Insured>(&self.insured, "insurance")?,
            certificate: self.certificate,
            task_id: self.task_id,
            is_single: self.is_single != 0,
            backup_id: self.backup_id,
            backup: self.backup,
            same_as: self.same_as,
            stands: self.stands,
            distance_ft: self.distance_ft.map(u32::try_from).transpose()?,
            checklist: Checklist {
                checks: serde_json::from_str(&self.checks)?,
                accessories: serde_json::from_str(&self.accessories)?,
            },
            notes: self.notes,
        };
        Ok(Loan {
            id: self.id,
            event_id: self.event_id,
            details,
            person: self.person,
            organization: self.organization.unwrap_or_default(),
            lender_contact_id: self.lender_contact_id,
            our_contact_id: self.our_contact_id,
            request_id: self.request_id,
            steps: Vec::new(),
            records: Vec::new(),
            version: self.version,
        })
    }
}

/// The rows with these numbers, a JSON array; oldest first.
pub(super) async fn rows(db: &mut SqliteConnection, ids: &str) -> Result<Vec<Row>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select l.id as "id!", l.event_id, l.what, l.kind, l.serial, l.lender_id, p.name as person,
                  o.name as "organization?", l.is_school, l.lender_contact_id, t.name as "lender_contact?", l.our_contact_id,
                  k.name as "our_contact?", l.request_id, l.same_as, l.collect_place, l.collect_time, l.collect_by,
                  l.return_place, l.return_time, l.return_by, l.transport, l.power, l.connector, l.operator, l.training,
                  l.value_cents, l.insured, l.certificate, l.task_id, l.is_single, l.backup_id, l.backup, l.stands,
                  l.distance_ft, l.checks, l.accessories, l.notes, l.version
           from loan l join person p on p.id = l.lender_id left join organization o on o.id = p.organization_id
                left join person t on t.id = l.lender_contact_id left join person k on k.id = l.our_contact_id
           where l.id in (select value from json_each(?)) order by l.id"#,
        ids
    );
    Ok(rows.fetch_all(db).await?)
}

/// The people named in a loan, by number.
#[derive(Debug, Clone, Copy)]
pub(super) struct Contacts {
    pub lender_contact_id: Option<i64>,
    pub our_contact_id: Option<i64>,
}

/// Writes everything that people enter.
pub(super) async fn put(tx: &mut Tx, id: i64, new: &Details, contacts: Contacts) -> Result<()> {
    let Contacts { lender_contact_id, our_contact_id } = contacts;
    let (kind, insured) = (new.kind.as_str(), new.insured.as_str());
    let (collect_time, return_time) = (new.collect.at.map(words::iso_time), new.bring.at.map(words::iso_time));
    let value = new.value.map(Cents::get);
    let checks = serde_json::to_string(&new.checklist.checks)?;
    let accessories = serde_json::to_string(&new.checklist.accessories)?;
    sqlx::query!(
        "update loan set what = ?, kind = ?, serial = ?, lender_id = ?, is_school = ?, lender_contact_id = ?, our_contact_id = ?,
                         same_as = ?, collect_place = ?, collect_time = ?, collect_by = ?, return_place = ?,
                         return_time = ?, return_by = ?, transport = ?, power = ?, connector = ?, operator = ?,
                         training = ?, value_cents = ?, insured = ?, certificate = ?, task_id = ?, is_single = ?,
                         backup_id = ?, backup = ?, stands = ?, distance_ft = ?, checks = ?, accessories = ?, notes = ?,
                         version = version + 1
         where id = ?",
        new.what,
        kind,
        new.serial,
        new.lender_id,
        new.is_school,
        lender_contact_id,
        our_contact_id,
        new.same_as,
        new.collect.place,
        collect_time,
        new.collect.by,
        new.bring.place,
        return_time,
        new.bring.by,
        new.transport,
        new.power,
        new.connector,
        new.operator,
        new.training,
        value,
        insured,
        new.certificate,
        new.task_id,
        new.is_single,
        new.backup_id,
        new.backup,
        new.stands,
        new.distance_ft,
        checks,
        accessories,
        new.notes,
        id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
