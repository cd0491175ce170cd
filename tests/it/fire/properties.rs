//! What must hold for any room and any fire.

use super::at;
use burnday::calc::fire::growth::Curve;
use burnday::calc::fire::room::{Lining, Opening, Room};
use burnday::calc::fire::zone::{Device, Fire, Location, Moment, run};
use proptest::prelude::*;

/// A room and a fire that a form allows.
#[derive(Debug, Clone)]
struct Case {
    room: Room,
    fire: Fire,
    device: Device,
}

fn cases() -> impl Strategy<Value = Case> {
    let sizes = (2.0..6.0_f64, 2.0..6.0_f64, 2.0..4.0_f64);
    let opening = (0.4..1.0_f64, 0.0..0.3_f64, 0.6..0.9_f64);
    let air = 260.0..315.0_f64;
    let fire = (0.002..0.3_f64, 100.0..6000.0_f64, 0.0..0.9_f64, 0..3_usize);
    let device = (0.0..3.0_f64, 20.0..150.0_f64, 0.0..1.0_f64, 330.0..380.0_f64);
    (sizes, opening, air, fire, device).prop_map(|(sizes, opening, ambient, fire, device)| {
        let (length, width, height) = sizes;
        let (part, sill, soffit) = opening;
        let (alpha, cap, surface, place) = fire;
        let (distance, rti, conductance, rating) = device;
        let location = [Location::Center, Location::Wall, Location::Corner][place];
        Case {
            room: Room {
                length,
                width,
                height,
                opening: Opening { width: part * width, sill: sill * height, soffit: soffit * height },
                walls: Lining::GYPSUM,
                floor: Lining::GYPSUM,
                ambient,
            },
            fire: Fire::furniture(Curve::squared(alpha, 10.0, cap, 300.0), surface, location),
            device: Device { distance, rti, conductance, rating },
        }
    })
}

impl Case {
    fn run(&self) -> (Vec<Moment>, f64) {
        let mut moments = Vec::new();
        let responses = run(&self.room, &self.fire, &[self.device], (300.0, 0.5), |moment| {
            moments.push(*moment);
            true
        });
        (moments, responses[0].unwrap_or(f64::INFINITY))
    }

    fn responds(&self) -> f64 {
        self.run().1
    }

    /// Is there air for the whole fire?
    fn is_short_of_air(&self) -> bool {
        let (moments, _) = self.run();
        moments.iter().any(|moment| moment.heat < self.fire.curve.at(moment.time) - 0.01)
    }
}

/// What differs by the size of time steps alone, s.
const STEPS: f64 = 0.25;

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_room_stays_within_what_the_model_holds_for(case in cases()) {
        let (moments, _) = case.run();
        // Steps are no shorter than 0.02 s.
        prop_assert!((600..=15_000).contains(&moments.len()));
        for moment in &moments {
            prop_assert!((case.room.ambient - 1e-6..=1600.0 + 1e-6).contains(&moment.layer), "{moment:?}");
            prop_assert!((0.0..=case.room.height).contains(&moment.edge), "{moment:?}");
            prop_assert!(moment.floor_flux.is_finite() && moment.ceiling.is_finite());
        }
    }

    #[test]
    fn energy_and_mass_are_accounted_for(case in cases()) {
        let (moments, _) = case.run();
        // At its bounds, the model gives up the account.
        prop_assume!(moments.iter().all(|moment| moment.layer < 1599.0));
        let last = moments.last().unwrap().balance;
        prop_assert!((last.held + last.lost - last.released).abs() <= 0.01 * last.released + 1.0, "{last:?}");
        prop_assert!((last.mass - last.gained).abs() <= 0.01 * last.gained + 0.01, "{last:?}");
    }

    #[test]
    fn what_makes_a_sprinkler_later_never_makes_it_earlier(case in cases(), more in 1.02..2.0_f64) {
        let time = case.responds();
        let later = |change: &dyn Fn(&mut Case)| {
            let mut changed = case.clone();
            change(&mut changed);
            changed.responds() >= time - STEPS
        };
        prop_assert!(later(&|case| case.device.rating += 20.0 * (more - 1.0)), "rating");
        prop_assert!(later(&|case| case.device.rti *= more), "RTI");
        prop_assert!(later(&|case| case.device.conductance += more - 1.0), "conductance");
        prop_assert!(later(&|case| case.device.distance *= more), "distance");
        prop_assert!(later(&|case| case.room.ambient -= 30.0 * (more - 1.0)), "a colder day");
        let mut hotter = case.clone();
        hotter.fire.curve = case.fire.curve.scaled(more);
        prop_assert!(hotter.responds() <= time + STEPS, "more heat");
    }

    #[test]
    fn a_larger_opening_is_never_hotter_while_there_is_air(case in cases(), part in 0.5..0.95_f64) {
        let mut narrower = case.clone();
        narrower.room.opening.width *= part;
        prop_assume!(!narrower.is_short_of_air());
        let (wide, narrow) = (case.run().0, narrower.run().0);
        for time in [60.0, 120.0, 200.0, 290.0] {
            let (wide, narrow) = (at(&wide, time).layer, at(&narrow, time).layer);
            prop_assert!(wide <= narrow * 1.01, "{wide} and {narrow} K at {time} s");
        }
    }
}
