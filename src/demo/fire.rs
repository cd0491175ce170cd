//! The demo's estimates of the fire, and the times of last year's burn. All of it is invented.

use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::fire::{self, Earlier, Setting, Setup};
use time::macros::time;
use time::{Duration, OffsetDateTime};

/// Adds two estimates, the first one pinned, and an earlier burn.
pub(super) async fn fill(tx: &mut Tx, account: i64, event: &Event, now: OffsetDateTime) -> Result<()> {
    let (actor, today) = (Actor::Account(account), event.today(now));
    let at = |days: i64| event.details.zone.instant(today - Duration::days(days), time!(10:40)).unwrap_or(now).min(now);
    let mut listed = fire::as_listed(tx, event).await?;
    // The basket stands beside the armchair, and the sofa is across the room.
    for fields in [&mut listed.kind, &mut listed.delay, &mut listed.peak, &mut listed.rise] {
        fields.truncate(3);
    }
    let text = str::to_owned;
    let planned = Setup {
        name: text("6 ft open"),
        panel: text("2 ft"),
        air: text("25 to 50"),
        own_distance: text("60"),
        tank: text("120"),
        unusable: text("5"),
        attack_supply: text("1500"),
        backup_supply: text("1500"),
        ..listed
    };
    let lower = Setup { name: text("4 ft open"), panel: text("4 ft"), ..planned.clone() };
    for setup in [lower, planned.clone()] {
        fire::save(tx, actor, event.id, &Setting { id: 0, setup, version: 0 }, at(6)).await?;
    }
    fire::pin(tx, account, event.id, &planned, at(6)).await?;
    let earlier = Earlier {
        id: 0,
        name: text("Open house last year"),
        on: today - Duration::days(371),
        alarm: Some(34),
        sprinkler: Some(51),
        flashover: Some(214),
    };
    fire::add_earlier(tx, actor, &earlier, at(6)).await
}
