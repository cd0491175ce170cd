//! The jet of hot gas below the ceiling, and what it warms: the element of an alarm or the
//! link of a sprinkler.
//!
//! Velocity and temperature of the jet follow CFAST's source, which replaces the fire below
//! a layer by one that would stand in the layer's gas (Evans). The thermal element follows
//! Heskestad and Bill, Fire Safety Journal 14 (1988) 113.

use super::plume::{Location, Plume, Source};
use crate::calc::fire::{AIR_DENSITY, AIR_HEAT, GRAVITY, two_thirds};

/// Something with a thermal element below the ceiling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Device {
    /// From the fire's axis, m.
    pub distance: f64,
    /// Response time index, (m·s)^½.
    pub rti: f64,
    /// Conductance of the fitting, (m/s)^½.
    pub conductance: f64,
    /// It responds at this temperature, K.
    pub rating: f64,
}

/// The fire's surroundings at one moment.
#[derive(Debug, Clone, Copy)]
pub struct Below {
    /// Of the layer, K.
    pub layer: f64,
    /// The layer's lower edge above the fire's surface; may be negative.
    pub edge: f64,
}

/// The jet at one distance from the fire.
#[derive(Debug, Clone, Copy)]
pub struct Jet {
    plume: Plume,
    images: f64,
    /// Ceiling above the fire's surface.
    height: f64,
    ambient: f64,
    /// The part of the heat that rises.
    convected: f64,
    distance: f64,
    /// What is left of the temperature and of the speed at this distance.
    cools: f64,
    slows: f64,
}

impl Jet {
    /// For a fire at a location, `height` below the ceiling.
    #[must_use]
    pub fn new(source: Source, ambient: f64, location: Location, height: f64, distance: f64) -> Self {
        let images = location.jet_images();
        let part = distance / height;
        let cools = if part <= 0.2 { 1.0 } else { 0.1823 * (0.225 + 0.27 * part).powf(-4.0 / 3.0) };
        let slows = if part <= 0.17 { 3.61 } else { 1.06 * part.powf(-0.69) };
        let unit = AIR_DENSITY * AIR_HEAT * GRAVITY.sqrt() * height.powf(2.5);
        Self {
            plume: Plume::new(source, ambient, images),
            images,
            height,
            ambient,
            convected: 1.0 - source.radiated,
            distance,
            cools,
            slows: slows * (GRAVITY * height).sqrt() / unit.cbrt(),
        }
    }

    /// Its temperature in K for a heat release in kW.
    #[must_use]
    pub fn temperature(&self, heat: f64, below: Below) -> f64 {
        let all = heat * self.images;
        if all <= 0.01 {
            return below.layer;
        }
        let (origin, _) = self.plume.origin_and_flame(heat);
        let origin = if below.edge > 0.0 && below.edge < self.height {
            below.edge - (below.layer / self.ambient).powf(0.6) * (below.edge - origin)
        } else {
            origin
        };
        let rises = (self.height - origin).max(0.1);
        let density = AIR_DENSITY / below.layer;
        let gas = (below.layer / (GRAVITY * AIR_HEAT * AIR_HEAT * density * density)).cbrt();
        let rise = 9.1 * gas * two_thirds(all * self.convected) / (rises * two_thirds(rises));
        below.layer + rise.min(900.0) * self.cools
    }

    /// Its speed in m/s for a heat release in kW.
    #[must_use]
    pub fn speed(&self, heat: f64) -> f64 {
        if heat * self.images <= 0.01 { 0.0 } else { self.slows * (heat * self.images).cbrt() }
    }

    /// How long hot gas takes from the fire to here, s, for a heat release in kW.
    #[must_use]
    pub fn lag(&self, heat: f64) -> f64 {
        let heat = heat.max(0.5);
        let rises = 0.75 * self.height * self.height.cbrt() / (1.03 * (heat * self.convected).cbrt());
        // The speed without mirror images.
        rises + self.distance / (self.slows * heat.cbrt())
    }
}

/// A device and its thermal element.
#[derive(Debug, Clone, Copy)]
pub struct Element {
    device: Device,
    jet: Jet,
    temperature: f64,
    /// The heat release that is felt here by now.
    felt: f64,
    responded: Option<f64>,
}

impl Element {
    /// A device in a jet, as warm as the air, K.
    #[must_use]
    pub fn new(device: Device, jet: Jet, ambient: f64) -> Self {
        Self { device, jet, temperature: ambient, felt: 0.0, responded: None }
    }

    /// When it responded, s.
    #[must_use]
    pub fn responded(&self) -> Option<f64> {
        self.responded
    }

    /// Lets `step` seconds pass from `time` on.
    pub fn warm(&mut self, time: f64, step: f64, heat: f64, below: Below) {
        if self.responded.is_some() {
            return;
        }
        self.felt += (heat - self.felt) * (1.0 - (-step / self.jet.lag(self.felt)).exp());
        let speed = self.jet.speed(self.felt);
        if speed < 0.1 {
            return;
        }
        let before = self.temperature;
        let gains = speed.sqrt() / self.device.rti;
        let losses = self.device.conductance / self.device.rti;
        let ambient = self.jet.ambient;
        let settles = (gains * self.jet.temperature(self.felt, below) + losses * ambient) / (gains + losses);
        self.temperature = settles + (before - settles) * (-(gains + losses) * step).exp();
        if self.temperature >= self.device.rating {
            let part = (self.device.rating - before) / (self.temperature - before);
            self.responded = Some(time + step * part.clamp(0.0, 1.0));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::fire::testing::near;

    const SOURCE: Source = Source { area: 0.36, intensity: f64::INFINITY, radiated: 0.33 };

    /// Values of a second, independent evaluation of the same equations.
    #[test]
    fn temperature_speed_and_lag_of_a_jet() {
        let jet = |location| Jet::new(SOURCE, 293.15, location, 2.4384 - 0.3, 1.22);
        let below = Below { layer: 373.15, edge: 1.2 - 0.3 };
        let (wall, corner) = (jet(Location::Wall), jet(Location::Corner));
        near(wall.temperature(200.0, below), 513.63, 1e-4);
        near(wall.speed(200.0), 2.1379, 1e-4);
        near(corner.temperature(200.0, below), 584.97, 1e-4);
        near(corner.speed(200.0), 2.6936, 1e-4);
        near(wall.temperature(200.0, Below { layer: 293.15, edge: 2.4 - 0.3 }), 415.73, 1e-4);
        for jet in [wall, corner] {
            near(jet.lag(10.0), 2.6131, 1e-4);
            near(jet.lag(100.0), 1.2129, 1e-4);
        }
    }

    #[test]
    fn no_fire_makes_no_jet() {
        let jet = Jet::new(SOURCE, 293.15, Location::Corner, 2.1, 1.0);
        let below = Below { layer: 300.0, edge: 1.0 };
        assert_eq!((jet.temperature(0.0, below), jet.speed(0.0)), (300.0, 0.0));
        assert!(jet.lag(0.0).is_finite());
    }
}
