//! Heat conducted into walls, ceiling, and floor.

use crate::calc::fire::room::Lining;

const NODES: usize = 10;

/// The temperatures through a lining, from the room's side to its back. One-dimensional and
/// implicit, so that any time step is stable.
#[derive(Debug, Clone, Copy)]
pub struct Slab {
    temperatures: [f64; NODES],
    conductance: f64,
    capacity: f64,
    back: f64,
    ambient: f64,
}

impl Slab {
    /// All of it at the ambient temperature in K; its back loses this many kW/(m²·K).
    #[must_use]
    pub fn new(lining: &Lining, back: f64, ambient: f64) -> Self {
        let cell = lining.thickness / (NODES - 1) as f64;
        Self {
            temperatures: [ambient; NODES],
            conductance: lining.conductivity / cell,
            capacity: lining.density * lining.specific_heat * cell,
            back,
            ambient,
        }
    }

    /// The temperature of its surface, K.
    #[must_use]
    pub fn surface(&self) -> f64 {
        self.temperatures[0]
    }

    /// Lets a time in seconds pass while this much heat comes in, kW/m².
    pub fn heat(&mut self, flux: f64, time: f64) {
        let stored = self.capacity / time;
        let flow = self.conductance;
        let last = NODES - 1;
        // Forward: each node expressed by the next one. The cells at both ends are half as thick.
        let (mut onward, mut rest) = ([0.0; NODES], [0.0; NODES]);
        let half = 0.5 * stored;
        onward[0] = flow / (half + flow);
        rest[0] = (half * self.temperatures[0] + flux) / (half + flow);
        for node in 1..last {
            let scale = 1.0 / (stored + flow * (2.0 - onward[node - 1]));
            onward[node] = flow * scale;
            rest[node] = (stored * self.temperatures[node] + flow * rest[node - 1]) * scale;
        }
        let known = half * self.temperatures[last] + self.back * self.ambient + flow * rest[last - 1];
        self.temperatures[last] = known / (half + self.back + flow * (1.0 - onward[last - 1]));
        for node in (0..last).rev() {
            self.temperatures[node] = onward[node] * self.temperatures[node + 1] + rest[node];
        }
    }

    /// Heat held above that of the ambient temperature, kJ/m².
    #[must_use]
    pub fn held(&self) -> f64 {
        let rise = |node: usize| self.temperatures[node] - self.ambient;
        let inner: f64 = (1..NODES - 1).map(rise).sum();
        self.capacity * (inner + 0.5 * (rise(0) + rise(NODES - 1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::fire::testing::near;
    use crate::calc::fire::{FREEZING, kelvin};

    /// A constant flux q into a semi-infinite solid raises its surface by 2q√(t/(π·kρc)):
    /// Carslaw and Jaeger, Conduction of Heat in Solids, 2nd edition, section 2.9.
    #[test]
    fn a_steady_flux_heats_gypsum_as_the_exact_solution_says() {
        let ambient = kelvin(20.0);
        let mut slab = Slab::new(&Lining::GYPSUM, 0.01, ambient);
        for _ in 0..120 {
            slab.heat(5.0, 0.5);
        }
        near(slab.surface() - FREEZING, 77.0, 2e-4);
        let exact = 10.0 * (60.0 / (std::f64::consts::PI * Lining::GYPSUM.inertia())).sqrt();
        near(slab.surface() - ambient, exact, 0.01);
        // What is missing left by the back.
        near(slab.held(), 300.0, 3e-3);
    }

    #[test]
    fn no_heat_is_lost_in_an_insulated_slab() {
        let mut slab = Slab::new(&Lining::GYPSUM, 0.0, 290.0);
        for step in 0..400 {
            slab.heat(if step < 200 { 3.0 } else { 0.0 }, 0.7);
        }
        near(slab.held(), 3.0 * 200.0 * 0.7, 1e-9);
        assert!(slab.temperatures.windows(2).all(|pair| pair[0] >= pair[1]));
    }
}
