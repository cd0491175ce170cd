//! What must be so whatever people read and sign.

use super::replay::{replayed, word};
use super::*;
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;

fn a_light() -> impl Strategy<Value = Light> {
    prop_oneof![3 => Just(Light::Good), 2 => Just(AGAIN), 2 => select(&LIGHTS[..])]
}

fn a_turn() -> impl Strategy<Value = Turn> {
    let grades = [Some(Grade::Good), Some(Grade::Good), Some(Grade::Amber), Some(Grade::Red), None];
    (0..12_i64, select(grades.to_vec())).prop_map(|(at, grade)| Turn { at, grade })
}

fn some_gates() -> impl Strategy<Value = Vec<GateNow>> {
    let one = |id| (a_light(), vec(a_turn(), 0..3)).prop_map(move |(light, turns)| GateNow { id, light, turns });
    (one(WIND), one(CROWD)).prop_map(|(wind, crowd)| vec![wind, crowd])
}

fn a_signature() -> impl Strategy<Value = Signature> {
    let role =
        select(vec![Role::SafetyOfficer, Role::SafetyOfficer, Role::BurnBoss, Role::IncidentCommander, Role::Crew]);
    let says = prop_oneof![6 => Just(Says::Go), 1 => Just(Says::Hold), 1 => Just(Says::No)];
    // Few are asked to look at one gate only.
    let lights = (a_light(), a_light(), prop::bool::weighted(0.9));
    (1..5_i64, role, says, 0..12_i64, any::<bool>(), lights).prop_map(|(by, role, says, at, reason, lights)| {
        let (wind, crowd, has_crowd) = lights;
        let lights = [(WIND, wind), (CROWD, crowd)][..=usize::from(has_crowd)].to_vec();
        Signature { by, role, says, at, reason, lights }
    })
}

fn some_signatures() -> impl Strategy<Value = Vec<Signature>> {
    vec(a_signature(), 0..8)
}

fn is_go(gates: &[GateNow], signatures: &[Signature]) -> bool {
    verdict(gates, signatures) == Verdict::Go
}

/// From good to worst. A stale gate was good.
const FROM_GOOD: [Light; 7] = [Light::Good, STALE, AGAIN, AMBER, UNREAD, UNADOPTED, Light::Red];

fn rank(light: Light) -> usize {
    FROM_GOOD.iter().position(|one| *one == light).unwrap()
}

