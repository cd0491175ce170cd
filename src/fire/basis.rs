//! What an estimate rests on, line by line.

use super::choices::Fuel;
use super::reading::Read;
use super::setup::Setup;
use super::{listed, quantities, typed};
use crate::calc::fire::FREEZING;
use crate::calc::fire::bands::Bands;
use crate::calc::fire::sampling::Range;
use crate::rooms::Thing;
use crate::web::words;

/// A line of what the estimate rests on.
#[derive(Debug)]
pub(super) struct Basis {
    pub what: String,
    pub beneath: String,
    pub value: String,
}

/// A range of lengths in both units.
fn both(range: Range) -> String {
    if range.is_exact() {
        return quantities::height(range.low);
    }
    format!("{} to {} ({:.1} to {:.1} m)", typed::feet(range.low), typed::feet(range.high), range.low, range.high)
}

/// The line about the model, which is the same for every setting.
pub(super) const MODEL: &str = "The model itself";

/// Every input with its range and its source.
pub(super) fn basis(setup: &Setup, read: &Read, things: &[Thing], bands: &Bands) -> Vec<Basis> {
    let line =
        |what: &str, beneath: &str, value: String| Basis { what: what.to_owned(), beneath: beneath.to_owned(), value };
    let room = &read.inputs.room;
    let panel = if setup.panel.trim().is_empty() {
        String::new()
    } else {
        format!(", clear panel {} from the top", setup.panel)
    };
    let mut all = vec![
        line(
            "Room",
            &format!("{}, {} ceiling", setup.walls, setup.ceiling),
            format!(
                "{} × {} × {}",
                quantities::height(room.length),
                quantities::height(room.width),
                quantities::height(room.height)
            ),
        ),
        line(
            "Open front",
            "A clear panel gives no protection: it softens and falls.",
            format!("{} × {}{panel}", quantities::height(read.front.width), quantities::height(read.front.height())),
        ),
    ];
    for (place, fuel) in read.fuels.iter().enumerate() {
        let [_, delay, peak, rise] = setup.item(place);
        let source = fuel.preset().source();
        let listed = if listed::is_listed(things, *fuel) { "on the room lists" } else { "not on the room lists" };
        let when = if place == 0 { "catches after" } else { "catches after another" };
        let rise = match fuel {
            Fuel::Wastebasket | Fuel::Curtain => format!("full in {rise} s"),
            Fuel::Armchair | Fuel::Sofa | Fuel::Bed => format!("1,055 kW in {rise} s"),
        };
        let before = read.fuels[..place].iter().filter(|other| *other == fuel).count();
        let number = if before > 0 { format!(" {}", before + 1) } else { String::new() };
        all.push(Basis {
            what: format!("{}{number}", words::capital(fuel.as_str())),
            beneath: format!("{listed}; {source}"),
            value: format!("{when} {delay} s; {peak} kW, {rise}"),
        });
    }
    all.extend([
        line(
            "Fire starts",
            "A wall or a corner makes the flame longer.",
            format!("{}, {} above the floor", setup.place, both(read.inputs.surface)),
        ),
        line(
            "Sprinkler",
            "The listed head's data sheet decides.",
            format!(
                "{} °F ({:.0} °C), RTI {} √(m·s), C {} √(m/s), {} from the fire",
                setup.rating,
                read.inputs.sprinkler.rating - FREEZING,
                setup.rti,
                setup.conductance,
                both(read.inputs.sprinkler.distance)
            ),
        ),
        line(
            "Sprinkler water",
            "It decides how fast the fire fades in room B.",
            format!("K {} gpm/√psi at {} psi", setup.k_factor, setup.head_psi),
        ),
        line(
            "Smoke alarm",
            "From eight NIST home tests. Photoelectric alarms take longer with flames. Dual-sensor alarms count as ionization.",
            format!("{}, {} from the fire", setup.alarm, both(read.inputs.alarm.distance)),
        ),
        line(
            "The day's air",
            "A cold day makes the sprinkler later.",
            format!(
                "{} °F ({:.0} to {:.0} °C)",
                setup.air,
                read.inputs.ambient.low - FREEZING,
                read.inputs.ambient.high - FREEZING
            ),
        ),
        line(
            MODEL,
            "Its errors in NIST's tests: 27 sprinklers, 83 layers, 4 furnished rooms.",
            format!("{} fires drawn, {} each", words::grouped(bands.count), quantities::clock(bands.until)),
        ),
    ]);
    all
}
