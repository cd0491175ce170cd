//! The rules by example. `table.rs` holds them against a second implementation, `laws.rs` against
//! what must always be so.

use super::*;

mod laws;
mod press;
mod readings;
mod replay;
mod table;

pub(super) const WIND: i64 = 1;
pub(super) const CROWD: i64 = 2;

pub(super) const OFFICER: i64 = 10;
pub(super) const BOSS: i64 = 20;
pub(super) const COMMANDER: i64 = 30;

pub(super) const AMBER: Light = Light::Amber { again: false };
pub(super) const AGAIN: Light = Light::Amber { again: true };
pub(super) const STALE: Light = Light::Missing(Why::Stale);
pub(super) const UNREAD: Light = Light::Missing(Why::NoReading);
pub(super) const UNADOPTED: Light = Light::Missing(Why::NotAdopted);
pub(super) const LIGHTS: [Light; 7] = [Light::Good, AMBER, AGAIN, Light::Red, STALE, UNREAD, UNADOPTED];

/// A gate whose past is unknown.
pub(super) fn is(id: i64, light: Light) -> GateNow {
    GateNow { id, light, turns: vec![] }
}

/// Wind and crowd.
pub(super) fn both(wind: Light, crowd: Light) -> Vec<GateNow> {
    vec![is(WIND, wind), is(CROWD, crowd)]
}

fn signed(by: i64, says: Says, at: i64, gates: &[GateNow]) -> Signature {
    let role = match by {
        OFFICER => Role::SafetyOfficer,
        BOSS => Role::BurnBoss,
        COMMANDER => Role::IncidentCommander,
        _ => Role::Crew,
    };
    Signature { by, role, says, at, reason: false, lights: snapshot(gates) }
}

fn with_reason(signature: Signature) -> Signature {
    Signature { reason: true, ..signature }
}

fn go(by: i64, at: i64, gates: &[GateNow]) -> Signature {
    signed(by, Says::Go, at, gates)
}

const SIGN: Wanted = Wanted::SafetyOfficer { reason: false };

fn open(wants: &[Wanted]) -> Verdict {
    Verdict::Open { wants: wants.to_vec() }
}

#[test]
fn go_takes_the_safety_officer_and_one_in_command() {
    let good = both(Light::Good, Light::Good);
    assert_eq!(verdict(&good, &[]), open(&[SIGN, Wanted::BossOrCommander]));
    assert_eq!(verdict(&good, &[go(OFFICER, 1, &good)]), open(&[Wanted::BossOrCommander]));
    for other in [BOSS, COMMANDER] {
        assert_eq!(verdict(&good, &[go(OFFICER, 1, &good), go(other, 2, &good)]), Verdict::Go);
        assert_eq!(verdict(&good, &[go(OFFICER, 2, &good), go(other, 1, &good)]), Verdict::Go);
    }
    assert_eq!(verdict(&good, &[go(BOSS, 1, &good), go(COMMANDER, 2, &good)]), open(&[SIGN]));
    let crew = go(99, 1, &good);
    assert_eq!(verdict(&good, &[crew, go(OFFICER, 2, &good)]), open(&[Wanted::BossOrCommander]));
}

#[test]
fn one_person_in_two_roles_is_not_two() {
    let good = both(Light::Good, Light::Good);
    let as_commander = Signature { role: Role::IncidentCommander, ..go(OFFICER, 2, &good) };
    let signed = [go(OFFICER, 1, &good), as_commander];
    assert_eq!(verdict(&good, &signed), open(&[Wanted::BossOrCommander]));
    assert_eq!(verdict(&good, &[&signed[..], &[go(BOSS, 3, &good)]].concat()), Verdict::Go);
}

#[test]
fn red_missing_and_stale_gates_keep_it_open() {
    let good = both(Light::Good, Light::Good);
    let wants = [
        (Light::Red, Wanted::Better(WIND)),
        (UNREAD, Wanted::Reading(WIND)),
        (UNADOPTED, Wanted::Adoption(WIND)),
        (AMBER, Wanted::Again(WIND)),
    ];
    for (light, want) in wants {
        let now = both(light, Light::Good);
        let officer = Wanted::SafetyOfficer { reason: light == AMBER };
        assert_eq!(verdict(&now, &[go(BOSS, 1, &good)]), open(&[want, officer, Wanted::BossOrCommander]), "{light:?}");
        // What was pressed in spite of it isn't a go.
        assert_ne!(verdict(&good, &[go(BOSS, 1, &now), go(OFFICER, 2, &now)]), Verdict::Go, "{light:?}");
    }
    // It is still good as far as anyone knows, but the officer can't sign before it is read.
    let stale = both(STALE, Light::Good);
    assert_eq!(verdict(&stale, &[go(BOSS, 1, &good)]), open(&[Wanted::Reading(WIND), SIGN]));
    assert_eq!(verdict(&stale, &[go(BOSS, 1, &good), go(OFFICER, 2, &stale)]), open(&[Wanted::Reading(WIND), SIGN]));
}

