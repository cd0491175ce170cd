//! The tasks of an event as they are stored.

use crate::accounts::{self, Holder};
use crate::calc::calendar::Basis;
use crate::calc::plan::Lead;
use crate::countdown::{Days, Details, LinkTo, Responsible, Task, TaskNotice};
use crate::error::{Error, Result};
use crate::permit_records;
use anyhow::anyhow;
use sqlx::{SqliteConnection, SqlitePool};
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

struct Row {
    id: i64,
    key: Option<String>,
    strand: String,
    title: String,
    takes: String,
    owner_role: String,
    owner_id: Option<i64>,
    person: Option<String>,
    lead_days: i64,
    lead_basis: String,
    duration: i64,
    duration_basis: String,
    rain: String,
    state: String,
    waiting_for: String,
    started_on: Option<Date>,
    done_on: Option<Date>,
    state_at: i64,
    state_by: Option<String>,
    is_burn: i64,
    version: i64,
}

impl Row {
    fn task(self, holders: &[Holder]) -> Result<Task> {
        let wrong = |text: String| Error::Internal(anyhow!("task {}: {text}", self.id));
        let basis = |text: &str| text.parse::<Days>().map(Days::basis).map_err(wrong);
        let lead_basis = basis(&self.lead_basis)?;
        let duration_basis = basis(&self.duration_basis)?;
        let details = Details {
            strand: self.strand.parse().map_err(wrong)?,
            title: self.title,
            takes: self.takes,
            owner: self.owner_role.parse().map_err(wrong)?,
            person: self.person,
            lead: Lead { days: i32::try_from(self.lead_days)?, basis: lead_basis },
            duration: u16::try_from(self.duration)?,
            basis: duration_basis,
            rain: self.rain.parse().map_err(wrong)?,
            links: Vec::new(),
        };
        let named = self.owner_id.zip(details.person.clone());
        Ok(Task {
            id: self.id,
            key: self.key,
            responsible: Responsible::of(details.owner, named, holders),
            details,
            notices: Vec::new(),
            person_id: self.owner_id,
            state: self.state.parse().map_err(wrong)?,
            waiting_for: self.waiting_for,
            started_on: self.started_on,
            done_on: self.done_on,
            state_at: OffsetDateTime::from_unix_timestamp(self.state_at)?,
            state_by: self.state_by,
            is_burn: self.is_burn != 0,
            version: self.version,
        })
    }
}

/// All tasks of an event and what they wait for, in the order they were added.
pub async fn of_event(db: &SqlitePool, event_id: i64) -> Result<Vec<Task>> {
    read(&mut *db.acquire().await?, event_id).await
}

/// The same, inside a write.
pub async fn read(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Task>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select t.id as "id!", t.key, t.strand, t.title, t.takes, t.owner_role, t.owner_id, o.name as "person?",
                  t.lead_days, t.lead_basis, t.duration, t.duration_basis, t.rain, t.state,
                  t.waiting_for, t.started_on as "started_on: Date", t.done_on as "done_on: Date", t.state_at,
                  b.name as "state_by?", t.is_burn, t.version
           from task t left join person o on o.id = t.owner_id left join account a on a.id = t.state_by
                left join person b on b.id = a.person_id
           where t.event_id = ? order by t.id"#,
        event_id
    )
    .fetch_all(&mut *db)
    .await?;
    let holders = accounts::holders(&mut *db).await?;
    let mut tasks = rows.into_iter().map(|row| row.task(&holders)).collect::<Result<Vec<_>>>()?;
    let place: HashMap<i64, usize> = tasks.iter().enumerate().map(|(place, task)| (task.id, place)).collect();
    let links = sqlx::query!(
        "select l.later_id, l.earlier_id, l.lag_days, l.lag_basis from task_link l join task t on t.id = l.later_id
         where t.event_id = ? order by l.later_id, l.earlier_id",
        event_id
    )
    .fetch_all(&mut *db)
    .await?;
    for permit in permit_records::of_event(&mut *db, event_id).await? {
        let task = permit.details.task_id.and_then(|task| place.get(&task));
        if let (Some(&task), Some(notice)) = (task, permit.holding()) {
            let (title, href) = (permit.details.title.clone(), permit.href());
            tasks[task].notices.push(TaskNotice { title, href, notice });
        }
    }
    for link in links {
        let basis = if link.lag_basis == "working" { Basis::Working } else { Basis::Calendar };
        let to = LinkTo { earlier: link.earlier_id, lag: u16::try_from(link.lag_days)?, basis };
        tasks[place[&link.later_id]].details.links.push(to);
    }
    Ok(tasks)
}
