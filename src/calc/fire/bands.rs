//! When things will happen in both rooms, as bands: many fires are drawn from what isn't
//! known exactly, each runs through the zone model, and each gets an error that the model
//! had in measured tests.
//!
//! The fire itself is the largest unknown, so it is varied first. A band says how many of the
//! *simulated* fires it holds. No published test has a room with an open front.
//!
//! Errors of the model, as standard deviations of the logarithm: 0.20 for the sprinkler's time
//! (26 of NIST's 27 residential sprinkler tests are within the 80 % band), 0.40 for the time
//! to 500 to 600 °C and 0.30 for 20 kW/m² at the floor (four furnished rooms each), and 0.18
//! for the layer's rise (74 of 83 measured layers are within the 80 % band). `tests/it/fire.rs`
//! counts them anew.

mod inputs;
mod sample;

use super::growth::{Item, Shape};
use super::sampling::{latin_hypercube, quantile, rank_correlation, sort};
use super::water;
use sample::Outcome;
use serde::{Deserialize, Serialize};

pub use inputs::{
    Alarm, FLASHOVER_ERROR, FLOOR_ERROR, Factor, Inputs, LAYER_ERROR, PICTURE_STEP, SPRINKLER_ERROR, Sensing, Sprinkler,
};

/// The parts of all simulated fires at which a band is given: nine in ten are between the
/// first and the last, eight in ten between the second and the fourth.
pub const PARTS: [f64; 5] = [0.05, 0.10, 0.50, 0.90, 0.95];
/// One in so many fires is followed to the end for the picture.
const PICTURED: usize = 5;

/// A time in simulated fires, s from lighting.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// At [`PARTS`]; none where it didn't happen.
    pub at: [Option<f64>; 5],
    /// The part of all fires in which it never happened while they were followed.
    pub never: f64,
}

impl Band {
    fn of(times: &[f64]) -> Self {
        let mut sorted = times.to_vec();
        sort(&mut sorted);
        let never = times.iter().filter(|time| !time.is_finite()).count() as f64 / times.len().max(1) as f64;
        Self { at: PARTS.map(|part| quantile(&sorted, part)), never }
    }

    /// Half of the fires are sooner, s.
    #[must_use]
    pub fn median(&self) -> Option<f64> {
        self.at[2]
    }

    /// Eight in ten are between these.
    #[must_use]
    pub fn inner(&self) -> (Option<f64>, Option<f64>) {
        (self.at[1], self.at[3])
    }

    /// Nine in ten are between these.
    #[must_use]
    pub fn outer(&self) -> (Option<f64>, Option<f64>) {
        (self.at[0], self.at[4])
    }
}

/// When things happen in one simulated fire, s from lighting. What doesn't happen while the
/// fire is followed is infinite.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FireTimes {
    /// The smoke alarm sounds.
    pub alarm: f64,
    /// The sprinkler opens.
    pub sprinkler: f64,
    /// The room flashes over.
    pub flashover: f64,
}

/// The layer of one room at one time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Pictured {
    /// From lighting, s.
    pub time: f64,
    /// Temperature, K, below which one, five, and nine in ten fires are.
    pub layer: [f64; 3],
    /// Half of all fires have its lower edge above this, m.
    pub edge: f64,
}

/// What came of all simulated fires.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Bands {
    /// How many fires there were.
    pub count: usize,
    /// How long they were followed, s.
    pub until: f64,
    /// When the smoke alarm sounds.
    pub alarm: Band,
    /// When the sprinkler opens.
    pub sprinkler: Band,
    /// At the temperature drawn from [`Inputs::flashover`].
    pub flashover: Band,
    /// When the layer is at 500 °C.
    pub at_500: Band,
    /// When the layer is at 600 °C.
    pub at_600: Band,
    /// 20 kW/m² at the floor.
    pub floor: Band,
    /// How much sooner than flashover the sprinkler opens, in the same fire, of those that
    /// flash over.
    pub sooner: Band,
    /// The layer in room A and in room B.
    pub pictures: [Vec<Pictured>; 2],
    /// How strongly each factor moves the sprinkler's time, strongest first: rank correlation.
    pub moves_sprinkler: Vec<(Factor, f64)>,
    /// The same for flashover.
    pub moves_flashover: Vec<(Factor, f64)>,
    /// The highest heat release of each fire, kW.
    pub peak: Band,
    /// Each fire by itself. The store keeps them apart from the bands.
    #[serde(skip)]
    pub fires: Vec<FireTimes>,
}

