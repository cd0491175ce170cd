//! The pages about the fire, line by line.

use super::basis::{Basis, basis};
use super::drawing::{self, Chart, MOMENTS, Row, Section};
use super::heat::{self, Exposure, Glow, Rule, WaterLine};
use super::says::{self, Caution};
use super::snapshot::{Chosen, Estimate, FireSnapshot};
use super::store::Earlier;
use crate::calc::fire::bands::{Band, Bands};
use crate::calc::fire::flashover::Thresholds;
use crate::events::Event;

/// Everything about one estimate.
pub(super) struct Shown {
    pub name: String,
    pub first: String,
    pub rest: Vec<String>,
    pub chart: Chart,
    /// "10 minutes": how long the fires were followed.
    pub within: String,
    pub times: Vec<TimeLine>,
    pub table: Vec<Row>,
    pub cautions: Vec<Caution>,
    pub basis: Vec<Basis>,
    pub moves: Vec<(&'static str, String)>,
    pub thresholds: Vec<(&'static str, String)>,
    pub count: usize,
}

/// A time of one room, for the table.
#[derive(Debug)]
pub(super) struct TimeLine {
    pub mark: &'static str,
    pub what: &'static str,
    pub middle: String,
    pub inner: String,
    pub outer: String,
    pub never: String,
    /// What earlier burns had.
    pub earlier: String,
}

pub(super) fn times(bands: &Bands, earlier: &[Earlier]) -> Vec<TimeLine> {
    type Measured = fn(&Earlier) -> Option<u32>;
    let none: Measured = |_| None;
    let all: [(&str, &str, &_, Measured); 6] = [
        ("alarm", "Smoke alarm, both rooms", &bands.alarm, |burn| burn.alarm),
        ("sprinkler", "Sprinkler opens, room B", &bands.sprinkler, |burn| burn.sprinkler),
        ("flashover", "Flashover, room A: layer at 500 to 600 °C (930 to 1,110 °F)", &bands.flashover, |burn| {
            burn.flashover
        }),
        ("at-500", "Layer at 500 °C (930 °F)", &bands.at_500, none),
        ("at-600", "Layer at 600 °C (1,110 °F)", &bands.at_600, none),
        ("floor", "Another sign of flashover: 20 kW/m² at the floor", &bands.floor, none),
    ];
    let line = |(mark, what, band, measured): (&'static str, &'static str, &Band, Measured)| {
        let times = earlier.iter().filter_map(|burn| Some(says::clock(f64::from(measured(burn)?))));
        TimeLine {
            mark,
            what,
            middle: band.median().map_or_else(|| "never in half".to_owned(), says::clock),
            inner: says::inner(band),
            outer: says::outer(band),
            never: format!("{} of 100", says::whole(band.never * 100.0)),
            earlier: times.collect::<Vec<_>>().join(", "),
        }
    };
    all.into_iter().map(line).collect()
}

impl Shown {
    pub fn of(known: &FireSnapshot, chosen: &Chosen, Estimate { read, bands }: &Estimate) -> Self {
        let (first, rest) = says::summary(bands);
        let thresholds = Thresholds::of(&read.inputs.room, bands.flashover.median().unwrap_or(240.0));
        let moves = [("sprinkler", &bands.moves_sprinkler), ("flashover", &bands.moves_flashover)];
        Self {
            name: chosen.setup.name.clone(),
            first,
            rest,
            chart: Chart::of(bands),
            within: says::one(bands.until),
            times: times(bands, &known.earlier),
            table: drawing::table(bands),
            cautions: says::cautions(read, bands, &known.things, known.drawn.as_ref()),
            basis: basis(&chosen.setup, read, &known.things, bands),
            moves: moves.into_iter().filter_map(|(what, all)| Some((what, says::moves_most(all, read)?))).collect(),
            thresholds: vec![
                ("McCaffrey", says::heat(thresholds.mccaffrey)),
                ("Thomas", says::heat(thresholds.thomas)),
                ("Babrauskas", says::heat(thresholds.babrauskas)),
            ],
            count: bands.count,
        }
    }
}

/// The two rooms at one moment.
#[derive(Debug)]
pub(super) struct MomentView {
    pub at: f64,
    pub clock: String,
    pub until: f64,
    pub links: Vec<(f64, String)>,
    pub sections: [Section; 2],
}

impl MomentView {
    pub fn of(Estimate { read, bands }: &Estimate, at: f64) -> Self {
        Self {
            at,
            clock: says::clock(at),
            until: bands.until,
            links: MOMENTS.into_iter().map(|at| (at, says::clock(at))).collect(),
            sections: drawing::sections(read, bands, at),
        }
    }
}

/// Distances and water of one setup.
pub(super) struct HeatView {
    pub name: String,
    /// The public's distance, and the rule that decides it.
    pub line: String,
    pub why: String,
    pub public: Vec<Rule>,
    pub wind: String,
    pub others: Vec<Rule>,
    pub exposures: Vec<Exposure>,
    pub sprinkler: Vec<WaterLine>,
    pub hose: Vec<WaterLine>,
    /// What is short or missing.
    pub short: Vec<String>,
}

impl HeatView {
    pub fn of(chosen: &Chosen, Estimate { read, bands }: &Estimate, event: &Event) -> Self {
        let glow = Glow::of(read, bands, event.details.format);
        let public = heat::public(read, &glow);
        let deciding = public.iter().find(|rule| rule.decides);
        let (sprinkler, hose) = (heat::sprinkler(read), heat::hose(read));
        Self {
            name: chosen.setup.name.clone(),
            line: deciding.map(|rule| rule.says.clone()).unwrap_or_default(),
            why: deciding.map(|rule| rule.what.clone()).unwrap_or_default(),
            wind: heat::with_wind(&glow, read.heat.flux, &public),
            others: heat::others(&glow),
            exposures: heat::exposures(&glow),
            short: sprinkler
                .iter()
                .chain(&hose)
                .filter(|line| !line.short.is_empty())
                .map(|line| format!("{}: {}", line.what, line.short))
                .collect(),
            public,
            sprinkler,
            hose,
        }
    }
}
