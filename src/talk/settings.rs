//! How fast the presenter speaks, and what the talk leaves time for.

use crate::calc::talk::{Pace, Rules};
use crate::events::Format;

/// How fast the presenter speaks, and what the talk has to leave time for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    pub pace: Pace,
    /// Seconds of quiet after a key moment, so that people hear the alarm.
    pub listen: u32,
    /// Seconds from flashover until the crew's water.
    pub attack: u32,
    /// Minutes before ignition without talk.
    pub clear: u32,
    /// 0 before anything is saved.
    pub version: i64,
}

/// Common practice, no source: the search 6 minutes before ignition, the attack within a
/// minute of flashover.
impl Default for Settings {
    fn default() -> Self {
        Self { pace: Pace::USUAL, listen: 2, attack: 30, clear: 6, version: 0 }
    }
}

impl Settings {
    pub(super) fn rules(&self, format: Format) -> Rules {
        Rules { is_both: format == Format::BothAtOnce, listen: f64::from(self.listen), attack: f64::from(self.attack) }
    }
}
