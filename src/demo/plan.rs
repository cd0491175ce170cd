//! The demo's plan: two tasks are late, and the critical path has just enough days.

use crate::accounts::{self, Role};
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::plan::Lead;
use crate::countdown::{self, NewState, Owner, Task, TaskState};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::zone::Zone;
use anyhow::anyhow;
use time::macros::time;
use time::{Date, Duration, OffsetDateTime};

fn person(owner: Owner) -> Option<&'static str> {
    match owner {
        Owner::EducationOfficer => Some("Priya Okafor"),
        Owner::InformationOfficer => Some("Jun Castellane"),
        Owner::SafetyOfficer => Some("Dele Aldous"),
        Owner::CrewLead => Some("Tomás Brandt"),
        Owner::Timekeeper => Some("Wren Ibarra"),
        Owner::BurnBoss => Some("Ana Ruiz"),
        Owner::Presenter => Some("Odette Marsh"),
        Owner::FireChief | Owner::Volunteers | Owner::WholeCrew => None,
    }
}

/// Tasks that are waiting, what they wait for, and for how many days.
const WAITING: [(&str, &str, i64); 5] = [
    ("access-services", "the interpreter agency", 6),
    ("collect-furnishings", "the second sofa", 33),
    ("guest-replies", "four offices", 3),
    ("volunteer-sign-up", "the last crowd managers", 19),
    ("survey-cards", "the print shop", 4),
];

/// Gives the tasks their people and adjusts a few lead times, so that two tasks are late and
/// the critical path has just enough days.
pub(super) async fn fit_plan(
    tx: &mut Tx,
    officer: Actor,
    event: i64,
    (burn_on, today): (Date, Date),
    calendar: &Calendar,
    at: OffsetDateTime,
) -> Result<()> {
    let late_by = |working_days: u32| {
        let due = calendar.before(today + Duration::DAY, working_days + 1);
        i32::try_from((burn_on - due).whole_days()).unwrap_or(0)
    };
    let leads = [
        ("burn-permit", late_by(2)),
        ("loan-requests", late_by(1)),
        ("burn-plan", 24),
        ("permits-in-hand", 11),
        ("news-release", 8),
        ("loans-confirmed", 8),
        ("loan-fallbacks", 4),
    ];
    let mut tasks = countdown::tasks_in(tx, event).await?;
    for task in &mut tasks {
        task.details.person = person(task.details.owner).map(str::to_owned);
        if let Some((_, days)) = leads.iter().find(|(key, _)| task.key.as_deref() == Some(key)) {
            task.details.lead = Lead { days: *days, basis: Basis::Calendar };
        }
    }
    set_lag(&mut tasks, "loan-requests", "loans-confirmed", 5)?;
    // Make the waits on the critical path longer until the burn day can just be met.
    for (earlier, later) in [("burn-permit", "permits-in-hand"), ("news-release", "media-advisory")] {
        for lag in 0..30 {
            let mut longer = tasks.clone();
            set_lag(&mut longer, earlier, later, lag)?;
            if spare(&longer, calendar, burn_on, today)? < 0 {
                break;
            }
            tasks = longer;
        }
    }
    for task in tasks {
        let saved = countdown::save_task(tx, officer, event, task.id, &task.details, task.version, at).await?;
        saved.map_err(|why| anyhow!("{}: {why:?}", task.details.title))?;
    }
    Ok(())
}

fn set_lag(tasks: &mut [Task], earlier: &str, later: &str, lag: u16) -> Result<()> {
    let missing = || Error::Internal(anyhow!("the template has no link from {earlier} to {later}"));
    let earlier_id = tasks.iter().find(|t| t.key.as_deref() == Some(earlier)).ok_or_else(missing)?.id;
    let task = tasks.iter_mut().find(|t| t.key.as_deref() == Some(later)).ok_or_else(missing)?;
    task.details.links.iter_mut().find(|link| link.earlier == earlier_id).ok_or_else(missing)?.lag = lag;
    Ok(())
}

/// The plan's slack in days, once everything due is done.
fn spare(tasks: &[Task], calendar: &Calendar, burn_on: Date, today: Date) -> Result<i32> {
    let outlook = countdown::Outlook::of(tasks.to_vec(), std::sync::Arc::new(calendar.clone()), burn_on, today)?;
    let states = states(&outlook.tasks, |place| outlook.schedule.rows[place].due, today);
    let mut then = outlook.tasks;
    for (task, new) in then.iter_mut().zip(states) {
        if let Some((new, _)) = new {
            (task.state, task.done_on, task.started_on) = (new.state, new.done_on, new.started_on);
        }
    }
    let then = countdown::Outlook::of(then, std::sync::Arc::new(calendar.clone()), burn_on, today)?;
    Ok(then.schedule.spare)
}

/// The state of each task. What was due is done, except two tasks. A few are waiting.
fn states(tasks: &[Task], due: impl Fn(usize) -> Date, today: Date) -> Vec<Option<(NewState, Date)>> {
    let late = ["burn-permit", "loan-requests"];
    let one = |(place, task): (usize, &Task)| {
        let key = task.key.as_deref().unwrap_or_default();
        if let Some((_, whom, days)) = WAITING.iter().find(|(waiting, ..)| *waiting == key) {
            let on = today - Duration::days(*days);
            let waiting_for = (*whom).to_owned();
            let new = NewState { state: TaskState::Waiting, started_on: Some(on), done_on: None, waiting_for };
            return Some((new, on));
        }
        if due(place) >= today || late.contains(&key) || task.is_burn {
            return None;
        }
        // Some are done a few days early.
        let early = i64::try_from(place % 4).unwrap_or(0);
        let on = due(place) - Duration::days(early);
        Some((NewState { state: TaskState::Done, done_on: Some(on), ..NewState::to_do() }, on))
    };
    tasks.iter().enumerate().map(one).collect()
}

pub(super) async fn fill_states(
    tx: &mut Tx,
    event: i64,
    zone: &Zone,
    (burn_on, today): (Date, Date),
    calendar: &Calendar,
    now: OffsetDateTime,
) -> Result<()> {
    let tasks = countdown::tasks_in(tx, event).await?;
    let outlook = countdown::Outlook::of(tasks, std::sync::Arc::new(calendar.clone()), burn_on, today)?;
    let accounts = accounts::list_in(tx).await?;
    let states = states(&outlook.tasks, |place| outlook.schedule.rows[place].due, today);
    let mut said: Vec<(&Task, NewState, Date)> =
        outlook.tasks.iter().zip(states).filter_map(|(task, new)| new.map(|(new, on)| (task, new, on))).collect();
    said.sort_by_key(|(task, _, on)| (*on, task.id));
    for (task, new, on) in said {
        let owner = accounts.iter().find(|account| Some(account.person_id) == task.person_id);
        let actor = Actor::Account(owner.map_or(accounts_officer(&accounts), |account| account.id));
        let at = zone.instant(on, time!(14:10)).unwrap_or(now).min(now);
        countdown::set_state(tx, actor, event, task.id, None, &new, at).await?;
    }
    Ok(())
}

fn accounts_officer(accounts: &[accounts::Account]) -> i64 {
    accounts.iter().find(|account| account.role == Role::EducationOfficer).map_or(1, |account| account.id)
}
