use super::{Days, Details, LinkTo, Responsible, Task, TaskNotice, TaskState, template};
use crate::accounts::{self, Holder};
use crate::calc::calendar::Basis;
use crate::calc::plan::Lead;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::people;
use crate::permit_records;
use crate::web::words::{self, Reader};
use anyhow::anyhow;
use serde_json::json;
use sqlx::{SqliteConnection, SqlitePool};
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

/// Why a task was not changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// Someone else changed it in the meantime.
    Stale,
    /// It is gone, or a task it would wait for is.
    Gone,
    /// These tasks would wait for each other; their titles, in order.
    Loop(Vec<String>),
    /// The event already has the most tasks it can.
    Full,
}

/// An event has at most this many tasks: five times the usual plan.
pub const MOST_TASKS: usize = 500;

/// A note on a task.
#[derive(Debug)]
pub struct Note {
    pub who: String,
    pub at: OffsetDateTime,
    pub text: String,
}

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
///
/// # Errors
/// The store's.
pub async fn of_event(db: &SqlitePool, event_id: i64) -> Result<Vec<Task>> {
    read(&mut *db.acquire().await?, event_id).await
}

/// The same, inside a write.
///
/// # Errors
/// The store's.
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

/// The notes on a task, newest first.
///
/// # Errors
/// The store's.
pub async fn notes(db: &SqlitePool, task_id: i64) -> Result<Vec<Note>> {
    let rows = sqlx::query!(
        "select p.name, n.at, n.text from task_note n join account a on a.id = n.account_id
         join person p on p.id = a.person_id where n.task_id = ? order by n.id desc",
        task_id
    )
    .fetch_all(db)
    .await?;
    rows.into_iter()
        .map(|row| Ok(Note { who: row.name, at: OffsetDateTime::from_unix_timestamp(row.at)?, text: row.text }))
        .collect()
}

/// Adds a note to a task.
///
/// # Errors
/// The store's.
pub async fn add_note(
    tx: &mut Tx,
    account_id: i64,
    event_id: i64,
    task: &Task,
    text: &str,
    now: OffsetDateTime,
) -> Result<()> {
    let at = now.unix_timestamp();
    sqlx::query!(
        "insert into task_note (task_id, account_id, at, text) values (?, ?, ?, ?)",
        task.id,
        account_id,
        at,
        text
    )
    .execute(&mut **tx)
    .await?;
    let entry = entry(Actor::Account(account_id), "added a note to", event_id, task.id, &task.details.title);
    record(tx, now, Entry { after: Some(json!({"note": text})), ..entry });
    Ok(())
}

/// Copies the template into a new event, with a record for each usual permit.
///
/// # Errors
/// The store's.
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

async fn insert(tx: &mut Tx, event_id: i64, key: Option<&str>, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let person = match &details.person {
        Some(name) => Some(people::named(tx, name, now).await?),
        None => None,
    };
    let (strand, owner, rain) = (details.strand.as_str(), details.owner.as_str(), details.rain.as_str());
    let (lead_basis, basis) = (Days::of(details.lead.basis).as_str(), Days::of(details.basis).as_str());
    let is_burn = key == Some(template::BURN);
    let at = now.unix_timestamp();
    Ok(sqlx::query!(
        "insert into task (event_id, key, strand, title, takes, owner_role, owner_id, lead_days, lead_basis, duration,
                           duration_basis, rain, state, state_at, is_burn)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'to do', ?, ?)",
        event_id,
        key,
        strand,
        details.title,
        details.takes,
        owner,
        person,
        details.lead.days,
        lead_basis,
        details.duration,
        basis,
        rain,
        at,
        is_burn
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid())
}