#[test]
fn amber_read_again_takes_the_safety_officers_reason() {
    let amber = both(AGAIN, Light::Good);
    let boss = go(BOSS, 1, &amber);
    assert_eq!(
        verdict(&amber, &[boss.clone(), go(OFFICER, 2, &amber)]),
        open(&[Wanted::SafetyOfficer { reason: true }])
    );
    assert_eq!(verdict(&amber, &[boss.clone(), with_reason(go(OFFICER, 2, &amber))]), Verdict::Go);
    // The boss's reason isn't the officer's.
    assert_ne!(verdict(&amber, &[with_reason(boss), go(OFFICER, 2, &amber)]), Verdict::Go);
}

#[test]
fn one_signature_is_enough_for_hold_or_no() {
    let good = both(Light::Good, Light::Good);
    let gos = [go(OFFICER, 1, &good), go(BOSS, 2, &good)];
    for by in [OFFICER, BOSS, COMMANDER] {
        let with = |says| verdict(&good, &[&gos[..], &[signed(by, says, 3, &good)]].concat());
        assert_eq!(with(Says::Hold), Verdict::Hold(Because::Signed));
        assert_eq!(with(Says::No), Verdict::No);
        assert_eq!(verdict(&good, &[signed(by, Says::No, 3, &good)]), Verdict::No);
    }
    assert_eq!(verdict(&good, &[&gos[..], &[signed(99, Says::No, 3, &good)]].concat()), Verdict::Go);
}

#[test]
fn after_a_hold_or_a_no_both_sign_again() {
    let good = both(Light::Good, Light::Good);
    for (says, stopped) in [(Says::Hold, Verdict::Hold(Because::Signed)), (Says::No, Verdict::No)] {
        let mut all = vec![go(OFFICER, 1, &good), signed(COMMANDER, says, 2, &good), go(BOSS, 3, &good)];
        assert_eq!(verdict(&good, &all), stopped);
        assert_eq!(wanted(&good, &all), [SIGN]);
        all.push(go(OFFICER, 4, &good));
        assert_eq!(verdict(&good, &all), Verdict::Go);
        // In the same second the hold counts.
        assert_eq!(verdict(&good, &[&all[..], &[signed(BOSS, says, 4, &good)]].concat()), stopped);
    }
}

#[test]
fn a_hold_does_not_soften_a_no() {
    let good = both(Light::Good, Light::Good);
    let mut all = vec![signed(OFFICER, Says::No, 1, &good), go(BOSS, 2, &good), signed(OFFICER, Says::Hold, 3, &good)];
    assert_eq!(verdict(&good, &all), Verdict::No);
    all.extend([go(BOSS, 4, &good), go(OFFICER, 5, &good), signed(OFFICER, Says::Hold, 6, &good)]);
    assert_eq!(verdict(&good, &all), Verdict::Hold(Because::Signed));
}

#[test]
fn a_go_is_void_once_a_gate_is_worse_than_its_signer_saw() {
    let good = both(Light::Good, Light::Good);
    let amber = both(AGAIN, Light::Good);
    let boss = go(BOSS, 1, &good);
    let officer = with_reason(go(OFFICER, 3, &amber));
    let wants = [Wanted::BossOrCommander];
    assert_eq!(verdict(&amber, &[boss.clone(), officer.clone()]), open(&wants));
    // Also if it is good by now: it was void when the officer signed.
    assert_eq!(verdict(&good, &[boss, officer.clone()]), open(&wants));
    assert_eq!(verdict(&amber, &[officer, go(BOSS, 4, &amber)]), Verdict::Go);
}

#[test]
fn a_go_that_was_reached_becomes_a_hold_when_a_gate_gets_worse() {
    let good = both(Light::Good, Light::Good);
    let gos = [go(OFFICER, 1, &good), go(BOSS, 2, &good)];
    for light in [AMBER, AGAIN, Light::Red, UNREAD, UNADOPTED] {
        let hold = |gates: &[i64]| Verdict::Hold(Because::Gates(gates.to_vec()));
        assert_eq!(verdict(&both(Light::Good, light), &gos), hold(&[CROWD]), "{light:?}");
        assert_eq!(verdict(&both(light, light), &gos), hold(&[WIND, CROWD]), "{light:?}");
    }
    assert_eq!(verdict(&both(STALE, STALE), &gos), Verdict::Go);
    let amber = both(AGAIN, Light::Good);
    let gos = [with_reason(go(OFFICER, 1, &amber)), go(BOSS, 2, &amber)];
    assert_eq!(verdict(&both(AMBER, STALE), &gos), Verdict::Go);
    assert_eq!(verdict(&both(Light::Red, Light::Good), &gos), Verdict::Hold(Because::Gates(vec![WIND])));
}

