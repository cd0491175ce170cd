//! What is in both rooms, and what is only in one.

use crate::error::{Error, Result};
use crate::rooms::{Details, Kind, Room, Size, Source, ThingState};
use anyhow::anyhow;

pub(super) struct Sample {
    pub what: &'static str,
    pub quantity: u32,
    pub model: &'static str,
    pub material: &'static str,
    pub size: &'static str,
    pub position: &'static str,
    pub from: Source,
    pub by_whom: &'static str,
    pub state: ThingState,
}

pub(super) const PLAIN: Sample = Sample {
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
pub(super) const BOTH: [Sample; 18] = [
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
pub(super) const ONE: [(Room, Sample); 4] = [
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
pub(super) const SECOND_TELEVISION: Sample = Sample {
    what: "television",
    model: "View 33",
    material: "plastic, glass",
    size: "33 in",
    position: "on the TV stand",
    from: Source::Own,
    by_whom: "Station 2",
    ..PLAIN
};

impl Sample {
    pub(super) fn details(&self, room: Room) -> Result<Details> {
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
