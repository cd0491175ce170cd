//! The decision table, whole: everything that up to three signatures at one gate can be.

use super::replay::{replayed, word};
use super::*;
use std::collections::BTreeMap;

/// Who signs: each side, one person on both sides, somebody of the crew.
const SIGNERS: [(i64, Role); 5] = [
    (OFFICER, Role::SafetyOfficer),
    (BOSS, Role::BurnBoss),
    (COMMANDER, Role::IncidentCommander),
    (OFFICER, Role::BurnBoss),
    (99, Role::Crew),
];
const SAYS: [(Says, bool); 4] = [(Says::Go, false), (Says::Go, true), (Says::Hold, false), (Says::No, false)];

/// Everything one person can sign with these lights to see.
fn all(signers: &[(i64, Role)], lights: &[Light]) -> Vec<Signature> {
    let mut all = Vec::new();
    for (by, role) in signers {
        for (says, reason) in SAYS {
            // What somebody saw doesn't matter to a hold or a no.
            let lights = if says == Says::Go { lights } else { &lights[..1] };
            for light in lights {
                let lights = vec![(WIND, *light)];
                all.push(Signature { by: *by, role: *role, says, at: 0, reason, lights });
            }
        }
    }
    all
}

/// How often each decision came out.
#[derive(Default)]
struct Tally(BTreeMap<&'static str, usize>);

impl Tally {
    fn compare(&mut self, light: Light, signatures: &[Signature]) {
        let gates = [is(WIND, light)];
        let ours = word(&verdict(&gates, signatures));
        assert_eq!(ours, replayed(&gates, signatures), "{light:?} after {signatures:#?}");
        *self.0.entry(ours).or_default() += 1;
    }

    /// Each decision came out, so that the comparison says something.
    fn is_full(&self, cases: usize) {
        let words = ["go", "hold for gates", "hold signed", "no", "open"];
        assert_eq!(self.0.keys().copied().collect::<Vec<_>>(), words);
        assert!(self.0.values().all(|count| *count >= 25), "{:?}", self.0);
        assert_eq!(self.0.values().sum::<usize>(), cases);
    }
}

#[test]
fn up_to_two_signatures_at_any_lights_are_decided_as_written() {
    let each = all(&SIGNERS, &LIGHTS);
    assert_eq!(each.len(), 5 * 16);
    let mut tally = Tally::default();
    for light in LIGHTS {
        tally.compare(light, &[]);
        for first in &each {
            tally.compare(light, std::slice::from_ref(first));
            for second in &each {
                // One after the other; the other way around is another case of the two loops.
                tally.compare(light, &[first.clone(), Signature { at: 1, ..second.clone() }]);
                tally.compare(light, &[first.clone(), second.clone()]);
            }
        }
    }
    tally.is_full(7 * (1 + 80 + 2 * 80 * 80));
}

#[test]
fn three_signatures_in_any_order_are_decided_as_written() {
    let each = all(&SIGNERS[..4], &[Light::Good, AGAIN]);
    assert_eq!(each.len(), 4 * 6);
    let mut tally = Tally::default();
    for light in [Light::Good, AMBER, Light::Red, STALE] {
        for first in &each {
            for second in &each {
                for third in &each {
                    let second = Signature { at: 1, ..second.clone() };
                    tally.compare(light, &[first.clone(), second, Signature { at: 2, ..third.clone() }]);
                }
            }
        }
    }
    tally.is_full(4 * 24 * 24 * 24);
}

/// What may be signed, by every light seen and now, role, and reason.
#[test]
fn a_go_is_refused_exactly_as_written() {
    let mut refused = 0;
    for press in all(&SIGNERS, &LIGHTS).iter().filter(|press| press.says == Says::Go) {
        for now in LIGHTS {
            let seen = press.lights[0].1;
            let expected = match (press.role, now, seen) {
                (Role::Crew, ..) => Err(Refused::NotYourRole),
                (_, Light::Red, _) => Err(Refused::Red(vec![WIND])),
                (_, Light::Missing(_), _) => Err(Refused::Missing(vec![WIND])),
                (_, AMBER, _) => Err(Refused::NeedsReadAgain(vec![WIND])),
                (_, _, Light::Red | Light::Missing(_) | AMBER) | (_, AGAIN, Light::Good) => {
                    Err(Refused::Changed(vec![WIND]))
                }
                (Role::SafetyOfficer, _, AGAIN) if !press.reason => Err(Refused::NeedsReason),
                _ => Ok(()),
            };
            assert_eq!(may_sign(press, &[is(WIND, now)], &[]), expected, "{press:?} {now:?}");
            refused += usize::from(expected.is_err());
        }
    }
    assert!(refused > 400, "{refused}");
}
