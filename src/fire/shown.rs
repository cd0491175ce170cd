//! One estimate, line by line.

use super::basis::{Basis, basis};
use super::cautions::{Caution, cautions};
use super::chart::Chart;
use super::layer_table::{Row, table};
use super::quantities::{clock, heat, inner, one, outer, whole};
use super::snapshot::{Chosen, Estimate, FireSnapshot};
use super::store::Earlier;
use super::summary::{moves_most, summary};
use crate::calc::fire::bands::{Band, Bands};
use crate::calc::fire::flashover::Thresholds;

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
        let times = earlier.iter().filter_map(|burn| Some(clock(f64::from(measured(burn)?))));
        TimeLine {
            mark,
            what,
            middle: band.median().map_or_else(|| "never in half".to_owned(), clock),
            inner: inner(band),
            outer: outer(band),
            never: format!("{} of 100", whole(band.never * 100.0)),
            earlier: times.collect::<Vec<_>>().join(", "),
        }
    };
    all.into_iter().map(line).collect()
}

impl Shown {
    pub fn of(known: &FireSnapshot, chosen: &Chosen, Estimate { read, bands }: &Estimate) -> Self {
        let (first, rest) = summary(bands);
        let thresholds = Thresholds::of(&read.inputs.room, bands.flashover.median().unwrap_or(240.0));
        let moves = [("sprinkler", &bands.moves_sprinkler), ("flashover", &bands.moves_flashover)];
        Self {
            name: chosen.setup.name.clone(),
            first,
            rest,
            chart: Chart::of(bands),
            within: one(bands.until),
            times: times(bands, &known.earlier),
            table: table(bands),
            cautions: cautions(read, bands, &known.things, known.drawn.as_ref()),
            basis: basis(&chosen.setup, read, &known.things, bands),
            moves: moves.into_iter().filter_map(|(what, all)| Some((what, moves_most(all, read)?))).collect(),
            thresholds: vec![
                ("McCaffrey", heat(thresholds.mccaffrey)),
                ("Thomas", heat(thresholds.thomas)),
                ("Babrauskas", heat(thresholds.babrauskas)),
            ],
            count: bands.count,
        }
    }
}
