//! How far people and things must be from the fire, and whether the water lasts.

use super::Reach;
use super::reading::{Read, Water};
use super::says::{distance, heat, whole};
use crate::calc::fire::bands::Bands;
use crate::calc::fire::radiation::{EXPOSURES, RADIATED, distance_to, glowing_opening, point_source};
use crate::calc::fire::{FOOT, GALLON, PSI, kelvin, water};
use crate::events::Format;
use crate::web::words::grouped;

/// Btu/(h·ft²) in a kW/m².
pub const BTU: f64 = 316.998;
/// The front after flashover, °C.
const GLOWS: f64 = 900.0;
/// How much farther away when the wind blows toward people: common practice, no source.
const WIND: f64 = 2.0;
/// How many heights of the structure to stay away from one that may fall.
const COLLAPSE: f64 = 1.5;
/// An attack or a backup line flows at least this many gpm: NFPA 1403, from memory.
const LEAST_LINE: f64 = 95.0;

/// Things melt or warp above this, kW/m²: common practice, no source.
const MELTS: f64 = 2.5;

/// Who or what stands at the line, how much heat is allowed there in kW/m², and where that
/// figure comes from.
const OTHERS: [(&str, &str, f64, &str); 3] = [
    (
        "press",
        "Press and adult guests with an escort",
        1.58,
        "API 521, continuously in clothing (500 Btu/(h·ft²)). Bare skin and children stay behind the public's line",
    ),
    (
        "crew",
        "Crew in full protective clothing",
        4.73,
        "API 521: minutes of emergency work in clothing (1,500 Btu/(h·ft²))",
    ),
    ("things", "Screens, clocks, and other things that melt", MELTS, "common practice, without a published source"),
];

/// The heat in front of the rooms at a distance in meters, kW/m².
pub(super) struct Glow {
    front: (f64, f64),
    peak: f64,
    rooms: f64,
}

impl Glow {
    pub fn of(read: &Read, bands: &Bands, format: Format) -> Self {
        let front = read.front;
        Self {
            front: (front.width, front.height()),
            peak: bands.peak.at[4].unwrap_or_default(),
            rooms: if format == Format::BothAtOnce { 2.0 } else { 1.0 },
        }
    }

    fn front_at(&self, meters: f64) -> f64 {
        self.rooms * glowing_opening(kelvin(GLOWS), 1.0, self.front, meters)
    }

    fn flame_at(&self, meters: f64) -> f64 {
        self.rooms * point_source(self.peak, RADIATED, meters)
    }

    /// Where front and flame together come to this much, m.
    fn reaches(&self, flux: f64) -> f64 {
        distance_to(flux, |meters| self.front_at(meters) + self.flame_at(meters)).unwrap_or(f64::INFINITY)
    }
}

/// A distance and why.
#[derive(Debug, Clone)]
pub(super) struct Rule {
    /// As a mark on pages.
    pub mark: &'static str,
    pub what: String,
    pub meters: f64,
    pub says: String,
    pub source: String,
    /// It is the largest, so it decides.
    pub decides: bool,
}

/// What the public's line must keep at least.
pub(super) fn public(read: &Read, glow: &Glow) -> Vec<Rule> {
    let rule = |mark, what: &str, meters: f64, source: &str| Rule {
        mark,
        what: what.to_owned(),
        meters,
        says: distance(meters),
        source: source.to_owned(),
        decides: false,
    };
    let flux = read.heat.flux;
    let rooms = if glow.rooms > 1.0 { ", both rooms together" } else { "" };
    let made_of = format!(
        "Screening estimate: the whole front glowing at 900 °C (1,650 °F) without its panel, and in front of \
         it a flame of {}, more than 19 of 20 simulated fires have{rooms}. Counted in full, one on top of the other.",
        heat(glow.peak)
    );
    let mut all = vec![
        rule(
            "heat",
            &format!("Heat of {flux} kW/m² ({} Btu/(h·ft²))", whole(flux * BTU)),
            glow.reaches(flux),
            &made_of,
        ),
        rule(
            "collapse",
            "One and a half heights of the structure",
            COLLAPSE * read.heat.structure,
            "common practice for structures that may fall",
        ),
        rule(
            "hose",
            "Space the crew and its hose lines need",
            read.heat.hose_depth,
            "your figure; 20 ft is common practice",
        ),
    ];
    all.extend(read.heat.permit.map(|meters| rule("permit", "Condition of a permit", meters, "your permit")));
    all.extend(read.heat.own.map(|meters| rule("own", "Your department's own rule", meters, "your department")));
    let most = all.iter().map(|rule| rule.meters).fold(0.0, f64::max);
    if let Some(rule) = all.iter_mut().find(|rule| rule.meters >= most) {
        rule.decides = true;
    }
    all
}

fn most(public: &[Rule]) -> f64 {
    public.iter().map(|rule| rule.meters).fold(0.0, f64::max)
}

/// The public's line with the wind toward people: twice the heat's distance, or another rule
/// if that asks for more.
pub(super) fn with_wind(glow: &Glow, flux: f64, public: &[Rule]) -> String {
    distance((WIND * glow.reaches(flux)).max(most(public)))
}

/// The distances that a drawing of the site is checked against.
pub(super) fn reach(read: &Read, glow: &Glow) -> Reach {
    let public = most(&public(read, glow));
    let [(.., press, _), _, (.., things, _)] = OTHERS;
    Reach {
        public,
        public_with_wind: (WIND * glow.reaches(read.heat.flux)).max(public),
        press: glow.reaches(press),
        things: glow.reaches(things),
        flame: glow.peak,
        hose: read.water.hose_feet * FOOT,
    }
}

/// The lines of everyone else, and of things.
pub(super) fn others(glow: &Glow) -> Vec<Rule> {
    let rule = |(mark, what, flux, source): (&'static str, &str, f64, &str)| {
        let meters = glow.reaches(flux);
        let what = format!("{what}: {flux} kW/m²");
        Rule { mark, what, meters, says: distance(meters), source: source.to_owned(), decides: false }
    };
    OTHERS.into_iter().map(rule).collect()
}

/// A heat, what it does, the source, and where the estimate has it.
pub(super) struct Exposure {
    pub flux: String,
    pub does: &'static str,
    pub source: &'static str,
    pub at: String,
}

/// What heat does to people, from the least up.
pub(super) fn exposures(glow: &Glow) -> Vec<Exposure> {
    let one = |(flux, does, source): (f64, &'static str, &'static str)| Exposure {
        flux: format!("{flux} kW/m² ({} Btu/(h·ft²))", grouped(whole(flux * BTU))),
        does,
        source,
        at: distance(glow.reaches(flux)),
    };
    EXPOSURES.into_iter().map(one).collect()
}

/// How far away things that melt must be, m.
pub(super) fn melts(glow: &Glow) -> f64 {
    glow.reaches(MELTS)
}

/// A line of the water check.
#[derive(Debug, Clone)]
pub(super) struct WaterLine {
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
