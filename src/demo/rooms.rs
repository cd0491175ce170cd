//! The demo's two living rooms. Nearly everything is there twice, except a floor lamp that
//! never came and a sofa of a different material.

use super::pictures::Pictures;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::gifts;
use crate::people;
use crate::rooms::{self, Details, Hazard, Kind, NewDonationRequest, Room, Ruling, Size, Source, ThingState};
use anyhow::anyhow;
use time::macros::time;
use time::{Duration, OffsetDateTime};

struct Sample {
    what: &'static str,
    quantity: u32,
    model: &'static str,
    material: &'static str,
    size: &'static str,
    position: &'static str,
    from: Source,
    by_whom: &'static str,
    state: ThingState,
}

const PLAIN: Sample = Sample {
    what: "",
    quantity: 1,
    model: "",
    material: "",
    size: "",
    position: "",
    from: Source::Bought,
    by_whom: "Second Hand Row",
    state: ThingState::Here,
};

/// Items that are the same in both rooms.
const BOTH: [Sample; 18] = [
    Sample {
        what: "armchair",
        model: "Riverside 1",
        material: "cotton over foam",
        size: "31 × 33 × 37 in",
        position: "right of the sofa",
        ..PLAIN
    },
    Sample {
        what: "coffee table",
        model: "Plank 110",
        material: "oak veneer",
        size: "43 × 24 × 18 in",
        position: "in front of the sofa",
        ..PLAIN
    },
    Sample {
        what: "side table",
        model: "Plank 45",
        material: "oak veneer",
        size: "18 × 18 × 22 in",
        position: "left of the sofa",
        ..PLAIN
    },
    Sample {
        what: "table lamp",
        model: "Glow 2",
        material: "steel, paper shade",
        size: "18 in",
        position: "on the side table",
        by_whom: "Alder Bend Hardware",
        ..PLAIN
    },
    Sample {
        what: "rug",
        model: "Meadow",
        material: "polypropylene",
        size: "63 × 91 in",
        position: "under the coffee table",
        ..PLAIN
    },
    Sample {
        what: "curtain",
        quantity: 2,
        model: "Drape 9",
        material: "polyester",
        size: "55 × 94 in",
        position: "back wall",
        ..PLAIN
    },
    Sample {
        what: "bookcase",
        model: "Shelf 80",
        material: "particle board",
        size: "31 × 11 × 79 in",
        position: "right wall",
        from: Source::Own,
        by_whom: "Station 1",
        ..PLAIN
    },
    Sample {
        what: "television stand",
        model: "Low 120",
        material: "particle board",
        size: "47 × 16 × 20 in",
        position: "left wall",
        ..PLAIN
    },
    Sample {
        what: "cushion",
        quantity: 3,
        model: "Square 45",
        material: "polyester",
        size: "18 × 18 in",
        position: "on the sofa",
        ..PLAIN
    },
    Sample {
        what: "throw blanket",
        model: "Fleece M",
        material: "polyester",
        size: "51 × 67 in",
        position: "on the armchair",
        state: ThingState::Promised,
        ..PLAIN
    },
    Sample {
        what: "framed picture",
        quantity: 2,
        model: "Frame 50",
        material: "pine, glass",
        size: "20 × 28 in",
        position: "back wall",
        ..PLAIN
    },
    Sample {
        what: "wastebasket",
        model: "Wire 12",
        material: "steel wire",
        size: "12 in",
        position: "right of the armchair",
        by_whom: "Alder Bend Hardware",
        ..PLAIN
    },
    Sample {
        what: "smoke alarm",
        model: "Chirp 10, dual sensor",
        material: "plastic",
        size: "4.7 in",
        position: "ceiling, middle",
        from: Source::Own,
        by_whom: "fire prevention bureau",
        ..PLAIN
    },
    Sample {
        what: "air freshener, aerosol",
        material: "steel can",
        size: "7 in",
        position: "on the side table",
        ..PLAIN
    },
    Sample {
        what: "newspaper",
        quantity: 3,
        material: "paper",
        position: "on the coffee table",
        from: Source::Own,
        by_whom: "Station 1",
        ..PLAIN
    },
    Sample {
        what: "wall clock",
        model: "Round 30",
        material: "plastic",
        size: "12 in",
        position: "left wall",
        state: ThingState::Wanted,
        from: Source::Unknown,
        by_whom: "",
        ..PLAIN
    },
    Sample { what: "houseplant", material: "polyester", size: "35 in", position: "right corner", ..PLAIN },
    Sample {
        what: "book",
        quantity: 20,
        material: "paper",
        position: "in the bookcase",
        from: Source::Own,
        by_whom: "Station 1",
        ..PLAIN
    },
];

/// Items that only one room has, or that differ.
const ONE: [(Room, Sample); 4] = [
    (
        Room::A,
        Sample {
            what: "sofa",
            model: "Riverside 3",
            material: "linen over foam",
            size: "83 × 35 × 33 in",
            position: "along the back wall",
            ..PLAIN
        },
    ),
    (
        Room::B,
        Sample {
            what: "sofa",
            model: "Harbor 3",
            material: "leather over foam",
            size: "83 × 36 × 33 in",
            position: "along the back wall",
            from: Source::Own,
            by_whom: "Station 2",
            ..PLAIN
        },
    ),
    (
        Room::A,
        Sample {
            what: "floor lamp",
            model: "Glow 5",
            material: "steel, paper shade",
            size: "60 in",
            position: "left corner",
            by_whom: "Alder Bend Hardware",
            ..PLAIN
        },
    ),
    (
        Room::A,
        Sample {
            what: "television",
            model: "View 32",
            material: "plastic, glass",
            size: "32 in",
            position: "on the TV stand",
            from: Source::Own,
            by_whom: "Station 1",
            ..PLAIN
        },
    ),
];

/// The other television, a little larger.
const SECOND_TELEVISION: Sample = Sample {
    what: "television",
    model: "View 33",
    material: "plastic, glass",
    size: "33 in",
    position: "on the TV stand",
    from: Source::Own,
    by_whom: "Station 2",
    ..PLAIN
};

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

impl Sample {
    fn details(&self, room: Room) -> Result<Details> {
        let size = Size::read(self.size).map_err(|why| Error::Internal(anyhow!("{}: {why}", self.what)))?;
        Ok(Details {
            model: self.model.to_owned(),
            material: self.material.to_owned(),
            size,
            position: self.position.to_owned(),
            condition: if self.from == Source::Unknown { String::new() } else { "used".to_owned() },
            quantity: self.quantity,
            source: self.from,
            by_whom: self.by_whom.to_owned(),
            state: self.state,
            ..Details::of(room, Kind::Furnishing, self.what)
        })
    }
}

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