async fn insert_link(tx: &mut Tx, later: i64, to: &LinkTo) -> Result<()> {
    let basis = Days::of(to.basis).as_str();
    sqlx::query!(
        "insert into task_link (later_id, earlier_id, lag_days, lag_basis) values (?, ?, ?, ?)",
        later,
        to.earlier,
        to.lag,
        basis
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Adds a task. Its links are checked against the current plan.
///
/// # Errors
/// The store's.
pub async fn add(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    details: &Details,
    now: OffsetDateTime,
) -> Result<Result<i64, Refused>> {
    let tasks = read(tx, event_id).await?;
    if tasks.len() >= MOST_TASKS {
        return Ok(Err(Refused::Full));
    }
    if let Err(refused) = super::changes::check(&tasks, None, details) {
        return Ok(Err(refused));
    }
    let id = insert(tx, event_id, None, details, now).await?;
    for link in &details.links {
        insert_link(tx, id, link).await?;
    }
    let after = Some(details.snapshot(titles(&tasks)));
    record(tx, now, Entry { after, ..entry(actor, "added", event_id, id, &details.title) });
    Ok(Ok(id))
}

/// Changes a task, unless someone else did in the meantime.
///
/// # Errors
/// The store's.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    id: i64,
    details: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let tasks = read(tx, event_id).await?;
    let Some(old) = tasks.iter().find(|task| task.id == id) else { return Ok(Err(Refused::Gone)) };
    if old.version != version {
        return Ok(Err(Refused::Stale));
    }
    if let Err(refused) = super::changes::check(&tasks, Some(id), details) {
        return Ok(Err(refused));
    }
    if old.details == *details {
        return Ok(Ok(()));
    }
    let person = match &details.person {
        Some(name) => Some(people::named(tx, name, now).await?),
        None => None,
    };
    let (strand, owner, rain) = (details.strand.as_str(), details.owner.as_str(), details.rain.as_str());
    let (lead_basis, basis) = (Days::of(details.lead.basis).as_str(), Days::of(details.basis).as_str());
    sqlx::query!(
        "update task set strand = ?, title = ?, takes = ?, owner_role = ?, owner_id = ?, lead_days = ?, lead_basis = ?,
                duration = ?, duration_basis = ?, rain = ?, version = version + 1 where id = ?",
        strand,
        details.title,
        details.takes,
        owner,
        person,
        details.lead.days,
        lead_basis,
        details.duration,
        basis,
        rain,
        id
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("delete from task_link where later_id = ?", id).execute(&mut **tx).await?;
    for link in &details.links {
        insert_link(tx, id, link).await?;
    }
    let before = Some(old.details.snapshot(titles(&tasks)));
    let after = Some(details.snapshot(titles(&tasks)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", event_id, id, &details.title) });
    Ok(Ok(()))
}

/// Removes a task. Tasks that waited for it now wait for what it waited for.
///
/// # Errors
/// The store's.
pub async fn remove(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    id: i64,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let tasks = read(tx, event_id).await?;
    let Some(old) = tasks.iter().find(|task| task.id == id && !task.is_burn) else { return Ok(Err(Refused::Gone)) };
    if old.version != version {
        return Ok(Err(Refused::Stale));
    }
    let left = super::changes::without(&tasks, id);
    sqlx::query!("delete from task where id = ?", id).execute(&mut **tx).await?;
    for task in &left {
        let had = tasks.iter().find(|before| before.id == task.id).map(|before| &before.details.links);
        for link in task.details.links.iter().filter(|link| had.is_none_or(|had| !had.contains(link))) {
            insert_link(tx, task.id, link).await?;
        }
    }
    let before = Some(old.details.snapshot(titles(&tasks)));
    record(tx, now, Entry { before, ..entry(actor, "removed", event_id, id, &old.details.title) });
    Ok(Ok(()))
}

/// The new status of a task.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewState {
    pub state: TaskState,
    /// The day it was started or began waiting.
    pub started_on: Option<Date>,
    /// The day it was finished; only for `done`.
    pub done_on: Option<Date>,
    pub waiting_for: String,
}

impl NewState {
    /// Nothing done yet.
    #[must_use]
    pub fn to_do() -> Self {
        Self { state: TaskState::ToDo, started_on: None, done_on: None, waiting_for: String::new() }
    }

    /// The current status of a task.
    #[must_use]
    pub fn of(task: &Task) -> Self {
        Self {
            state: task.state,
            started_on: task.started_on,
            done_on: task.done_on,
            waiting_for: task.waiting_for.clone(),
        }
    }

    fn snapshot(&self) -> serde_json::Value {
        json!({
            "status": self.state.as_str(),
            "started": self.started_on.map(|on| Reader::App.day(on)),
            "done": self.done_on.map(|on| Reader::App.day(on)),
            "waiting for": self.waiting_for,
        })
    }
}

/// The result of updating a task's status.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Set {
    Done,
    /// It already had that status. Nothing is written.
    Already,
    /// Someone else updated it in the meantime. This is the task now.
    Stale(Box<Task>),
    Gone,
}

/// Updates a task's status; with a `seen` status, only if it still has that one.
///
/// # Errors
/// The store's.
pub async fn set_state(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    id: i64,
    seen: Option<TaskState>,
    new: &NewState,
    now: OffsetDateTime,
) -> Result<Set> {
    let tasks = read(tx, event_id).await?;
    let Some(old) = tasks.into_iter().find(|task| task.id == id && !task.is_burn) else { return Ok(Set::Gone) };
    let stood = NewState::of(&old);
    if stood == *new {
        return Ok(Set::Already);
    }
    if seen.is_some_and(|seen| seen != old.state) {
        return Ok(Set::Stale(Box::new(old)));
    }
    let state = new.state.as_str();
    let at = now.unix_timestamp();
    let by = if let Actor::Account(id) = actor { Some(id) } else { None };
    sqlx::query!(
        "update task set state = ?, started_on = ?, done_on = ?, waiting_for = ?, state_at = ?, state_by = ?
         where id = ?",
        state,
        new.started_on,
        new.done_on,
        new.waiting_for,
        at,
        by,
        id
    )
    .execute(&mut **tx)
    .await?;
    let entry = Entry {
        before: Some(stood.snapshot()),
        after: Some(new.snapshot()),
        ..entry(actor, "updated the status of", event_id, id, &old.details.title)
    };
    record(tx, now, entry);
    Ok(Set::Done)
}

/// Puts tasks back to do again, as a new burn day requires.
///
/// # Errors
/// The store's.
pub async fn reset(tx: &mut Tx, actor: Actor, event_id: i64, ids: &[i64], now: OffsetDateTime) -> Result<()> {
    for id in ids {
        set_state(tx, actor, event_id, *id, None, &NewState::to_do(), now).await?;
    }
    Ok(())
}

fn titles(tasks: &[Task]) -> impl Fn(i64) -> String {
    let titles: HashMap<i64, String> = tasks.iter().map(|task| (task.id, task.details.title.clone())).collect();
    move |id| titles.get(&id).cloned().unwrap_or_default()
}

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: i64, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "task",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}

/// Hands all tasks of one person to another record of the same person. Returns
/// their IDs, so it can be undone.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Vec<i64>> {
    let moved = sqlx::query_scalar!(
        r#"update task set owner_id = ?, version = version + 1 where owner_id = ? returning id as "id!""#,
        to,
        from
    );
    Ok(moved.fetch_all(&mut **tx).await?)
}

/// Undoes that for the tasks the other still has.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, tasks: &[i64], from: i64, to: i64) -> Result<()> {
    let tasks = json!(tasks).to_string();
    sqlx::query!(
        "update task set owner_id = ?, version = version + 1
         where owner_id = ? and id in (select value from json_each(?))",
        to,
        from,
        tasks
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