impl Inputs {
    /// How long to follow fires, s: until the last item may have caught and any item may have
    /// grown to its peak, and some minutes more.
    #[must_use]
    pub fn horizon(items: &[Item]) -> f64 {
        let latest: f64 = items.iter().map(|item| item.delay.high).sum();
        let grows = |item: &Item| match item.shape {
            Shape::Steady { rise, .. } | Shape::Flash { rise, .. } => rise.high,
            Shape::Squared { peak, alpha } => (peak.high / alpha.low).sqrt(),
        };
        let slowest = items.iter().map(grows).fold(0.0, f64::max);
        (latest + slowest + 240.0).clamp(600.0, 3600.0)
    }

    /// What comes of this many fires. The same seed draws the same fires. None if told to
    /// stop, or if there is nothing to draw.
    pub fn simulate(&self, count: usize, seed: u64, is_stopped: impl Fn() -> bool) -> Option<Bands> {
        let rows = latin_hypercube(count, self.factors(), seed);
        let mut outcomes = Vec::with_capacity(count);
        let mut films = [Vec::new(), Vec::new()];
        for (number, row) in rows.iter().enumerate() {
            if is_stopped() {
                return None;
            }
            let sample = self.sample(row);
            let is_pictured = number % PICTURED == 0;
            let (outcome, film) = sample.burn(self.until, is_pictured);
            if is_pictured {
                let tau = water::decay_time(self.sprinkler.density);
                films[1].push(sample.burn_with_water(outcome.sprinkler, tau, self.until));
                films[0].push(film);
            }
            outcomes.push(outcome);
        }
        let factors = self.sample(rows.first()?).factors;
        let times = |of: fn(&Outcome) -> f64| outcomes.iter().map(of).collect::<Vec<f64>>();
        // Of the fires that flash over. Where the sprinkler didn't open, it is later by more
        // than was followed.
        let flashed = outcomes.iter().filter(|one| one.flashover.is_finite());
        let sooner =
            |one: &Outcome| if one.sprinkler.is_finite() { one.flashover - one.sprinkler } else { -self.until };
        let sooner: Vec<f64> = flashed.map(sooner).collect();
        let moves = |times: &[f64]| {
            let column = |place: usize| rows.iter().map(|row| row[place]).collect::<Vec<f64>>();
            let all = factors.iter().enumerate();
            let mut all: Vec<(Factor, f64)> =
                all.map(|(place, factor)| (*factor, rank_correlation(&column(place), times))).collect();
            all.sort_by(|(_, one), (_, other)| other.abs().total_cmp(&one.abs()));
            all
        };
        let (sprinkler, flashover) = (times(|one| one.sprinkler), times(|one| one.flashover));
        let fire = |one: &Outcome| FireTimes { alarm: one.alarm, sprinkler: one.sprinkler, flashover: one.flashover };
        Some(Bands {
            count,
            until: self.until,
            alarm: Band::of(&times(|one| one.alarm)),
            at_500: Band::of(&times(|one| one.at_500)),
            at_600: Band::of(&times(|one| one.at_600)),
            floor: Band::of(&times(|one| one.floor)),
            sooner: Band { never: 1.0 - sooner.len() as f64 / count as f64, ..Band::of(&sooner) },
            peak: Band::of(&times(|one| one.peak)),
            moves_sprinkler: moves(&sprinkler),
            moves_flashover: moves(&flashover),
            sprinkler: Band::of(&sprinkler),
            flashover: Band::of(&flashover),
            pictures: films.map(|films| picture(&films)),
            fires: outcomes.iter().map(fire).collect(),
        })
    }
}

/// The layer in every pictured fire, step by step.
fn picture(films: &[Vec<(f64, f64)>]) -> Vec<Pictured> {
    let steps = films.iter().map(Vec::len).min().unwrap_or_default();
    let at = |step: usize| {
        let sorted = |of: fn(&(f64, f64)) -> f64| {
            let mut values: Vec<f64> = films.iter().map(|film| of(&film[step])).collect();
            sort(&mut values);
            values
        };
        let (layers, edges) = (sorted(|(layer, _)| *layer), sorted(|(_, edge)| *edge));
        let part = |values: &[f64], part| quantile(values, part).unwrap_or_default();
        Pictured {
            time: step as f64 * PICTURE_STEP,
            layer: [0.1, 0.5, 0.9].map(|wanted| part(&layers, wanted)),
            edge: part(&edges, 0.5),
        }
    };
    (0..steps).map(at).collect()
}
