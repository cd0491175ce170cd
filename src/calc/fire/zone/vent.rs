//! Flow through the opening, layer by layer, as the technical reference of CFAST gives it
//! for wall vents.

use crate::calc::fire::room::{Opening, Room};
use crate::calc::fire::{AIR_DENSITY, AIR_HEAT, GRAVITY};

/// Flow coefficient of the opening.
const COEFFICIENT: f64 = 0.7;

/// What flows through the opening, kg/s.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flows {
    /// Out of the layer.
    pub upper_out: f64,
    /// Out of the air below it.
    pub lower_out: f64,
    /// Into the room.
    pub inward: f64,
}

impl Flows {
    /// Heat carried out, less what comes in, kW.
    fn heat(self, layer: f64, ambient: f64) -> f64 {
        AIR_HEAT * (layer * self.upper_out + ambient * (self.lower_out - self.inward))
    }
}

/// The opening of a room that has a layer of this temperature in K from this height up.
#[derive(Debug, Clone, Copy)]
pub struct Vent {
    opening: Opening,
    ambient: f64,
    layer: f64,
    /// Densities of the air outside and of the layer.
    air: f64,
    gas: f64,
    /// The layer's lower edge, within the opening.
    edge: f64,
    height: f64,
}

impl Vent {
    /// A room's opening, with a layer of this temperature, K, from this height up, m.
    #[must_use]
    pub fn new(room: &Room, layer: f64, height: f64) -> Self {
        let Opening { sill, soffit, .. } = room.opening;
        Self {
            opening: room.opening,
            ambient: room.ambient,
            layer,
            air: room.air_density(),
            gas: AIR_DENSITY / layer,
            edge: height.clamp(sill, soffit),
            height,
        }
    }

    /// The flows at a pressure inside, less that outside, at the floor, Pa.
    #[must_use]
    pub fn flows(&self, pressure: f64) -> Flows {
        let mut flows = Flows::default();
        let Opening { width, sill, soffit } = self.opening;
        let unit = COEFFICIENT * width * std::f64::consts::SQRT_2;
        let below = unit * (self.edge - sill) * (self.air * pressure.abs()).sqrt();
        if pressure > 0.0 {
            flows.lower_out = below;
        } else {
            flows.inward = below;
        }
        let slope = (self.air - self.gas) * GRAVITY;
        let at = |height: f64| pressure + slope * (height - self.height);
        let (bottom, top) = (at(self.edge), at(soffit));
        let slab = |from: f64, to: f64, height: f64, density: f64| {
            let roots = from.sqrt() + to.sqrt();
            if roots > 0.0 {
                unit * 2.0 / 3.0 * height * density.sqrt() * (from + (from * to).sqrt() + to) / roots
            } else {
                0.0
            }
        };
        let height = soffit - self.edge;
        if height <= 0.0 {
            return flows;
        }
        if bottom >= 0.0 {
            flows.upper_out = slab(bottom, top, height, self.gas);
        } else if top <= 0.0 {
            flows.inward += slab(-bottom, -top, height, self.air);
        } else {
            let neutral = -bottom / slope;
            flows.inward += slab(-bottom, 0.0, neutral, self.air);
            flows.upper_out = slab(0.0, top, height - neutral, self.gas);
        }
        flows
    }

    /// The pressure at which the flows carry this much heat out in kW, sought from a guess,
    /// and the flows.
    #[must_use]
    pub fn balance(&self, heat: f64, guess: f64) -> (f64, Flows) {
        let enough = 1e-4 * heat.abs().max(0.01);
        let over = |pressure: f64| {
            let flows = self.flows(pressure);
            (flows.heat(self.layer, self.ambient) - heat, flows)
        };
        let (excess, flows) = over(guess);
        if excess.abs() <= enough {
            return (guess, flows);
        }
        // The heat carried out rises with the pressure. Go the other way until it has passed
        // the balance.
        let direction = -excess.signum();
        let (mut near, mut near_excess) = (guess, excess);
        let mut stride = 0.02 + 0.05 * guess.abs();
        let (mut far, mut far_excess, mut far_flows);
        loop {
            far = near + direction * stride;
            (far_excess, far_flows) = over(far);
            if far_excess.abs() <= enough || !far.is_finite() {
                return (far, far_flows);
            }
            if far_excess * near_excess < 0.0 {
                break;
            }
            (near, near_excess) = (far, far_excess);
            stride *= 4.0;
        }
        // Illinois: the secant, with the value at an end that stays put halved.
        let mut last = (far, far_flows);
        for _ in 0..60 {
            let pressure = (near * far_excess - far * near_excess) / (far_excess - near_excess);
            let (excess, flows) = over(pressure);
            last = (pressure, flows);
            if excess.abs() <= enough {
                break;
            }
            if excess * far_excess < 0.0 {
                (near, near_excess) = (far, far_excess);
            } else {
                near_excess *= 0.5;
            }
            (far, far_excess) = (pressure, excess);
        }
        last
    }
}

#[cfg(test)]
mod tests;
