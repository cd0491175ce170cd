//! Where the demo's furniture stands. All of it is invented.

use crate::calc::site::INCH;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::rooms::{self, Frame, Place, Room};
use crate::web::words::capital;
use anyhow::anyhow;
use time::macros::time;
use time::{Duration, OffsetDateTime};

/// Of each item, in inches: its middle from the left wall and from the back wall, its
/// underside above the floor; and degrees.
const PLACES: [(&str, [f64; 4]); 20] = [
    ("sofa", [64.0, 22.0, 0.0, 0.0]),
    ("armchair", [123.0, 34.0, 0.0, 0.0]),
    ("coffee table", [60.0, 64.0, 0.0, 0.0]),
    ("side table", [11.0, 14.0, 0.0, 0.0]),
    ("table lamp", [11.0, 14.0, 22.0, 0.0]),
    ("floor lamp", [12.0, 36.0, 0.0, 0.0]),
    ("rug", [60.0, 70.0, 0.0, 0.0]),
    ("curtain", [115.0, 2.0, 1.0, 0.0]),
    ("bookcase", [138.0, 75.0, 0.0, 90.0]),
    ("book", [138.0, 75.0, 32.0, 90.0]),
    ("television stand", [9.0, 78.0, 0.0, 270.0]),
    ("television", [9.0, 78.0, 20.0, 270.0]),
    ("cushion", [50.0, 20.0, 18.0, 0.0]),
    ("framed picture", [52.0, 1.0, 48.0, 0.0]),
    ("wastebasket", [116.0, 9.0, 0.0, 0.0]),
    ("smoke alarm", [72.0, 70.0, 94.0, 0.0]),
    ("air freshener, aerosol", [14.0, 16.0, 22.0, 0.0]),
    ("newspaper", [66.0, 64.0, 18.0, 0.0]),
    ("wall clock", [84.0, 1.0, 62.0, 0.0]),
    ("houseplant", [132.0, 106.0, 0.0, 0.0]),
];

pub(super) async fn fill(tx: &mut Tx, account: i64, event: &Event, now: OffsetDateTime) -> Result<()> {
    let (actor, today) = (Actor::Account(account), event.today(now));
    let at = event.details.zone.instant(today - Duration::days(5), time!(16:30)).unwrap_or(now).min(now);
    let inches = |inches: f64| (inches * INCH * 10_000.0).round() / 10_000.0;
    let frame = Frame {
        width: inches(144.0),
        depth: inches(120.0),
        height: inches(96.0),
        rod: inches(95.0),
        panels: inches(24.0),
        spare: 10,
        version: 0,
    };
    let is_set = rooms::set_frame(tx, actor, event.id, &frame, at).await?;
    for thing in rooms::of_event(tx, event.id).await? {
        let Some((_, [x, y, above, turn])) = PLACES.iter().find(|(what, _)| *what == thing.details.what) else {
            continue;
        };
        // The chair of room B has been moved since.
        let aside = if thing.details.room == Room::B && thing.details.what == "armchair" { 6.0 } else { 0.0 };
        let place = Place { x: inches(*x), y: inches(y + aside), above: inches(*above), turn: *turn, version: 0 };
        let called = format!("{}, {}", capital(&thing.details.says()), thing.details.room);
        rooms::place(tx, actor, event.id, (thing.id, &called), &place, at).await?;
    }
    rooms::place_usual(tx, actor, event, at).await?;
    if is_set { Ok(()) } else { Err(anyhow!("the demo's rooms have a size already").into()) }
}
