//! The demo: the Alder Bend Fire District and its burn. All of it is made up, and dated from
//! today so that it looks the same on any day.

mod answers;
mod asks;
mod crew;
mod drawn;
mod fire;
mod folder;
mod gates;
mod gifts;
mod guests;
mod letters;
mod loans;
mod people;
mod permits;
mod pictures;
mod plan;
mod press;
mod rooms;
mod site;
mod staff;
mod talk;

use crate::accounts::{self, Department, Purpose, Role};
use crate::asks::{Kind, Sender};
use crate::calc::calendar::Calendar;
use crate::calc::homes::Home;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::{self, Coordinates, Details, Format, VisitorFacts, Weekdays};
use crate::state::App;
use crate::web::link::{LinkKey, Secret};
use crate::zone::Zone;
use crate::{closed_days, countdown, reminders};
use anyhow::anyhow;
use pictures::Pictures;
use plan::{fill_states, fit_plan};
use time::macros::time;
use time::{Date, Duration, OffsetDateTime, Weekday};

pub use folder::{clear, refuse};

/// Fills an empty store and returns a link for each role.
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
    let department = department(&zone);
    let officer = staff::fill(tx, &department, &hash, begun).await?;

    people::fill(tx, officer, begun).await?;

    let burn_on = coming(today + Duration::days(35), Weekday::Saturday);
    let founders_day = coming(today + Duration::days(16), Weekday::Monday);
    let closed = closed_days::ClosedDay { on: founders_day, reason: "Founders' Day, offices closed".to_owned() };
    closed_days::add(tx, officer, &closed, begun).await?;
    let calendar = Calendar::new([founders_day]);

    let details = details(&zone, burn_on)?;
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
        gates::fill(tx, (priya.id, checker), &planned, now).await?;
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

fn department(zone: &Zone) -> Department {
    Department {
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
    }
}

fn details(zone: &Zone, burn_on: Date) -> Result<Details> {
    Ok(Details {
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
    })
}

/// The first such weekday on or after a day.
fn coming(from: Date, weekday: Weekday) -> Date {
    let ahead = (7 + weekday.number_days_from_monday() - from.weekday().number_days_from_monday()) % 7;
    from + Duration::days(i64::from(ahead))
}
