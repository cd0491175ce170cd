//! The usual plan, copied into a new event.

use super::entry::entry;
use super::rows::{insert, insert_link};
use crate::calc::calendar::Basis;
use crate::countdown::{Details, LinkTo, template};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::permit_records;
use crate::web::words;
use time::OffsetDateTime;

/// Copies the template into a new event, with a record for each usual permit.
pub async fn add_template(tx: &mut Tx, actor: Actor, event_id: i64, now: OffsetDateTime) -> Result<()> {
    let mut ids = Vec::new();
    for entry in template::tasks() {
        let details = Details {
            strand: entry.strand,
            title: entry.title.clone(),
            takes: entry.takes.clone(),
            owner: entry.owner,
            person: None,
            lead: entry.lead(),
            duration: entry.duration,
            basis: entry.basis.basis(),
            rain: entry.rain,
            links: Vec::new(),
        };
        ids.push(insert(tx, event_id, Some(&entry.key), &details, now).await?);
    }
    for (later, earlier, lag) in template::links() {
        insert_link(tx, ids[later], &LinkTo { earlier: ids[earlier], lag, basis: Basis::Calendar }).await?;
    }
    let title = words::count(ids.len(), "task from the usual plan", "tasks from the usual plan");
    record(tx, now, Entry { subject_id: None, ..entry(actor, "added", event_id, 0, &title) });
    let task_of = |key: &str| template::place(key).map(|place| ids[place]);
    permit_records::add_usual(tx, actor, event_id, task_of, now).await?;
    Ok(())
}
