//! One fire: what is drawn for it, and what comes of it.

use super::{FLASHOVER_ERROR, FLOOR_ERROR, Factor, Inputs, LAYER_ERROR, PICTURE_STEP, SPRINKLER_ERROR};
use crate::calc::fire::growth::{Curve, Lit};
use crate::calc::fire::kelvin;
use crate::calc::fire::room::Room;
use crate::calc::fire::sampling::{Range, normal};
use crate::calc::fire::zone::{Device, Fire, Moment, run};

/// The longest step of the model, s. A tenth of it moves the sprinkler by less than 0.6 %.
const STEP: f64 = 0.5;
/// The RTI above which a head is not of quick response, √(m·s).
const SLOW: f64 = 80.0;
/// Flashover by the heat on the floor, kW/m².
const FLOOR_FLUX: f64 = 20.0;

/// A layer at each step of the picture: its temperature in K and its lower edge in m.
pub(super) type Film = Vec<(f64, f64)>;

/// One fire, with all that was drawn for it.
pub(super) struct Sample {
    /// What the numbers stood for, in their order.
    pub factors: Vec<Factor>,
    room: Room,
    fire: Fire,
    sprinkler: Device,
    alarm: Device,
    lag: f64,
    threshold: f64,
    /// When the first item catches.
    begins: f64,
    /// How long the model has to run, s.
    follow: f64,
    sprinkler_error: f64,
    flashover_error: f64,
    floor_error: f64,
    layer_error: f64,
}

/// When things happened in one fire, s, and its peak, kW. What didn't happen is infinite.
#[derive(Debug, Clone, Copy)]
pub(super) struct Outcome {
    pub alarm: f64,
    pub sprinkler: f64,
    pub flashover: f64,
    pub at_500: f64,
    pub at_600: f64,
    pub floor: f64,
    pub peak: f64,
}

/// Takes one number after the other.
struct Drawing<'a> {
    row: &'a [f64],
    factors: Vec<Factor>,
}

impl Drawing<'_> {
    fn part(&mut self, factor: Factor) -> f64 {
        self.factors.push(factor);
        self.row[self.factors.len() - 1]
    }

    fn one(&mut self, factor: Factor, range: Range) -> f64 {
        range.at(self.part(factor))
    }

    /// An error with this standard deviation of its logarithm.
    fn error(&mut self, factor: Factor, deviation: f64) -> f64 {
        (deviation * normal(self.part(factor))).exp()
    }
}

impl Inputs {
    /// How many numbers one fire takes at most: up to five for each item, and eleven more.
    pub(super) fn factors(&self) -> usize {
        self.items.len() * 5 + 11
    }

    pub(super) fn sample(&self, row: &[f64]) -> Sample {
        let mut draw = Drawing { row, factors: Vec::with_capacity(self.factors()) };
        let (mut lit, mut at) = (Vec::with_capacity(self.items.len()), 0.0);
        for (place, item) in self.items.iter().enumerate() {
            at += draw.one(Factor::Delay(place), item.delay);
            let mut factor = Factor::Peak(place);
            let shape = item.shape.map(|range| draw.one(std::mem::replace(&mut factor, Factor::Pace(place)), range));
            lit.push(Lit { at, shape });
        }
        let ambient = draw.one(Factor::Ambient, self.ambient);
        let surface = draw.one(Factor::Surface, self.surface);
        let sprinkler = Device {
            distance: draw.one(Factor::SprinklerDistance, self.sprinkler.distance),
            rti: draw.one(Factor::Rti, self.sprinkler.rti),
            conductance: draw.one(Factor::Conductance, self.sprinkler.conductance),
            rating: self.sprinkler.rating,
        };
        let distance = draw.one(Factor::AlarmDistance, self.alarm.distance);
        let lag = self.alarm.sensing.lag(draw.part(Factor::AlarmLag));
        let threshold = draw.one(Factor::Threshold, self.flashover);
        let sprinkler_error = draw.error(Factor::SprinklerError, SPRINKLER_ERROR);
        let model = normal(draw.part(Factor::FlashoverError));
        let floor_error = draw.error(Factor::FloorError, FLOOR_ERROR);
        let flashover_error = (FLASHOVER_ERROR * model).exp();
        let begins = lit.first().map_or(0.0, |first: &Lit| first.at);
        // What the model says for later may have happened by then.
        let follow = begins + (self.until - begins) / flashover_error.min(floor_error).min(sprinkler_error);
        Sample {
            factors: draw.factors,
            follow,
            room: Room { ambient, ..self.room },
            fire: Fire::furniture(Curve::of_items(&lit, self.until.max(follow)), surface, self.location),
            sprinkler,
            alarm: Device { distance, rti: 5.0, conductance: 0.0, rating: ambient + 5.0 },
            lag,
            threshold,
            begins,
            sprinkler_error,
            flashover_error,
            floor_error,
            // One error for both: a layer that gets hotter than the model says gets there sooner.
            layer_error: (-LAYER_ERROR * model).exp(),
        }
    }
}

