//! The sprinkler and the smoke alarm, read.

use crate::calc::fire::bands::{Alarm, Sprinkler};
use crate::calc::fire::kelvin;
use crate::calc::fire::sampling::Range;
use crate::fire::choices::AlarmKind;
use crate::fire::setup::Setup;
use crate::fire::typed::{distances, feet, numbers, one_number};
use crate::web::form::Mistakes;

/// As far as it can be read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Devices {
    /// °F.
    rating: Option<f64>,
    head_distance: Option<Range>,
    rti: Option<Range>,
    conductance: Option<Range>,
    alarm: Option<AlarmKind>,
    alarm_distance: Option<Range>,
}

impl Devices {
    pub fn read(setup: &Setup, said: &mut Mistakes) -> Self {
        Self {
            rating: said.note("rating", one_number(&setup.rating, 130.0, 300.0)),
            head_distance: said.note("head_distance", distances(&setup.head_distance, 0.5, 40.0)),
            rti: said.note("rti", numbers(&setup.rti, 10.0, 350.0)),
            conductance: said.note("conductance", numbers(&setup.conductance, 0.0, 2.0)),
            alarm: said.note("alarm", setup.alarm.parse()),
            alarm_distance: said.note("alarm_distance", distances(&setup.alarm_distance, 0.5, 40.0)),
        }
    }

    /// Notes what would be farther from the fire than the room is long.
    pub fn check_distances(&self, diagonal: f64, said: &mut Mistakes) {
        for (name, distance) in [("head_distance", self.head_distance), ("alarm_distance", self.alarm_distance)] {
            if distance.is_some_and(|distance| distance.high > diagonal + 1e-3) {
                said.add(name, format!("From corner to corner, the room is only {}.", feet(diagonal)));
            }
        }
    }

    /// The sprinkler, with so much water on the floor.
    pub fn sprinkler(&self, density: f64) -> Option<Sprinkler> {
        Some(Sprinkler {
            rating: fahrenheit(self.rating?),
            distance: self.head_distance?,
            rti: self.rti?,
            conductance: self.conductance?,
            density,
        })
    }

    pub fn alarm(&self) -> Option<Alarm> {
        Some(Alarm { distance: self.alarm_distance?, sensing: self.alarm?.sensing() })
    }
}

/// Fahrenheit in kelvins.
pub(super) fn fahrenheit(degrees: f64) -> f64 {
    kelvin((degrees - 32.0) / 1.8)
}
