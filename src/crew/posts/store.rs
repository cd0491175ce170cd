use super::{Details, Post};
use crate::crew::{Hours, Qualification, skills};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::web::words;
use anyhow::anyhow;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// All positions of an event, in order.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Post>> {
    let rows = sqlx::query!(
        r#"select id as "id!", duty, name, needed, from_min, until_min, spot, reports_to, wear, bring, cautions,
                  is_critical, version,
                  (select group_concat(qualification_id) from post_needs where post_id = post.id) as "needs: String"
           from post where event_id = ? order by place, id"#,
        event_id
    );
    let mut posts = Vec::new();
    for row in rows.fetch_all(db).await? {
        let duty = row.duty.parse().map_err(|_| Error::Internal(anyhow!("an unknown duty in the store")))?;
        let needs = row.needs.unwrap_or_default();
        let mut needs: Vec<i64> = needs.split(',').filter_map(|id| id.parse().ok()).collect();
        needs.sort_unstable();
        let details = Details {
            duty,
            name: row.name,
            needed: u16::try_from(row.needed)?,
            hours: Hours { from: u16::try_from(row.from_min)?, until: u16::try_from(row.until_min)? },
            spot: row.spot,
            reports_to: row.reports_to,
            wear: row.wear,
            bring: row.bring,
            cautions: row.cautions,
            is_critical: row.is_critical != 0,
            needs,
        };
        posts.push(Post { id: row.id, event_id, details, version: row.version });
    }
    Ok(posts)
}

/// Adds a position at the end.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, new: &Details, now: OffsetDateTime) -> Result<i64> {
    let (duty, from, until) = (new.duty.as_str(), i64::from(new.hours.from), i64::from(new.hours.until));
    let needed = i64::from(new.needed);
    let id = sqlx::query!(
        "insert into post (event_id, duty, name, needed, from_min, until_min, spot, reports_to, wear, bring, cautions,
                           is_critical, place)
         values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12,
                 (select coalesce(max(place), 0) + 1 from post where event_id = ?1))",
        event_id,
        duty,
        new.name,
        needed,
        from,
        until,
        new.spot,
        new.reports_to,
        new.wear,
        new.bring,
        new.cautions,
        new.is_critical
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    put(tx, id, &new.needs).await?;
    let known = skills::store::qualifications(tx).await?;
    let after = Some(new.snapshot(&known));
    record(tx, now, Entry { after, ..entry(actor, "added", (event_id, id), &new.name) });
    Ok(id)
}

/// Adds the template's positions to an event that has none. Returns how many.
pub async fn from_template(
    tx: &mut Tx,
    actor: Actor,
    event: &crate::events::Event,
    press: u32,
    now: OffsetDateTime,
) -> Result<usize> {
    if !of_event(tx, event.id).await?.is_empty() {
        return Ok(0);
    }
    let known = skills::store::fill(tx, actor, now).await?;
    let posts = super::template::posts(&event.details, press, &known);
    for post in &posts {
        add(tx, actor, event.id, post, now).await?;
    }
    Ok(posts.len())
}

async fn put(tx: &mut Tx, post_id: i64, needs: &[i64]) -> Result<()> {
    sqlx::query!("delete from post_needs where post_id = ?", post_id).execute(&mut **tx).await?;
    for id in needs {
        sqlx::query!("insert into post_needs (post_id, qualification_id) values (?, ?)", post_id, id)
            .execute(&mut **tx)
            .await?;
    }
    Ok(())
}

/// Moves the hours of an event's positions by this many minutes. Each still starts on the
/// same day.
pub(in crate::crew) async fn move_hours(
    tx: &mut Tx,
    actor: Actor,
    event: &crate::events::Event,
    later: i64,
    now: OffsetDateTime,
) -> Result<()> {
    for post in of_event(tx, event.id).await? {
        let moved = post.details.hours.later(later);
        let (from, until) = (i64::from(moved.from), i64::from(moved.until));
        sqlx::query!(
            "update post set from_min = ?, until_min = ?, version = version + 1 where id = ?",
            from,
            until,
            post.id
        )
        .execute(&mut **tx)
        .await?;
        let entry = entry(actor, "changed", (event.id, post.id), &post.details.name);
        let hours = |hours: Hours| Some(serde_json::json!({ "hours": hours.says() }));
        record(tx, now, Entry { before: hours(post.details.hours), after: hours(moved), ..entry });
    }
    Ok(())
}

/// Saves a position. False if someone else saved it in the meantime.
pub(in crate::crew) async fn save(
    tx: &mut Tx,
    actor: Actor,
    (old, known): (&Post, &[Qualification]),
    new: &Details,
    now: OffsetDateTime,
) -> Result<bool> {
    let (duty, from, until) = (new.duty.as_str(), i64::from(new.hours.from), i64::from(new.hours.until));
    let needed = i64::from(new.needed);
    let saved = sqlx::query!(
        "update post set duty = ?, name = ?, needed = ?, from_min = ?, until_min = ?, spot = ?, reports_to = ?,
                         wear = ?, bring = ?, cautions = ?, is_critical = ?, version = version + 1
         where id = ? and version = ?",
        duty,
        new.name,
        needed,
        from,
        until,
        new.spot,
        new.reports_to,
        new.wear,
        new.bring,
        new.cautions,
        new.is_critical,
        old.id,
        old.version
    );
    if saved.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    put(tx, old.id, &new.needs).await?;
    let (before, after) = (Some(old.details.snapshot(known)), Some(new.snapshot(known)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", (old.event_id, old.id), &new.name) });
    Ok(true)
}

/// Removes a position along with its assignments. The questions stay.
pub(in crate::crew) async fn remove(
    tx: &mut Tx,
    actor: Actor,
    (old, known): (&Post, &[Qualification]),
    assigned: usize,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("delete from post where id = ?", old.id).execute(&mut **tx).await?;
    let mut before = old.details.snapshot(known);
    before["assigned"] = words::count(assigned, "person", "people").into();
    let entry = entry(actor, "removed", (old.event_id, old.id), &old.details.name);
    record(tx, now, Entry { before: Some(before), ..entry });
    Ok(())
}

fn entry<'a>(actor: Actor, verb: &'static str, (event_id, id): (i64, i64), name: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "post",
        subject_id: Some(id),
        event_id: Some(event_id),
        title: name,
        before: None,
        after: None,
    }
}