/// When a rising value passes a mark.
struct Crossing {
    mark: f64,
    before: (f64, f64),
    at: f64,
}

impl Crossing {
    fn of(mark: f64) -> Self {
        Self { mark, before: (0.0, 0.0), at: f64::INFINITY }
    }

    fn see(&mut self, time: f64, value: f64) {
        if self.at.is_infinite() && value >= self.mark {
            let (since, from) = self.before;
            let part = if value > from { (self.mark - from) / (value - from) } else { 1.0 };
            self.at = since + (time - since) * part.clamp(0.0, 1.0);
        }
        self.before = (time, value);
    }
}

impl Sample {
    /// What comes of it without water. It ends once everything has happened, unless it is
    /// pictured.
    pub fn burn(&self, until: f64, is_pictured: bool) -> (Outcome, Film) {
        let marks = [self.threshold, kelvin(500.0), kelvin(600.0)];
        let mut layer = marks.map(Crossing::of);
        let (mut floor, mut film) = (Crossing::of(FLOOR_FLUX), Film::new());
        let steps = if is_pictured { steps(until) } else { 0 };
        let end = if is_pictured { (until + STEP).max(self.follow) } else { self.follow };
        let responses = run(&self.room, &self.fire, &[self.sprinkler, self.alarm], (end, STEP), |moment| {
            for crossing in &mut layer {
                crossing.see(moment.time, moment.layer);
            }
            floor.see(moment.time, moment.floor_flux);
            self.picture(&mut film, steps, moment);
            // A layer of 600 °C has long set off alarm and sprinkler, unless the head is slow.
            film.len() < steps
                || self.sprinkler.rti > SLOW
                || floor.at.is_infinite()
                || layer.iter().any(|crossing| crossing.at.is_infinite())
        });
        let counted = |time: f64, error: f64| self.begins + (time - self.begins) * error;
        let time = |place: usize| responses[place].unwrap_or(f64::INFINITY);
        let flashover = |place: usize| within(counted(layer[place].at, self.flashover_error), until);
        let outcome = Outcome {
            alarm: within(time(1) + self.lag, until),
            sprinkler: within(counted(time(0), self.sprinkler_error), until),
            flashover: flashover(0),
            at_500: flashover(1),
            at_600: flashover(2),
            floor: within(counted(floor.at, self.floor_error), until),
            peak: self.fire.curve.peak(),
        };
        (outcome, film)
    }

    /// The layer of the same fire once water comes at a time and its heat falls by e within
    /// `tau` seconds.
    pub fn burn_with_water(&self, from: f64, tau: f64, until: f64) -> Film {
        let mut film = Film::new();
        let curve = if from.is_finite() { self.fire.curve.decaying(from, tau, until) } else { self.fire.curve.clone() };
        let fire = Fire { curve, ..self.fire.clone() };
        run(&self.room, &fire, &[], (until + STEP, STEP), |moment| {
            self.picture(&mut film, steps(until), moment);
            true
        });
        film
    }

    fn picture(&self, film: &mut Film, steps: usize, moment: &Moment) {
        while film.len() < steps && film.len() as f64 * PICTURE_STEP <= moment.time {
            let rise = (moment.layer - self.room.ambient) * self.layer_error;
            film.push((self.room.ambient + rise, moment.edge));
        }
    }
}

/// How many steps a picture has.
fn steps(until: f64) -> usize {
    (until / PICTURE_STEP) as usize + 1
}

fn within(time: f64, until: f64) -> f64 {
    if time <= until { time } else { f64::INFINITY }
}
