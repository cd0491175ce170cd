//! What the countdown shows about the rooms.

use super::collecting::{collected_by, days_left};
use super::drawn::{LayoutSnapshot, Picture, pictures};
use super::snapshot::{Orphan, RoomSnapshot};
use super::{Thing, ThingState};
use crate::countdown::{Call, CountdownItems, DrawnRoom, DrawnRooms, Due, MoveLine, Owner, Ready, Strand};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::gifts::GiftStatus;
use crate::state::App;
use crate::web::words::{self, Reader};
use futures_util::future::BoxFuture;
use time::{Date, OffsetDateTime};

/// More orphans than this share one line.
const APART: usize = 3;

/// The pairs on hand, and the items without a match.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let snapshot = RoomSnapshot::load(&mut *app.db.read().acquire().await?, &event).await?;
        if snapshot.things.is_empty() {
            return Ok(CountdownItems::default());
        }
        let done = snapshot.pairs().filter(|pair| snapshot.pair_state(pair) >= ThingState::Here).count();
        let (pairs, open) = (snapshot.pairs().count(), snapshot.orphans().count());
        let href = format!("{}/rooms", event.href());
        let ready = Ready {
            name: "Rooms",
            href: href.clone(),
            done,
            waiting: pairs - done,
            open,
            what: "items in both rooms",
            rain: None,
        };
        let mut problems = vec![format!("{href}/shopping"); open];
        problems.extend(vec![format!("{href}/warnings"); snapshot.undecided()]);
        let mut due = orphans(&snapshot, &href, event.today(now));
        due.extend(undecided(&snapshot, &href));
        let known = LayoutSnapshot::load(&mut *app.db.read().acquire().await?, snapshot).await?;
        Ok(CountdownItems {
            strand: Some(Strand::Rooms),
            ready: vec![ready],
            due,
            problems,
            rooms: small(&known),
            ..CountdownItems::default()
        })
    })
}

/// Both rooms as they fill; none before anything is placed.
fn small(known: &LayoutSnapshot) -> Option<DrawnRooms> {
    let pictures = pictures(known, &[]).filter(|_| !known.places.is_empty())?;
    let shapes = || pictures.iter().flat_map(|picture| &picture.shapes);
    // Both at one scale, with the room that the catch board takes.
    let height = pictures.iter().map(|picture| picture.height).fold(0.0, f64::max);
    let room = |picture: &Picture| DrawnRoom {
        letter: picture.room.letter(),
        width: picture.width,
        height,
        walls: picture.walls.clone(),
        items: picture.shapes.iter().map(|shape| (shape.path.clone(), shape.state)).collect(),
    };
    Some(DrawnRooms {
        href: format!("{}/rooms/plan", known.rooms.event.href()),
        here: shapes().filter(|shape| shape.state == "here").count(),
        all: shapes().count(),
        rooms: pictures.iter().map(room).collect(),
    })
}

fn orphans(snapshot: &RoomSnapshot, href: &str, today: Date) -> Vec<Due> {
    let burn_on = snapshot.event.details.burn_on;
    let left = days_left(burn_on, today);
    let due = |title: String, beneath: String| Due {
        title,
        beneath,
        said: String::new(),
        href: format!("{href}/shopping"),
        person: None,
        owner: Owner::EducationOfficer,
        on: collected_by(burn_on),
        call: Call::NoOne,
        is_problem: true,
    };
    let all: Vec<_> = snapshot.orphans().collect();
    if all.len() > APART {
        let title = format!("Get a second one of {}", words::count(all.len(), "item", "items"));
        return vec![due(title, format!("only one room has them; {left}"))];
    }
    let one = |orphan: &Orphan| {
        let details = &orphan.thing.details;
        let count = if orphan.quantity == 1 { String::new() } else { format!("{} × ", orphan.quantity) };
        let title = format!("Get for {}: {count}{}", details.room.other(), details.what);
        due(title, format!("{} has it; {left}", details.room))
    };
    all.iter().map(one).collect()
}

fn undecided(snapshot: &RoomSnapshot, href: &str) -> Option<Due> {
    let open = snapshot.undecided();
    (open > 0).then(|| Due {
        title: format!("Decide {}", words::count(open, "fuel warning", "fuel warnings")),
        beneath: "your authority having jurisdiction decides what may burn".to_owned(),
        said: String::new(),
        href: format!("{href}/warnings"),
        person: None,
        owner: Owner::SafetyOfficer,
        on: collected_by(snapshot.event.details.burn_on),
        call: Call::NoOne,
        is_problem: true,
    })
}

/// Items that would arrive after a burn day on `to`.
#[must_use]
#[expect(clippy::needless_pass_by_value, reason = "the places share one shape")]
pub fn moves(app: App, event: Event, to: Details, now: OffsetDateTime) -> BoxFuture<'static, Result<Vec<MoveLine>>> {
    Box::pin(async move {
        if to.burn_on == event.details.burn_on {
            return Ok(Vec::new());
        }
        let snapshot = RoomSnapshot::load(&mut *app.db.read().acquire().await?, &event).await?;
        let today = event.today(now);
        let late = |thing: &&Thing| {
            let gift = snapshot.gift(thing).filter(|gift| gift.details.status == GiftStatus::Promised)?;
            gift.details.promised_by.filter(|by| *by >= to.burn_on && snapshot.state(thing) < ThingState::Here)
        };
        let lines = snapshot.things.iter().filter_map(|thing| {
            let by = late(&thing)?;
            Some(MoveLine {
                what: format!("Too late: {} for {}", thing.details.says(), thing.details.room),
                beneath: format!("promised by {}; call and ask for an earlier date", Reader::App.near_day(by, today)),
                href: thing.href(),
                is_open: true,
            })
        });
        Ok(lines.collect())
    })
}
