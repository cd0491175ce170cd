//! What furniture gives off when it burns, as ranges to begin from. Change them where more is
//! known about what stands in the room.

use super::growth::{Item, Shape};
use super::sampling::Range;

/// A type of item that the fire goes through.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Preset {
    /// A wastebasket with paper.
    Wastebasket,
    /// A curtain.
    Curtain,
    /// An armchair.
    Armchair,
    /// A sofa.
    Sofa,
    /// A bed with its mattress.
    Bed,
}

/// In the order in which a fire usually takes them.
pub const PRESETS: [Preset; 5] = [Preset::Wastebasket, Preset::Curtain, Preset::Armchair, Preset::Sofa, Preset::Bed];

impl Preset {
    /// What is known about its heat release, and how long after the item before it catches.
    #[must_use]
    pub fn item(self) -> Item {
        let range = Range::new;
        match self {
            Self::Wastebasket => Item {
                delay: range(5.0, 20.0),
                shape: Shape::Steady {
                    peak: range(25.0, 100.0),
                    rise: range(15.0, 45.0),
                    hold: Range::exactly(90.0),
                    decay: Range::exactly(60.0),
                },
            },
            Self::Curtain => Item {
                delay: range(5.0, 25.0),
                shape: Shape::Flash { peak: range(100.0, 250.0), rise: range(12.0, 30.0), decay: range(20.0, 45.0) },
            },
            Self::Armchair => Item {
                delay: range(15.0, 60.0),
                shape: Shape::Squared { peak: range(1000.0, 2500.0), alpha: range(0.047, 0.19) },
            },
            Self::Sofa => Item {
                delay: range(15.0, 60.0),
                shape: Shape::Squared { peak: range(1500.0, 3000.0), alpha: range(0.047, 0.19) },
            },
            Self::Bed => Item {
                delay: range(15.0, 120.0),
                shape: Shape::Squared { peak: range(1200.0, 2500.0), alpha: range(0.012, 0.09) },
            },
        }
    }

    /// Where the figures come from.
    #[must_use]
    pub fn source(self) -> &'static str {
        match self {
            // From memory of SFPE and NIST collections; no document at hand.
            Self::Wastebasket | Self::Curtain => "typical figures, no published test behind them",
            Self::Armchair => "NIST (NBS) furnished room tests: an armchair grew by 0.066 kW/s² to 2.2 MW",
            Self::Sofa => "NIST (NBS) furnished room tests: a love seat grew by 0.063 kW/s² to 2.4 MW",
            Self::Bed => "NBSIR 85-2998: a furnished bed gave off 1.2 MW in the open, over 2 MW in a room",
        }
    }
}
