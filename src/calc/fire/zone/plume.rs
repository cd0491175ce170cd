//! The plume above the fire: Heskestad's correlations, as the technical reference of CFAST
//! gives them.

use crate::calc::fire::{AIR_DENSITY, AIR_HEAT, GRAVITY, two_thirds};

/// Where the fire is. A wall or a corner mirrors it, so that two or four plumes of which the
/// room holds one rise there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Location {
    /// In the open room.
    Center,
    /// Against a wall.
    Wall,
    /// In a corner.
    Corner,
}

impl Location {
    /// How many mirror images, with itself, make up its plume: by the method of reflection.
    #[must_use]
    pub fn plume_images(self) -> f64 {
        match self {
            Self::Center => 1.0,
            Self::Wall => 2.0,
            Self::Corner => 4.0,
        }
    }

    /// The same for the jet below the ceiling. Fitted to NIST's 27 residential sprinkler
    /// tests, in which full reflection made sprinklers open too soon.
    #[must_use]
    pub fn jet_images(self) -> f64 {
        match self {
            Self::Center | Self::Wall => 1.0,
            Self::Corner => 2.0,
        }
    }
}

/// What burns, as the plume sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// The least burning area, m².
    pub area: f64,
    /// It spreads so that no square meter gives off more than this, kW/m². Infinite for one
    /// that stays as large as it is.
    pub intensity: f64,
    /// The part of its heat that it radiates.
    pub radiated: f64,
}

impl Source {
    /// Its diameter at a heat release, with its mirror images, m.
    fn diameter(&self, heat: f64, images: f64) -> f64 {
        (4.0 / std::f64::consts::PI * images * self.area.max(heat / self.intensity)).sqrt()
    }
}

/// A plume with so many mirror images.
#[derive(Debug, Clone, Copy)]
pub struct Plume {
    source: Source,
    images: f64,
    /// Q*^(2/5) times the diameter, divided by Q^(2/5).
    scale: f64,
    entrains: f64,
    entrains_more: f64,
}

impl Plume {
    /// In air of this temperature, K.
    #[must_use]
    pub fn new(source: Source, ambient: f64, images: f64) -> Self {
        let air = AIR_DENSITY / ambient;
        Self {
            source,
            images,
            scale: (images / (AIR_DENSITY * AIR_HEAT * GRAVITY.sqrt())).powf(0.4),
            entrains: 0.196 * (GRAVITY * air * air / (AIR_HEAT * ambient)).cbrt(),
            entrains_more: 2.9 / two_thirds(GRAVITY.sqrt() * AIR_HEAT * AIR_DENSITY),
        }
    }

    /// Virtual origin above the fire's surface and length of the flame, both in m, for this
    /// heat release in kW.
    #[must_use]
    pub fn origin_and_flame(&self, heat: f64) -> (f64, f64) {
        let strength = self.scale * heat.powf(0.4);
        let foot = 1.02 * self.source.diameter(heat, self.images);
        (1.4 * strength - foot, 3.7 * strength - foot)
    }

    /// What the plume carries into a layer that begins this far above the fire's surface, kg/s.
    #[must_use]
    pub fn flow(&self, heat: f64, height: f64) -> f64 {
        if height <= 0.0 || heat <= 0.0 {
            return 0.0;
        }
        let (origin, flame) = self.origin_and_flame(heat);
        let from_origin = (height.max(flame) - origin).max(0.001);
        let convected = (1.0 - self.source.radiated) * heat * self.images;
        let strength = convected.cbrt();
        let rise = from_origin * two_thirds(from_origin) + self.entrains_more * strength * strength;
        let flow = self.entrains * strength * rise / self.images;
        if height < flame { flow * height / flame } else { flow }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::fire::testing::near;

    /// Values of a second, independent evaluation of Heskestad's correlations.
    #[test]
    fn origin_flame_and_flow_of_a_plume() {
        let source = Source { area: 0.36, intensity: f64::INFINITY, radiated: 0.33 };
        let plume = |images| Plume::new(source, 293.15, images);
        for (images, heat, origin, flame) in [(1.0, 500.0, 0.3239, 1.9905), (4.0, 500.0, 0.3852, 3.2869)] {
            let (z0, length) = plume(images).origin_and_flame(heat);
            near(z0, origin, 3e-4);
            near(length, flame, 1e-4);
        }
        for (images, heat, height, flow) in
            [(1.0, 100.0, 1.5, 0.7997), (1.0, 500.0, 1.0, 0.9044), (2.0, 500.0, 1.0, 0.7029), (4.0, 500.0, 1.0, 0.5477)]
        {
            near(plume(images).flow(heat, height), flow, 1e-3);
        }
        assert_eq!((plume(1.0).flow(0.0, 1.0), plume(1.0).flow(100.0, -0.1)), (0.0, 0.0));
    }

    #[test]
    fn a_fire_that_spreads_is_as_wide_as_its_heat_needs() {
        let source = Source { area: 0.36, intensity: 500.0, radiated: 0.33 };
        let fixed = |area| Plume::new(Source { area, intensity: f64::INFINITY, ..source }, 293.15, 2.0);
        let spreading = Plume::new(source, 293.15, 2.0);
        for (heat, area) in [(50.0, 0.36), (180.0, 0.36), (1000.0, 2.0)] {
            let (origin, flame) = spreading.origin_and_flame(heat);
            let (fixed_origin, fixed_flame) = fixed(area).origin_and_flame(heat);
            assert!((origin - fixed_origin).abs() < 1e-9 && (flame - fixed_flame).abs() < 1e-9);
        }
    }
}
