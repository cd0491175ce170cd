//! Who has which position.

use super::journal::entry;
use crate::crew::{Assignment, Post, RuleOverride, Violation};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::people::Person;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

struct Row {
    id: i64,
    event_id: i64,
    post_id: i64,
    person_id: i64,
    is_standby: i64,
    request_id: Option<i64>,
    override_rules: String,
    override_keys: String,
    override_reason: String,
    override_by: Option<String>,
    override_at: Option<i64>,
}

impl Row {
    fn assignment(self) -> Result<Assignment> {
        let at = self.override_at.map(OffsetDateTime::from_unix_timestamp).transpose()?;
        let rule_override = at.map(|at| RuleOverride {
            rules: self.override_rules.lines().map(str::to_owned).collect(),
            keys: self.override_keys.lines().map(str::to_owned).collect(),
            reason: self.override_reason,
            by: self.override_by.unwrap_or_default(),
            at,
        });
        Ok(Assignment {
            id: self.id,
            event_id: self.event_id,
            post_id: self.post_id,
            person_id: self.person_id,
            is_standby: self.is_standby != 0,
            request_id: self.request_id,
            rule_override,
        })
    }
}

/// Everyone assigned in an event, the earliest first.
pub async fn assignments(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Assignment>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select a.id as "id!", a.event_id, a.post_id, a.person_id, a.is_standby, a.request_id, a.override_rules,
                  a.override_keys, a.override_reason, p.name as "override_by?", a.override_at
           from assignment a left join account c on c.id = a.override_by left join person p on p.id = c.person_id
           where a.event_id = ? order by a.id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::assignment).collect()
}

/// Assigns someone to a position, as an alternate or not. An override has the rules and the
/// reason. Returns the number, or none if they already have the position.
pub async fn assign(
    tx: &mut Tx,
    actor: Actor,
    post: &Post,
    person: &Person,
    is_standby: bool,
    rule_override: Option<(&[Violation], &str)>,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let (broken, reason) = rule_override.unwrap_or_default();
    let lines = |part: fn(&Violation) -> &str| broken.iter().map(part).collect::<Vec<_>>().join("\n");
    let (rules, keys) = (lines(|rule| rule.words.as_str()), lines(|rule| rule.key.as_str()));
    let by = match actor {
        Actor::Account(id) if rule_override.is_some() => Some(id),
        _ => None,
    };
    let at = by.map(|_| now.unix_timestamp());
    let added = sqlx::query!(
        "insert into assignment (event_id, post_id, person_id, is_standby, override_rules, override_keys,
                                 override_reason, override_by, override_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict (post_id, person_id) do nothing",
        post.event_id,
        post.id,
        person.id,
        is_standby,
        rules,
        keys,
        reason,
        by,
        at
    )
    .execute(&mut **tx)
    .await?;
    if added.rows_affected() == 0 {
        return Ok(None);
    }
    let id = added.last_insert_rowid();
    let after = json!({
        "post": post.details.name,
        "alternate": if is_standby { "yes" } else { "no" },
        "against a rule": rules,
        "reason": reason,
    });
    let title = format!("{}: {}", post.details.name, person.details.name);
    record(tx, now, Entry { after: Some(after), ..entry(actor, "assigned", (post.event_id, id), &title) });
    Ok(Some(id))
}

/// Stores the keys of the rules that were overridden for an assignment.
pub(in crate::crew) async fn put_override_keys(tx: &mut Tx, id: i64, keys: &[String]) -> Result<()> {
    let keys = keys.join("\n");
    sqlx::query!("update assignment set override_keys = ? where id = ?", keys, id).execute(&mut **tx).await?;
    Ok(())
}

/// Removes someone from a position.
pub async fn unassign(
    tx: &mut Tx,
    actor: Actor,
    assignment: &Assignment,
    title: &str,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("delete from assignment where id = ?", assignment.id).execute(&mut **tx).await?;
    let before = assignment.rule_override.as_ref().map(RuleOverride::snapshot);
    let entry = entry(actor, "took off", (assignment.event_id, assignment.id), title);
    record(tx, now, Entry { before, ..entry });
    Ok(())
}

/// Turns an alternate into a primary, or the other way around.
pub(in crate::crew) async fn set_standby(
    tx: &mut Tx,
    actor: Actor,
    (assignment, title): (&Assignment, &str),
    is_standby: bool,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("update assignment set is_standby = ? where id = ?", is_standby, assignment.id)
        .execute(&mut **tx)
        .await?;
    let tell = |standby: bool| Some(json!({"alternate": if standby { "yes" } else { "no" }}));
    let (before, after) = (tell(assignment.is_standby), tell(is_standby));
    let entry = entry(actor, "changed", (assignment.event_id, assignment.id), title);
    record(tx, now, Entry { before, after, ..entry });
    Ok(())
}

/// The events someone is assigned in, newest first, with their positions.
pub async fn posts_of(db: &mut SqliteConnection, person_id: i64) -> Result<Vec<(i64, String, String)>> {
    let rows = sqlx::query!(
        "select a.event_id, e.name as event, p.name as post from assignment a join post p on p.id = a.post_id
         join event e on e.id = a.event_id where a.person_id = ? order by a.event_id desc, p.place",
        person_id
    );
    Ok(rows.fetch_all(db).await?.into_iter().map(|row| (row.event_id, row.event, row.post)).collect())
}
