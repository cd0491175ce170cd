//! The rows of records.

use crate::db::Tx;
use crate::error::Result;
use crate::people;
use crate::permit_records::{CountedWhen, DatesOnIt, DayKind, Details, Permit, Rule};
use time::{Date, OffsetDateTime};

/// The columns of a rule as they are written.
struct RuleColumns<'a> {
    rule: &'static str,
    days: Option<i64>,
    basis: Option<&'static str>,
    counted: Option<&'static str>,
    delivery: Option<i64>,
    dates: Option<&'static str>,
    learned_by: &'a str,
    learned_on: Option<Date>,
}

impl<'a> RuleColumns<'a> {
    fn of(rule: &'a Rule) -> Self {
        let days = match rule {
            Rule::Days { rule, dates, .. } => Some((rule, *dates)),
            Rule::NotAsked | Rule::None(_) => None,
        };
        let learned = rule.learned();
        Self {
            rule: rule.kind().as_str(),
            days: days.map(|(rule, _)| i64::from(rule.days)),
            basis: days.map(|(rule, _)| DayKind::of(rule.basis).as_str()),
            counted: days.map(|(rule, _)| CountedWhen::of(rule.counted).as_str()),
            delivery: days.map(|(rule, _)| i64::from(rule.delivery)),
            dates: days.map(|(_, dates): (_, DatesOnIt)| dates.as_str()),
            learned_by: learned.map_or("", |learned| &learned.by),
            learned_on: learned.and_then(|learned| learned.on),
        }
    }
}

/// The person a record names. If several have that name, the one it named before.
pub(super) async fn person_of(
    tx: &mut Tx,
    details: &Details,
    old: Option<&Permit>,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    match (&details.person, old) {
        (None, _) => Ok(None),
        (Some(name), Some(old)) if old.details.person.as_ref() == Some(name) => Ok(old.person_id),
        (Some(name), _) => Ok(Some(people::named(tx, name, now).await?)),
    }
}

/// Writes what people decided about a record into its row.
pub(super) async fn put(tx: &mut Tx, id: i64, details: &Details, person_id: Option<i64>) -> Result<()> {
    let (kind, rule) = (details.kind.as_str(), RuleColumns::of(&details.rule));
    sqlx::query!(
        "update permit set task_id = ?, kind = ?, title = ?, authority = ?, person_id = ?, phone = ?, mail = ?,
                number = ?, rule = ?, notice_days = ?, notice_basis = ?, counted_when = ?, delivery_days = ?,
                dates_on_it = ?, learned_by = ?, learned_on = ?, granted_on = ?, expires_on = ?, conditions = ?,
                notes = ? where id = ?",
        details.task_id,
        kind,
        details.title,
        details.authority,
        person_id,
        details.phone,
        details.mail,
        details.number,
        rule.rule,
        rule.days,
        rule.basis,
        rule.counted,
        rule.delivery,
        rule.dates,
        rule.learned_by,
        rule.learned_on,
        details.granted_on,
        details.expires_on,
        details.conditions,
        details.notes,
        id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Adds a row; a usual record has a key.
pub(super) async fn insert(
    tx: &mut Tx,
    event_id: i64,
    key: Option<&str>,
    details: &Details,
    now: OffsetDateTime,
) -> Result<i64> {
    let person_id = person_of(tx, details, None, now).await?;
    let kind = details.kind.as_str();
    let added = sqlx::query!(
        "insert into permit (event_id, key, kind, title, rule) values (?, ?, ?, ?, 'not yet asked')",
        event_id,
        key,
        kind,
        details.title
    );
    let id = added.execute(&mut **tx).await?.last_insert_rowid();
    put(tx, id, details, person_id).await?;
    Ok(id)
}
