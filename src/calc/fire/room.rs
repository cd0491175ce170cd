//! The room that burns: its size, its open front, what it is lined with, and the day's air.

/// What walls and ceiling, or the floor, are made of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lining {
    /// kW/(m·K).
    pub conductivity: f64,
    /// kg/m³.
    pub density: f64,
    /// kJ/(kg·K).
    pub specific_heat: f64,
    /// m.
    pub thickness: f64,
}

impl Lining {
    /// Gypsum board of half an inch, as in NIST's validation inputs for CFAST.
    pub const GYPSUM: Self = Self { conductivity: 0.000_48, density: 1440.0, specific_heat: 0.84, thickness: 0.0127 };

    /// Thermal inertia kρc, kW²·s/(m⁴·K²).
    #[must_use]
    pub fn inertia(&self) -> f64 {
        self.conductivity * self.density * self.specific_heat
    }

    /// How long heat takes to reach the back: (ρc/k)(δ/2)², s.
    #[must_use]
    pub fn penetration_time(&self) -> f64 {
        self.density * self.specific_heat / self.conductivity * (self.thickness / 2.0).powi(2)
    }

    /// The heat transfer coefficient of McCaffrey, Quintiere and Harkleroad after a time in
    /// seconds: √(kρc/t) until heat reaches the back, and k/δ from then on. kW/(m²·K).
    #[must_use]
    pub fn transfer(&self, time: f64) -> f64 {
        if time <= self.penetration_time() {
            (self.inertia() / time).sqrt()
        } else {
            self.conductivity / self.thickness
        }
    }
}

/// The open part of the front. A clear panel across its upper part leaves less of it open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// Across, m.
    pub width: f64,
    /// Its lower edge above the floor.
    pub sill: f64,
    /// Its upper edge above the floor.
    pub soffit: f64,
}

impl Opening {
    /// From its lower to its upper edge, m.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.soffit - self.sill
    }

    /// Its area, m².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.width * self.height()
    }

    /// Area times the root of the height, m^2.5: how much air gets in depends on it.
    #[must_use]
    pub fn factor(&self) -> f64 {
        self.area() * self.height().sqrt()
    }
}

/// A room with one opening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// From the opening to the back wall, m.
    pub length: f64,
    /// Across, m.
    pub width: f64,
    /// From the floor to the ceiling, m.
    pub height: f64,
    /// What air and smoke go through.
    pub opening: Opening,
    /// Walls and ceiling.
    pub walls: Lining,
    /// The floor.
    pub floor: Lining,
    /// The day's air, K.
    pub ambient: f64,
}

impl Room {
    /// The area of its floor, m².
    #[must_use]
    pub fn floor_area(&self) -> f64 {
        self.length * self.width
    }

    /// The length of its walls, m.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        2.0 * (self.length + self.width)
    }

    /// Floor, ceiling, and walls without the opening, m².
    #[must_use]
    pub fn surface(&self) -> f64 {
        2.0 * self.floor_area() + self.perimeter() * self.height - self.opening.area()
    }

    /// Density of the air outside, kg/m³.
    #[must_use]
    pub fn air_density(&self) -> f64 {
        super::AIR_DENSITY / self.ambient
    }
}