#[test]
fn a_gate_that_the_signers_have_not_seen_is_worse() {
    let gos = |gates: &[GateNow]| [go(OFFICER, 1, gates), go(BOSS, 2, gates)];
    let good = both(Light::Good, Light::Good);
    assert_eq!(verdict(&good, &gos(&good[..1])), Verdict::Hold(Because::Gates(vec![CROWD])));
    // One that is no longer asked for doesn't matter.
    assert_eq!(verdict(&good[..1], &gos(&good)), Verdict::Go);
}

/// A gust after the go: a hold while it lasts, and a new poll after it.
#[test]
fn a_gate_that_was_worse_for_a_while_takes_both_again() {
    let good = both(Light::Good, Light::Good);
    let turned = |grades: &[(i64, Grade)], light: Light| {
        let turns = grades.iter().map(|(at, grade)| Turn { at: *at, grade: Some(*grade) }).collect();
        vec![GateNow { id: WIND, light, turns }, is(CROWD, Light::Good)]
    };
    let mut all = vec![go(OFFICER, 10, &good), go(BOSS, 20, &good)];
    let during = turned(&[(0, Grade::Good), (30, Grade::Red)], Light::Red);
    assert_eq!(verdict(&during, &all), Verdict::Hold(Because::Gates(vec![WIND])));
    let after = turned(&[(0, Grade::Good), (30, Grade::Red), (40, Grade::Good)], Light::Good);
    assert_eq!(verdict(&after, &all), open(&[SIGN, Wanted::BossOrCommander]));
    all.push(go(OFFICER, 50, &after));
    assert_eq!(verdict(&after, &all), open(&[Wanted::BossOrCommander]));
    all.push(go(BOSS, 60, &after));
    assert_eq!(verdict(&after, &all), Verdict::Go);
}

/// The boss has seen amber and would still go; the officer hasn't.
#[test]
fn what_each_signer_saw_counts_for_their_own_go() {
    let (good, amber) = (both(Light::Good, Light::Good), both(AGAIN, Light::Good));
    let turns = [(30, Grade::Amber), (40, Grade::Good)].map(|(at, grade)| Turn { at, grade: Some(grade) }).to_vec();
    let now = [GateNow { id: WIND, light: Light::Good, turns }, is(CROWD, Light::Good)];
    let all = [go(BOSS, 10, &amber), go(OFFICER, 20, &good)];
    assert_eq!(verdict(&amber, &all), Verdict::Hold(Because::Gates(vec![WIND])));
    assert_eq!(verdict(&now, &all), open(&[SIGN]));
}

#[test]
fn who_is_wanted_does_not_depend_on_the_order() {
    let (good, amber) = (both(Light::Good, Light::Good), both(AGAIN, Light::Good));
    let as_commander = Signature { role: Role::IncidentCommander, ..go(OFFICER, 2, &amber) };
    let mut all = [go(OFFICER, 1, &good), as_commander, go(BOSS, 2, &amber)];
    assert_eq!(wanted(&good, &all), [SIGN]);
    all.reverse();
    assert_eq!(wanted(&good, &all), [SIGN]);
}

/// If it was worse before the second signed, there was no go, and a no before it stays.
#[test]
fn a_go_void_before_the_second_signed_ends_no_no() {
    let good = both(Light::Good, Light::Good);
    let turns = [(10, Grade::Amber), (20, Grade::Good)].map(|(at, grade)| Turn { at, grade: Some(grade) }).to_vec();
    let now = [GateNow { id: WIND, light: Light::Good, turns }, is(CROWD, Light::Good)];
    let all = [signed(BOSS, Says::No, 0, &good), go(OFFICER, 5, &good), go(BOSS, 30, &good)];
    assert_eq!(verdict(&now, &all), Verdict::No);
    assert_eq!(wanted(&now, &all), [SIGN]);
    assert_eq!(verdict(&good, &all), Verdict::Go);
}

#[test]
fn everybody_may_call_stop() {
    for role in [Role::SafetyOfficer, Role::BurnBoss, Role::IncidentCommander, Role::Crew] {
        assert!(may_stop(role));
    }
}
