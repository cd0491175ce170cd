//! The demo: the Alder Bend Fire District and its burn. All of it is made up, and dated from
//! today so that it looks the same on any day.

mod asks;
mod crew;
mod drawn;
mod fire;
mod gifts;
mod guests;
mod loans;
mod people;
mod permits;
mod pictures;
mod press;
mod rooms;
mod site;
mod talk;

use crate::accounts::{self, Department, Purpose, Role};
use crate::asks::{Kind, Sender};
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::homes::Home;
use crate::calc::plan::Lead;
use crate::closed_days;
use crate::countdown::{self, NewState, Owner, Task, TaskState};
use crate::db::journal::Actor;
use crate::db::{self, Tx};
use crate::error::{Error, Result};
use crate::events::{self, Coordinates, Details, Format, VisitorFacts, Weekdays};
use crate::photos;
use crate::reminders;
use crate::state::App;
use crate::web::link::{LinkKey, Secret};
use crate::zone::Zone;
use anyhow::{Context, anyhow, bail};
use pictures::Pictures;
use std::path::Path;
use time::macros::time;
use time::{Date, Duration, OffsetDateTime, Weekday};

/// A file in the demo's folder. A folder without it is never emptied.
const MARKER: &str = "this-is-a-burnday-demo";

/// The demo's accounts and their roles.
const ACCOUNTS: [(&str, &str, Role); 8] = [
    ("Priya Okafor", "priya@example.org", Role::EducationOfficer),
    ("Jun Castellane", "jun@example.org", Role::InformationOfficer),
    ("Dele Aldous", "dele@example.org", Role::SafetyOfficer),
    ("Ana Ruiz", "ana@example.org", Role::BurnBoss),
    ("Fenwick Tamura", "fenwick@example.org", Role::IncidentCommander),
    ("Tomás Brandt", "tomas@example.org", Role::CrewLead),
    ("Wren Ibarra", "wren@example.org", Role::Timekeeper),
    ("Marisol Teague", "marisol@example.org", Role::Reader),
];

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

/// Empties the folder of an earlier demo.
///
/// # Errors
/// When the folder is in use, or holds something else.
pub fn clear(folder: &Path) -> anyhow::Result<()> {
    db::make_folder(folder)?;
    let marker = folder.join(MARKER);
    let is_empty = std::fs::read_dir(folder)?.next().is_none();
    if !is_empty && !marker.is_file() {
        bail!("{} has files that aren't from a demo. Name another folder with --folder", folder.display());
    }
    // Fails while another process is using the folder, and keeps others out.
    let _lock = db::lock(folder)?;
    if !is_empty {
        // Links in old emails would work again in a new demo.
        for folder in ["mail", "incoming", photos::FOLDER].map(|name| folder.join(name)) {
            if folder.is_dir() {
                std::fs::remove_dir_all(&folder).with_context(|| format!("can't remove {}", folder.display()))?;
            }
        }
        for suffix in ["", "-wal", "-shm"] {
            let path = folder.join(format!("{}{suffix}", db::FILE));
            if path.exists() {
                std::fs::remove_file(&path).with_context(|| format!("can't remove {}", path.display()))?;
            }
        }
    }
    std::fs::write(&marker, "Everything in this folder is replaced each time the demo starts.\n")?;
    std::fs::set_permissions(&marker, std::os::unix::fs::PermissionsExt::from_mode(0o600))?;
    Ok(())
}

/// Refuses to store real data in a demo's folder, since the next demo would replace it.
///
/// # Errors
/// When the folder is a demo's.
pub fn refuse(folder: &Path) -> anyhow::Result<()> {
    if folder.join(MARKER).exists() {
        bail!(
            "{} is the folder of a demo. The next demo would replace everything you enter. Name another folder with --data",
            folder.display()
        );
    }
    Ok(())
}

/// Fills an empty store and returns a link for each role.
///
/// # Errors
/// The store's.
pub async fn fill(app: &App, now: OffsetDateTime) -> Result<Vec<(Role, Secret)>> {
    // Nobody knows this password. People enter the demo by its links.
    let hash = accounts::hash_password(app, Secret::new().reveal().to_owned()).await?;
    let key = app.link_key.clone();
    let pictures = pictures::draw(app).await?;
    app.db.write(move |tx| Box::pin(async move { fill_store(tx, hash, &key, &pictures, now).await })).await
}

