//! The records as they are stored.

use super::Refused;
use crate::calc::notice;
use crate::error::{Error, Result};
use crate::permit_records::{
    CountedWhen, DayKind, Details, KnownRules, Learned, Permit, PermitId, Rule, RuleKind, Sending,
};
use anyhow::{Context, anyhow};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use std::str::FromStr;
use time::macros::format_description;
use time::{Date, Time};

struct Row {
    id: i64,
    event_id: i64,
    task_id: Option<i64>,
    key: Option<String>,
    kind: String,
    title: String,
    authority: String,
    person_id: Option<i64>,
    person: Option<String>,
    phone: String,
    mail: String,
    number: String,
    rule: String,
    notice_days: Option<i64>,
    notice_basis: Option<String>,
    counted_when: Option<String>,
    delivery_days: Option<i64>,
    dates_on_it: Option<String>,
    learned_by: String,
    learned_on: Option<Date>,
    granted_on: Option<Date>,
    expires_on: Option<Date>,
    conditions: String,
    read_back_on: Option<Date>,
    read_back_by: Option<String>,
    notes: String,
    version: i64,
}

fn known<T: FromStr<Err = String>>(text: Option<&str>) -> Result<T> {
    text.unwrap_or_default().parse().map_err(|wrong| Error::Internal(anyhow!("a permit in the store: {wrong}")))
}

impl Row {
    fn permit(self, sendings: Vec<Sending>) -> Result<Permit> {
        let learned = || Learned { by: self.learned_by.clone(), on: self.learned_on };
        let rule = match known::<RuleKind>(Some(&self.rule))? {
            RuleKind::NotAsked => Rule::NotAsked,
            RuleKind::None => Rule::None(learned()),
            RuleKind::Days => Rule::Days {
                rule: notice::Rule {
                    days: u16::try_from(self.notice_days.unwrap_or(0))?,
                    basis: known::<DayKind>(self.notice_basis.as_deref())?.basis(),
                    counted: known::<CountedWhen>(self.counted_when.as_deref())?.counted(),
                    delivery: u16::try_from(self.delivery_days.unwrap_or(0))?,
                },
                dates: known(self.dates_on_it.as_deref())?,
                learned: learned(),
            },
        };
        Ok(Permit {
            id: self.id,
            event_id: self.event_id,
            key: self.key,
            details: Details {
                kind: known(Some(&self.kind))?,
                title: self.title,
                task_id: self.task_id,
                authority: self.authority,
                person: self.person,
                phone: self.phone,
                mail: self.mail,
                number: self.number,
                rule,
                granted_on: self.granted_on,
                expires_on: self.expires_on,
                conditions: self.conditions,
                notes: self.notes,
            },
            person_id: self.person_id,
            sendings,
            read_back: self.read_back_on.map(|on| (on, self.read_back_by.unwrap_or_default())),
            version: self.version,
        })
    }
}

/// All records of an event, in the order they were added.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Permit>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select p.id as "id!", p.event_id, p.task_id, p.key, p.kind, p.title, p.authority, p.person_id,
                  c.name as "person?", p.phone, p.mail, p.number, p.rule, p.notice_days, p.notice_basis, p.counted_when, p.delivery_days,
                  p.dates_on_it, p.learned_by, p.learned_on as "learned_on: Date",
                  p.granted_on as "granted_on: Date", p.expires_on as "expires_on: Date", p.conditions,
                  p.read_back_on as "read_back_on: Date", b.name as "read_back_by?", p.notes, p.version
           from permit p left join account a on a.id = p.read_back_by left join person b on b.id = a.person_id
                left join person c on c.id = p.person_id
           where p.event_id = ? order by p.id"#,
        event_id
    );
    let rows = rows.fetch_all(&mut *db).await?;
    let sent = sqlx::query!(
        r#"select s.id as "id!", s.permit_id, s.sent_on as "sent_on: Date", s.received_on as "received_on: Date", s.site,
                  s.burn_time, d.named_on as "named_on: Date"
           from permit_sending s join permit p on p.id = s.permit_id left join permit_date d on d.sending_id = s.id
           where p.event_id = ? order by s.id, d.named_on"#,
        event_id
    );
    let mut sendings: HashMap<i64, Vec<Sending>> = HashMap::new();
    for row in sent.fetch_all(db).await? {
        let of_permit = sendings.entry(row.permit_id).or_default();
        if of_permit.last().is_none_or(|last| last.id != row.id) {
            let burn_time = Time::parse(&row.burn_time, format_description!("[hour]:[minute]")).context("an hour")?;
            let (sent_on, received_on, site) = (row.sent_on, row.received_on, row.site);
            of_permit.push(Sending { id: row.id, names: Vec::new(), sent_on, received_on, site, burn_time });
        }
        if let (Some(last), Some(day)) = (of_permit.last_mut(), row.named_on) {
            last.names.push(day);
        }
    }
    rows.into_iter()
        .map(|row| {
            let sendings = sendings.remove(&row.id).unwrap_or_default();
            row.permit(sendings)
        })
        .collect()
}

/// One record of an event.
pub async fn find(db: &mut SqliteConnection, which: PermitId) -> Result<Option<Permit>> {
    Ok(of_event(db, which.event_id).await?.into_iter().find(|permit| permit.id == which.id))
}

/// The record, unless it is gone or no longer in this version.
pub(super) async fn unchanged(
    db: &mut SqliteConnection,
    which: PermitId,
    version: i64,
) -> Result<Result<Permit, Refused>> {
    Ok(match find(db, which).await? {
        None => Err(Refused::Gone),
        Some(permit) if permit.version != version => Err(Refused::Stale),
        Some(permit) => Ok(permit),
    })
}

/// The rule of each usual record that the department knows from its events; if there are
/// several, the one someone asked about last.
pub async fn known_rules(db: &mut SqliteConnection) -> Result<KnownRules> {
    let events = sqlx::query_scalar!(
        r#"select distinct event_id as "id!" from permit where key is not null and rule <> 'not yet asked' order by 1"#
    );
    let mut known = KnownRules::new();
    for event_id in events.fetch_all(&mut *db).await? {
        for permit in of_event(db, event_id).await? {
            let (Some(key), Some(learned)) = (permit.key, permit.details.rule.learned()) else { continue };
            let newer = |old: &Details| old.rule.learned().is_none_or(|old| old.on <= learned.on);
            if known.get(&key).is_none_or(newer) {
                known.insert(key, permit.details);
            }
        }
    }
    Ok(known)
}
