//! A setup read into numbers: what the computation takes, or what is wrong, field by field.

mod devices;
mod heat;
mod items;
mod sizes;
mod water;

use super::choices::{Ceiling, Fuel, Place, Walls};
use super::setup::Setup;
use super::typed::{distances, feet, numbers};
use crate::calc::fire::bands::Inputs;
use crate::calc::fire::growth::Item;
use crate::calc::fire::room::Opening;
use crate::calc::fire::sampling::Range;
use crate::calc::fire::{FOOT, kelvin};
use crate::web::form::{self, Mistakes};
use devices::{Devices, fahrenheit};
use sizes::Sizes;

pub use heat::Heat;
pub use water::Water;

/// What was typed, once it is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    pub inputs: Inputs,
    pub fuels: Vec<Fuel>,
    /// The front without its panel.
    pub front: Opening,
    pub walls: Walls,
    pub ceiling: Ceiling,
    pub heat: Heat,
    pub water: Water,
}

impl Setup {
    /// Everything typed, or what is wrong with it, field by field.
    ///
    /// # Errors
    /// What is wrong.
    pub fn read(&self) -> Result<Read, Mistakes> {
        let mut mistakes = Mistakes::default();
        let said = &mut mistakes;
        said.note("name", form::line(&self.name, 60));
        let sizes = Sizes::read(self, said);
        let walls = said.note("walls", self.walls.parse::<Walls>());
        let ceiling = said.note("ceiling", self.ceiling.parse::<Ceiling>());
        let place = said.note("place", self.place.parse::<Place>());
        let surface = said.note("surface", distances(&self.surface, 0.0, 4.0));
        let air = said.note("air", numbers(&self.air, -20.0, 120.0));
        let items = self.read_items(said);
        let devices = Devices::read(self, said);
        let heat = self.read_heat(said);
        let water = self.read_water(said);
        sizes.check_front(said);
        if let Some(diagonal) = sizes.diagonal() {
            devices.check_distances(diagonal, said);
        }
        if let Some(height) = sizes.height {
            check_heights(height, surface, heat.as_ref(), said);
        }
        let read = (|| {
            let (walls, front, water) = (walls?, sizes.front()?, water?);
            let room = sizes.room(walls)?;
            let (fuels, items): (Vec<Fuel>, Vec<Item>) = items?.into_iter().unzip();
            let air = air?;
            let inputs = Inputs {
                until: Inputs::horizon(&items),
                items,
                location: place?.location(),
                surface: surface?,
                ambient: Range::new(fahrenheit(air.low), fahrenheit(air.high)),
                sprinkler: devices.sprinkler(water.density(&room))?,
                alarm: devices.alarm()?,
                flashover: Range::new(kelvin(500.0), kelvin(600.0)),
                room,
            };
            Some(Read { inputs, fuels, front, walls, ceiling: ceiling?, heat: heat?, water })
        })();
        match read {
            Some(read) if mistakes.is_empty() => Ok(read),
            _ => Err(mistakes),
        }
    }
}

/// Notes what doesn't fit the height of the room.
fn check_heights(height: f64, surface: Option<Range>, heat: Option<&Heat>, said: &mut Mistakes) {
    if heat.is_some_and(|heat| heat.structure < height - 1e-3) {
        said.add("structure", format!("The room alone is {} high.", feet(height)));
    }
    if surface.is_some_and(|surface| surface.high > height - 4.0 * FOOT + 1e-3) {
        said.add("surface", "Type a height at least 4 ft below the ceiling.");
    }
}