async fn fill_store(
    tx: &mut Tx,
    hash: String,
    key: &LinkKey,
    pictures: &Pictures,
    now: OffsetDateTime,
) -> Result<Vec<(Role, Secret)>> {
    let zone = Zone::named("America/Chicago").ok_or_else(|| anyhow!("a zone is missing"))?;
    let today = zone.today(now);
    let begun = zone.instant(today - Duration::days(150), time!(9:30)).unwrap_or(now);
    let department = Department {
        name: "Alder Bend Fire District".to_owned(),
        zone: zone.name().to_owned(),
        phone: "555-0117".to_owned(),
        home: Home {
            city: "Alder Bend".to_owned(),
            county: "Alder County".to_owned(),
            state: "Iowa".to_owned(),
            congress_district: "4".to_owned(),
            senate_district: "12".to_owned(),
            house_district: "31".to_owned(),
            others: Vec::new(),
        },
        version: 1,
    };
    let officer = fill_accounts(tx, &department, &hash, begun).await?;

    people::fill(tx, officer, begun).await?;

    let burn_on = coming(today + Duration::days(35), Weekday::Saturday);
    let founders_day = coming(today + Duration::days(16), Weekday::Monday);
    let closed = closed_days::ClosedDay { on: founders_day, reason: "Founders' Day, offices closed".to_owned() };
    closed_days::add(tx, officer, &closed, begun).await?;
    let calendar = Calendar::new([founders_day]);

    let details = Details {
        name: "Two Rooms, One Spark".to_owned(),
        site: "Alder Bend fairground, east lot".to_owned(),
        zone: zone.clone(),
        burn_on,
        burn_time: time!(10:00),
        rain_on: Some(burn_on + Duration::days(7)),
        format: Format::OneAtATime,
        audience: Some(300),
        weekdays: Weekdays::new([Weekday::Saturday]).ok_or_else(|| anyhow!("no weekday"))?,
        visitors: VisitorFacts {
            address: "1200 Fairground Road\nAlder Bend, Iowa".to_owned(),
            place: Coordinates::new(42.1, -94.02),
            parking: "Field 1, by the north gate. Free.".to_owned(),
            clothing: "Closed shoes and a warm coat. There will be smoke.".to_owned(),
        },
    };
    let event = events::create(tx, officer, &details, begun).await?;
    countdown::add_template(tx, officer, event, begun).await?;
    permits::learn(tx, officer, event, today, begun).await?;
    fit_plan(tx, officer, event, (burn_on, today), &calendar, begun).await?;
    fill_states(tx, event, &zone, (burn_on, today), &calendar, now).await?;

    let planned =
        events::Event { id: event, details, date_revision: 1, facts_revision: 1, is_current: true, version: 1 };
    let accounts = accounts::list_in(tx).await?;
    if let Some(priya) = accounts.iter().find(|account| account.role == Role::EducationOfficer) {
        let sender = Sender {
            name: priya.name.clone(),
            mail: priya.mail.clone(),
            phone: department.phone.clone(),
            title: String::new(),
            department: department.name.clone(),
            signer: None,
        };
        asks::fill(tx, (priya.id, priya.person_id), &sender, &planned, key, now).await?;
        guests::fill(tx, priya.id, &sender, &planned, key, now).await?;
        gifts::fill(tx, priya.id, &sender, &planned, now).await?;
        loans::fill(tx, (priya.id, pictures), &sender, &planned, key, now).await?;
        let safety_officer = accounts.iter().find(|account| account.role == Role::SafetyOfficer);
        let checker = safety_officer.map_or(priya.id, |account| account.id);
        crew::fill(tx, (priya.id, checker), &sender, &planned, key, now).await?;
        rooms::fill(tx, (priya.id, checker), &planned, pictures, now).await?;
        drawn::fill(tx, priya.id, &planned, now).await?;
        fire::fill(tx, priya.id, &planned, now).await?;
        talk::fill(tx, priya.id, &planned, now).await?;
        site::fill(tx, priya.id, &planned, now).await?;
        permits::fill(tx, (priya.id, checker), &planned, today, now).await?;
        // This many days ahead, so that one is due tomorrow.
        let ahead = u16::try_from((burn_on - today).whole_days() - 1).unwrap_or(0);
        reminders::chase_before(tx, officer, &planned, (Kind::Loan, ahead), begun).await?;
        if let Some(jun) = accounts.iter().find(|account| account.role == Role::InformationOfficer) {
            let context = press::PressContext {
                officer: (priya.id, priya.person_id),
                information_officer: (jun.id, jun.person_id),
                sender: Sender { name: jun.name.clone(), mail: jun.mail.clone(), ..sender },
            };
            press::fill(tx, &context, &planned, key, now).await?;
        }
    }

    let mut links = Vec::new();
    for account in accounts {
        links.push((account.role, accounts::make_link(tx, Actor::System, &account, Purpose::Demo, now).await?));
    }
    links.sort_by_key(|(role, _)| Role::ALL.iter().position(|known| known == role));
    Ok(links)
}

async fn fill_accounts(tx: &mut Tx, department: &Department, hash: &str, at: OffsetDateTime) -> Result<Actor> {
    let (name, mail, _) = ACCOUNTS[0];
    let officer = accounts::set_up(tx, department, name, mail, hash, at).await?;
    let officer = Actor::Account(officer.ok_or_else(|| anyhow!("the demo's store is not empty"))?);
    for (name, mail, role) in &ACCOUNTS[1..] {
        accounts::invite(tx, officer, name, mail, *role, at).await?.map_err(|why| anyhow!("{mail}: {why:?}"))?;
    }
    for account in accounts::list_in(tx).await?.into_iter().filter(|account| !account.joined) {
        accounts::change_password(tx, Actor::Link, &account, hash, at).await?;
    }
    Ok(officer)
}

/// The first such weekday on or after a day.
fn coming(from: Date, weekday: Weekday) -> Date {
    let ahead = (7 + weekday.number_days_from_monday() - from.weekday().number_days_from_monday()) % 7;
    from + Duration::days(i64::from(ahead))
}

/// Gives the tasks their people and adjusts a few lead times, so that two tasks are late and
/// the critical path has just enough days.
async fn fit_plan(
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

async fn fill_states(
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
