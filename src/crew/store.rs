use super::{Assignment, Handed, Hours, RuleOverride, Violation, day, skills};
use crate::db::Tx;
use crate::db::journal::{self, Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use crate::web::link::{LinkKey, Opens, Secret};
use crate::web::words::{self, Reader};
use serde_json::json;
use sqlx::{SqliteConnection, SqlitePool};
use std::collections::{HashMap, HashSet};
use time::{Date, OffsetDateTime};

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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
pub async fn assign(
    tx: &mut Tx,
    actor: Actor,
    (event_id, post, person): (i64, (i64, &str), (i64, &str)),
    (is_standby, rule_override): (bool, Option<(&[Violation], &str)>),
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
        event_id,
        post.0,
        person.0,
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
        "post": post.1,
        "alternate": if is_standby { "yes" } else { "no" },
        "against a rule": rules,
        "reason": reason,
    });
    let title = format!("{}: {}", post.1, person.1);
    record(tx, now, Entry { after: Some(after), ..entry(actor, "assigned", (event_id, id), &title) });
    Ok(Some(id))
}

/// Stores the keys of the rules that were overridden for an assignment.
///
/// # Errors
/// The store's.
pub(super) async fn put_override_keys(tx: &mut Tx, id: i64, keys: &[String]) -> Result<()> {
    let keys = keys.join("\n");
    sqlx::query!("update assignment set override_keys = ? where id = ?", keys, id).execute(&mut **tx).await?;
    Ok(())
}

