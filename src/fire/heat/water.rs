//! Whether the water lasts, line by line.

use crate::calc::fire::{FOOT, GALLON, PSI, water};
use crate::fire::quantities::whole;
use crate::fire::reading::{Read, Water};
use crate::web::words::grouped;

/// An attack or a backup line flows at least this many gpm: NFPA 1403, from memory.
const LEAST_LINE: f64 = 95.0;

/// A line of the water check.
#[derive(Debug, Clone)]
pub(in crate::fire) struct WaterLine {
    pub mark: &'static str,
    pub what: &'static str,
    pub value: String,
    pub source: &'static str,
    /// What is missing; empty if nothing is.
    pub short: String,
}

fn gallons(gallons: f64) -> String {
    format!("{} gal ({} L)", grouped(whole(gallons)), grouped(whole(gallons.round() * GALLON)))
}

fn flow(gpm: f64) -> String {
    format!("{} gpm ({} L/min)", grouped(whole(gpm)), grouped(whole(gpm * GALLON)))
}

fn pressure(psi: f64) -> String {
    format!("{} psi ({} kPa)", grouped(whole(psi)), grouped(whole(psi * PSI)))
}

/// The sprinkler's tank, line by line.
pub(super) fn sprinkler(read: &Read) -> Vec<WaterLine> {
    let Water { k_factor, head_psi, tank, unusable, tank_minutes, .. } = read.water;
    let gpm = water::flow(k_factor, head_psi);
    let room = &read.inputs.room;
    let feet = room.floor_area() / (FOOT * FOOT);
    let line = |mark, what, value, source, short| WaterLine { mark, what, value, source, short };
    let demand = gpm * tank_minutes + unusable;
    let mut all = vec![
        line(
            "flow",
            "One head flows",
            flow(gpm),
            "K × √pressure (NFPA 13D). The listing's least flow counts.",
            String::new(),
        ),
        line(
            "density",
            "On the floor",
            format!("{:.2} gpm/ft² ({:.1} mm/min)", gpm / feet, water::density(gpm, feet) * 60.0),
            "flow over the floor of one room",
            String::new(),
        ),
        line(
            "demand",
            "The tank must hold",
            gallons(demand),
            "flow × minutes, and what can't be drawn; NFPA 13D asks for 10 minutes, for some homes 7",
            String::new(),
        ),
    ];
    match tank {
        Some(held) => {
            let minutes = water::tank_minutes(held, unusable, gpm);
            let missing = demand - held;
            let short = if missing > 0.5 { format!("{} short.", gallons(missing)) } else { String::new() };
            all.push(line(
                "tank",
                "The sprinkler's tank lasts",
                format!("{:.1} minutes", (minutes * 10.0).floor() / 10.0),
                "what can be drawn ÷ flow",
                short,
            ));
        }
        None => all.push(line(
            "tank",
            "The sprinkler's tank lasts",
            "not known yet".to_owned(),
            "",
            "Enter how much the sprinkler's tank holds.".to_owned(),
        )),
    }
    all
}

/// Attack line and backup line, line by line.
pub(super) fn hose(read: &Read) -> Vec<WaterLine> {
    let Water { attack_gpm, attack_supply, backup_gpm, backup_supply, attack_minutes, .. } = read.water;
    let mut all = Vec::new();
    let lines = [
        ("attack", "Attack line", attack_gpm, attack_supply),
        ("backup", "Backup line, from its own supply", backup_gpm, backup_supply),
    ];
    for (mark, what, gpm, supply) in lines {
        let needed = water::needed(gpm, attack_minutes);
        let mut short = Vec::new();
        if gpm < LEAST_LINE {
            short.push("Below 95 gpm.".to_owned());
        }
        match supply {
            Some(held) if held + 0.5 < needed => short.push(format!("{} short.", gallons(needed - held))),
            Some(_) => {}
            None => short.push("Enter what its supply holds.".to_owned()),
        }
        let value = format!("{}: {} for {attack_minutes} minutes, half again in reserve", flow(gpm), gallons(needed));
        // From memory of the standard.
        let source = "NFPA 1403: at least 95 gpm a line, separate supplies, and half again in reserve. Check the \
                      edition your authority has adopted.";
        all.push(WaterLine { mark, what, value, source, short: short.join(" ") });
    }
    let Water { hose, hose_feet, nozzle_psi, .. } = read.water;
    let lost = water::friction(hose.friction(), attack_gpm, hose_feet);
    all.push(WaterLine {
        mark: "pump",
        what: "Pump pressure for the attack line",
        value: format!(
            "{}: {} at the nozzle and {} lost in {} ft of {hose} hose",
            pressure(nozzle_psi + lost),
            pressure(nozzle_psi),
            pressure(lost),
            whole(hose_feet)
        ),
        source: "C × (gpm/100)² × length/100 ft, on level ground",
        short: String::new(),
    });
    let reach = water::REACHES.map(|(mm, bar, meters)| {
        format!(
            "{:.2} in tip at {} psi {} ft ({meters:.0} m)",
            mm / 25.4,
            whole(bar * 100.0 / PSI),
            whole(meters / FOOT)
        )
    });
    all.push(WaterLine {
        mark: "reach",
        what: "Reach at 35°, if the stream is solid",
        value: reach.join(", "),
        source: "measured by Theobald; a fog stream reaches far less",
        short: String::new(),
    });
    let pounds = water::fog_reaction(attack_gpm, nozzle_psi);
    all.push(WaterLine {
        mark: "reaction",
        what: "Nozzle reaction, fog",
        value: format!("{} lbf ({} N)", whole(pounds), whole(pounds * 4.448_22)),
        source: "0.0505 × gpm × √psi",
        short: String::new(),
    });
    all
}
