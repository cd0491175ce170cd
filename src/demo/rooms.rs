//! The demo's two living rooms. Nearly everything is there twice, except a floor lamp that
//! never came and a sofa of a different material.

mod items;

use super::pictures::Pictures;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::rooms::{self, Details, Hazard, Kind, NewDonationRequest, Room, Ruling, Source, ThingState};
use crate::{gifts, people};
use items::{BOTH, ONE, PLAIN, SECOND_TELEVISION, Sample};
use time::macros::time;
use time::{Duration, OffsetDateTime};

/// Building parts for both rooms: what, material, size, how many per room.
const PARTS: [(&str, &str, &str, u32); 4] = [
    ("gypsum board", "gypsum, paper", "48 × 96 × 0.5 in", 6),
    ("wall stud", "spruce", "1.5 × 3.5 × 96 in", 22),
    ("floor panel", "oriented strand board", "48 × 96 × 0.75 in", 3),
    ("ceiling panel", "gypsum, paper", "48 × 96 × 0.625 in", 3),
];

/// The items with a photo, in which room, and the drawing.
const DRAWN: [(&str, Option<Room>, &str); 8] = [
    ("sofa", Some(Room::A), "sofa gray"),
    ("sofa", Some(Room::B), "sofa tan"),
    ("armchair", None, "armchair"),
    ("floor lamp", None, "floor lamp"),
    ("coffee table", None, "coffee table"),
    ("bookcase", None, "bookcase"),
    ("television", None, "television"),
    ("curtain", None, "curtains"),
];

/// Adds all items, two decisions, and one donation request.
pub(super) async fn fill(
    tx: &mut Tx,
    (account, safety_officer): (i64, i64),
    event: &Event,
    pictures: &Pictures,
    now: OffsetDateTime,
) -> Result<()> {
    let (actor, today) = (Actor::Account(account), event.today(now));
    let at = |days: i64| event.details.zone.instant(today - Duration::days(days), time!(16:20)).unwrap_or(now).min(now);
    for known in &BOTH {
        for room in Room::ALL {
            rooms::add(tx, actor, event.id, &known.details(room)?, at(20)).await?;
        }
    }
    let mut lamp = None;
    for (room, known) in &ONE {
        let id = rooms::add(tx, actor, event.id, &known.details(*room)?, at(14)).await?;
        lamp = lamp.or((known.what == "floor lamp").then_some(id));
    }
    rooms::add(tx, actor, event.id, &SECOND_TELEVISION.details(Room::B)?, at(14)).await?;
    build(tx, actor, event, at(10)).await?;
    for thing in rooms::of_event(tx, event.id).await? {
        let drawing = DRAWN
            .iter()
            .find(|(what, of, _)| *what == thing.details.what && of.is_none_or(|of| of == thing.details.room));
        if let Some((.., name)) = drawing {
            let taken = Some(pictures.of(name)?);
            rooms::set_photo(tx, actor, (event.id, thing.id), (taken, thing.version), at(9)).await?;
        }
    }

    for (what, quantity) in [("sofa", 2), ("armchair", 2)] {
        let ruling = Ruling {
            hazard: Hazard::Foam,
            what: what.to_owned(),
            quantity,
            decided: "One burns in each room".to_owned(),
            by: "Dele Aldous".to_owned(),
            signed_as: "safety officer".to_owned(),
            on: today - Duration::days(5),
        };
        rooms::rule(tx, safety_officer, event.id, &ruling, at(5)).await?;
    }
    let everyone = people::everyone(tx).await?;
    if let Some(philippa) = everyone.iter().find(|person| person.details.name == "Philippa Nakamura") {
        let what = "floor lamp".to_owned();
        let donation = NewDonationRequest { person_id: philippa.id, thing_id: lamp, is_like: true, what, quantity: 1 };
        rooms::add_donation_request(tx, account, event.id, (&donation, None), at(3)).await?;
    }
    Ok(())
}

/// Adds the building parts. The gypsum boards are the lumber yard's gift.
async fn build(tx: &mut Tx, actor: Actor, event: &Event, at: OffsetDateTime) -> Result<()> {
    let gifts = gifts::of_event(tx, event.id).await?;
    let boards = gifts.iter().find(|gift| gift.details.what.says().contains("gypsum board"));
    for (what, material, size, quantity) in PARTS {
        let gift = boards.filter(|_| what == "gypsum board");
        let known = Sample {
            what,
            quantity,
            material,
            size,
            from: if gift.is_some() { Source::Gift } else { Source::Bought },
            by_whom: "Bend Lumber Yard",
            state: if what == "ceiling panel" { ThingState::Wanted } else { ThingState::Here },
            ..PLAIN
        };
        for room in Room::ALL {
            let details = known.details(room)?;
            let condition = "new".to_owned();
            let details = Details { kind: Kind::Part, gift_id: gift.map(|gift| gift.id), condition, ..details };
            rooms::add(tx, actor, event.id, &details, at).await?;
        }
    }
    Ok(())
}