/// Removes someone from a position.
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
pub(super) async fn set_standby(
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

/// Notes which question asked about these assignments. The journal entry comes with the
/// question.
///
/// # Errors
/// The store's.
pub(super) async fn put_request(tx: &mut Tx, assignments: &[i64], request_id: i64) -> Result<()> {
    let assignments = json!(assignments).to_string();
    sqlx::query!(
        "update assignment set request_id = ? where id in (select value from json_each(?))",
        request_id,
        assignments
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("insert into crew_question (request_id) values (?) on conflict do nothing", request_id)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// The questions of an event that name the positions they are about.
///
/// # Errors
/// The store's.
pub(super) async fn questions(db: &mut SqliteConnection, event_id: i64) -> Result<HashSet<i64>> {
    let found = sqlx::query_scalar!(
        "select q.request_id from crew_question q join request r on r.id = q.request_id where r.event_id = ?",
        event_id
    );
    Ok(found.fetch_all(db).await?.into_iter().collect())
}

/// The hours people can be there, as the department entered them, and when.
///
/// # Errors
/// The store's.
pub(super) async fn hours(
    db: &mut SqliteConnection,
    event_id: i64,
) -> Result<HashMap<(i64, Date), (Hours, OffsetDateTime)>> {
    let rows = sqlx::query!(
        r#"select person_id, for_on as "for_on: Date", from_min, until_min, noted_at from crew_hours
           where event_id = ?"#,
        event_id
    );
    let mut hours = HashMap::new();
    for row in rows.fetch_all(db).await? {
        let span = Hours { from: u16::try_from(row.from_min)?, until: u16::try_from(row.until_min)? };
        let at = OffsetDateTime::from_unix_timestamp(row.noted_at)?;
        hours.insert((row.person_id, row.for_on), (span, at));
    }
    Ok(hours)
}

/// Saves the hours someone can be there on a day. None means that nothing is known.
///
/// # Errors
/// The store's.
pub async fn note_hours(
    tx: &mut Tx,
    actor: Actor,
    (event_id, person, on): (i64, (i64, &str), Date),
    new: Option<Hours>,
    now: OffsetDateTime,
) -> Result<()> {
    let old = hours(tx, event_id).await?.get(&(person.0, on)).map(|(hours, _)| *hours);
    if old == new {
        return Ok(());
    }
    let by = match actor {
        Actor::Account(id) => Some(id),
        Actor::Link | Actor::System => None,
    };
    sqlx::query!("delete from crew_hours where event_id = ? and person_id = ? and for_on = ?", event_id, person.0, on)
        .execute(&mut **tx)
        .await?;
    if let Some(hours) = new {
        let (from, until, at) = (i64::from(hours.from), i64::from(hours.until), now.unix_timestamp());
        sqlx::query!(
            "insert into crew_hours (event_id, person_id, for_on, from_min, until_min, noted_at, noted_by)
             values (?, ?, ?, ?, ?, ?, ?)",
            event_id,
            person.0,
            on,
            from,
            until,
            at,
            by
        )
        .execute(&mut **tx)
        .await?;
    }
    let tell = |hours: Option<Hours>| Some(json!({"can be there": hours.map(Hours::says), "on": Reader::App.day(on)}));
    let title = format!("Hours of {}", person.1);
    let entry = entry(actor, "recorded", (event_id, person.0), &title);
    record(tx, now, Entry { subject: "hours", before: tell(old), after: tell(new), ..entry });
    Ok(())
}

/// Makes someone's private page unless there is one. Returns the number that its link is
/// made with. Numbers start higher in a copy of the store, so that a link made after the
/// copy, and lost with the original, can't open someone else's page. There is no journal
/// entry, because no one decides anything here.
///
/// # Errors
/// The store's.
pub(super) async fn add_link(tx: &mut Tx, (event_id, person_id): (i64, i64), key: &LinkKey) -> Result<i64> {
    sqlx::query!(
        "insert into crew_link (id, event_id, person_id)
         select max(coalesce((select max(id) from crew_link), 0), 1000000 * copies) + 1, ?, ? from mail_hold where true
         on conflict do nothing",
        event_id,
        person_id
    )
    .execute(&mut **tx)
    .await?;
    let id = sqlx::query_scalar!(
        r#"select id as "id!" from crew_link where event_id = ? and person_id = ?"#,
        event_id,
        person_id
    );
    let id = id.fetch_one(&mut **tx).await?;
    let hash = key.secret(Opens::CallSheet, id, 1).hash();
    sqlx::query!("update crew_link set token_hash = ? where id = ?", hash, id).execute(&mut **tx).await?;
    Ok(id)
}

/// The event and the person whose page a link opens.
///
/// # Errors
/// The store's.
pub(super) async fn opened(db: &SqlitePool, secret: &Secret) -> Result<Option<(i64, i64)>> {
    let hash = secret.hash();
    let row = sqlx::query!(
        "select l.event_id, l.person_id from crew_link l
         join person p on p.id = l.person_id and p.forgotten_at is null and p.merged_into is null
         where l.token_hash = ?",
        hash
    );
    Ok(row.fetch_optional(db).await?.map(|row| (row.event_id, row.person_id)))
}

/// The numbers that the links of an event's crew are made with, by person.
///
/// # Errors
/// The store's.
pub(super) async fn links(db: &mut SqliteConnection, event_id: i64) -> Result<HashMap<i64, i64>> {
    let rows = sqlx::query!(r#"select id as "id!", person_id from crew_link where event_id = ?"#, event_id);
    Ok(rows.fetch_all(db).await?.into_iter().map(|row| (row.person_id, row.id)).collect())
}

/// The events someone is assigned in, newest first, with their positions.
///
/// # Errors
/// The store's.
pub async fn posts_of(db: &mut SqliteConnection, person_id: i64) -> Result<Vec<(i64, String, String)>> {
    let rows = sqlx::query!(
        "select a.event_id, e.name as event, p.name as post from assignment a join post p on p.id = a.post_id
         join event e on e.id = a.event_id where a.person_id = ? order by a.event_id desc, p.place",
        person_id
    );
    Ok(rows.fetch_all(db).await?.into_iter().map(|row| (row.event_id, row.event, row.post)).collect())
}

/// Moves everything about the crew from one record of a person to another record of the
/// same person. What the other already has stays with the record that goes away.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Handed> {
    let assignments = sqlx::query_scalar!(
        r#"update or ignore assignment set person_id = ? where person_id = ? returning id as "id!""#,
        to,
        from
    );
    let assignments = assignments.fetch_all(&mut **tx).await?;
    let links = sqlx::query_scalar!(
        r#"update or ignore crew_link set person_id = ? where person_id = ? returning id as "id!""#,
        to,
        from
    );
    let links = links.fetch_all(&mut **tx).await?;
    let hours = sqlx::query!(
        r#"update or ignore crew_hours set person_id = ? where person_id = ?
           returning event_id as "event_id!", for_on as "for_on!: Date""#,
        to,
        from
    );
    let hours = hours.fetch_all(&mut **tx).await?.into_iter().map(|row| (row.event_id, words::iso(row.for_on)));
    Ok(Handed {
        assignments,
        links,
        hours: hours.collect(),
        holdings: skills::store::hand_over(tx, from, to).await?,
        attendances: day::store::hand_over(tx, from, to).await?,
    })
}

/// Undoes it.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, handed: &Handed, (from, to): (i64, i64)) -> Result<()> {
    for id in &handed.assignments {
        sqlx::query!("update assignment set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for id in &handed.links {
        sqlx::query!("update crew_link set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for (event_id, on) in &handed.hours {
        sqlx::query!(
            "update or ignore crew_hours set person_id = ? where event_id = ? and for_on = ? and person_id = ?",
            to,
            event_id,
            on,
            from
        )
        .execute(&mut **tx)
        .await?;
    }
    skills::store::hand_back(tx, &handed.holdings, to).await?;
    day::store::hand_back(tx, &handed.attendances, to).await
}

/// Erases the notes about these records of one person. That they had a position, and for
/// how long, stays for the totals. Their page no longer opens.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], called: &str) -> Result<()> {
    let holdings = skills::store::forget(tx, people).await?;
    let attendances = day::store::forget(tx, people).await?;
    let list = json!(people).to_string();
    let assignments = sqlx::query_scalar!(
        r#"select id as "id!" from assignment where person_id in (select value from json_each(?))"#,
        list
    );
    let assignments = assignments.fetch_all(&mut **tx).await?;
    let told =
        [("certificate", holdings.as_slice()), ("attendance", &attendances), ("crew", &assignments), ("hours", people)];
    for (subject, ids) in told {
        journal::forget(tx, subject, ids, called).await?;
    }
    let people = list;
    sqlx::query!("update crew_link set token_hash = null where person_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    sqlx::query!(
        "update assignment set override_reason = 'forgotten'
         where override_by is not null and person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// An event's last date. A crew member's page stays open for a while after it.
pub(super) fn last_day(event: &Event) -> Date {
    event.details.rain_on.map_or(event.details.burn_on, |rain| rain.max(event.details.burn_on))
}

fn entry<'a>(actor: Actor, verb: &'static str, (event_id, id): (i64, i64), title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "crew",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}