/// Goes that count on both sides of good gates, so that most cases are about one that is a go.
fn with_a_go(mut signatures: Vec<Signature>, gates: &[GateNow]) -> Vec<Signature> {
    let seen: Vec<GateNow> = gates.iter().map(|gate| is(gate.id, AGAIN)).collect();
    signatures.extend([with_reason(go(OFFICER, 12, &seen)), go(BOSS, 13, &seen)]);
    signatures
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn everything_is_decided_as_written(gates in some_gates(), signatures in some_signatures()) {
        prop_assert_eq!(word(&verdict(&gates, &signatures)), replayed(&gates, &signatures));
        let signatures = with_a_go(signatures, &gates);
        prop_assert_eq!(word(&verdict(&gates, &signatures)), replayed(&gates, &signatures));
    }

    #[test]
    fn a_worse_light_never_makes_a_go(gates in some_gates(), signatures in some_signatures(), worse in a_light(), crowd: bool) {
        let signatures = with_a_go(signatures, &gates);
        let mut then = gates.clone();
        let gate = &mut then[usize::from(crowd)];
        gate.light = if rank(worse) > rank(gate.light) { worse } else { gate.light };
        prop_assert!(is_go(&gates, &signatures) || !is_go(&then, &signatures));
    }

    #[test]
    fn a_reading_more_never_makes_a_go(gates in some_gates(), signatures in some_signatures(), turn in a_turn()) {
        let signatures = with_a_go(signatures, &gates);
        let mut then = gates.clone();
        then[0].turns.push(turn);
        prop_assert!(is_go(&gates, &signatures) || !is_go(&then, &signatures));
    }

    /// Without a hold it may well be one.
    #[test]
    fn a_go_less_never_makes_a_go(gates in some_gates(), signatures in some_signatures()) {
        let signatures = with_a_go(signatures, &gates);
        for place in (0..signatures.len()).filter(|place| signatures[*place].says == Says::Go) {
            let mut less = signatures.clone();
            less.remove(place);
            prop_assert!(is_go(&gates, &signatures) || !is_go(&gates, &less));
        }
    }

    #[test]
    fn a_stop_more_never_makes_a_go(gates in some_gates(), signatures in some_signatures(), stop in a_signature(), no: bool) {
        let signatures = with_a_go(signatures, &gates);
        let says = if no { Says::No } else { Says::Hold };
        let more = [&signatures[..], &[Signature { says, ..stop }]].concat();
        prop_assert!(is_go(&gates, &signatures) || !is_go(&gates, &more));
    }

    #[test]
    fn the_order_of_the_lists_does_not_matter(gates in some_gates(), signatures in some_signatures().prop_shuffle(), by in 0..8_usize) {
        let mut turned = (gates.clone(), signatures.clone());
        turned.0.reverse();
        turned.1.rotate_left(by.min(signatures.len()));
        prop_assert_eq!(verdict(&turned.0, &turned.1), verdict(&gates, &signatures));
        turned.1.reverse();
        prop_assert_eq!(verdict(&turned.0, &turned.1), verdict(&gates, &signatures));
        prop_assert_eq!(wanted(&turned.0, &turned.1), wanted(&gates, &signatures));
    }

    #[test]
    fn the_order_of_readings_does_not_matter(
        (readings, shuffled) in vec((0..2_000_i64, 5.0..20.0_f64), 0..9)
            .prop_flat_map(|readings| (Just(readings.clone()), Just(readings).prop_shuffle())),
        now in 0..2_000_i64,
    ) {
        let kind = Kind::Number { amber: Some(10.0), red: Some(15.0), worse: Worse::Above };
        let gate = Gate { id: WIND, kind, adopted: true, fresh_minutes: 10 };
        let read = |all: &[(i64, f64)]| -> Vec<Reading> {
            all.iter().map(|(at, mph)| Reading { at: *at, value: Value::Number(*mph) }).collect()
        };
        prop_assert_eq!(GateNow::of(&gate, &read(&readings), now), GateNow::of(&gate, &read(&shuffled), now));
    }

    /// A higher wind never has a better light, and waiting never makes one better.
    #[test]
    fn worse_readings_and_older_ones_have_no_better_light(
        readings in vec((0..900_i64, 5.0..20.0_f64), 1..6), more in 0.0..9.0_f64, wait in 0..2_000_i64,
    ) {
        let kind = Kind::Number { amber: Some(10.0), red: Some(15.0), worse: Worse::Above };
        let gate = Gate { id: WIND, kind, adopted: true, fresh_minutes: 10 };
        let mut all: Vec<Reading> =
            readings.iter().map(|(at, mph)| Reading { at: *at, value: Value::Number(*mph) }).collect();
        let before = light(&gate, &all, 900);
        prop_assert!(rank(light(&gate, &all, 900 + wait)) >= rank(before));
        let newest = all.iter().map(|reading| reading.at).max().unwrap();
        all.push(Reading { at: newest, value: Value::Number(5.0 + more) });
        prop_assert!(rank(light(&gate, &all, 900)) >= rank(before));
    }

    /// Whoever may sign go brings a go closer, and who signs what is wanted makes it one.
    #[test]
    fn what_is_wanted_makes_a_go(gates in some_gates(), signatures in some_signatures(), press in a_signature()) {
        let press = Signature { says: Says::Go, at: 100, lights: snapshot(&gates), ..press };
        if may_sign(&press, &gates, &signatures) == Ok(()) {
            let after = [&signatures[..], std::slice::from_ref(&press)].concat();
            let still = wanted(&gates, &after);
            let is_officer = press.role == Role::SafetyOfficer;
            let mine = |one: &Wanted| matches!(one, Wanted::SafetyOfficer { .. }) == is_officer;
            prop_assert!(!still.iter().any(mine), "{:?}", still);
        }
        let mut gates = gates;
        for gate in &mut gates {
            gate.light = Light::Good;
        }
        let mut all = signatures;
        for (at, want) in (101..).zip(wanted(&gates, &all)) {
            let by = if want == SIGN { OFFICER } else { BOSS };
            let press = go(by, at, &gates);
            prop_assert_eq!(may_sign(&press, &gates, &all), Ok(()));
            all.push(press);
        }
        prop_assert!(is_go(&gates, &all), "{:?}", wanted(&gates, &all));
    }
}
