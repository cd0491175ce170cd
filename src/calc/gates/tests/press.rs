//! What a press is refused for.

use super::*;

fn refused(press: &Signature, gates: &[GateNow], signatures: &[Signature]) -> Refused {
    may_sign(press, gates, signatures).unwrap_err()
}

#[test]
fn the_crew_signs_nothing() {
    let good = both(Light::Good, Light::Good);
    for says in [Says::Go, Says::Hold, Says::No] {
        assert_eq!(refused(&signed(99, says, 1, &good), &good, &[]), Refused::NotYourRole);
    }
}

#[test]
fn a_go_is_refused_for_the_gates_that_are_not_good() {
    let cases = [
        (both(Light::Red, UNREAD), Refused::Red(vec![WIND])),
        (both(Light::Red, Light::Red), Refused::Red(vec![WIND, CROWD])),
        (both(UNREAD, STALE), Refused::Missing(vec![WIND, CROWD])),
        (both(AMBER, UNADOPTED), Refused::Missing(vec![CROWD])),
        (both(AGAIN, AMBER), Refused::NeedsReadAgain(vec![CROWD])),
    ];
    for (gates, expected) in cases {
        for by in [OFFICER, BOSS, COMMANDER] {
            assert_eq!(refused(&with_reason(go(by, 1, &gates)), &gates, &[]), expected);
            // Nothing keeps them from stopping.
            assert_eq!(may_sign(&signed(by, Says::No, 1, &gates), &gates, &[]), Ok(()));
            assert_eq!(may_sign(&signed(by, Says::Hold, 1, &gates), &gates, &[]), Ok(()));
        }
    }
}

#[test]
fn only_the_safety_officer_needs_a_reason() {
    let amber = both(AGAIN, Light::Good);
    assert_eq!(refused(&go(OFFICER, 1, &amber), &amber, &[]), Refused::NeedsReason);
    assert_eq!(may_sign(&with_reason(go(OFFICER, 1, &amber)), &amber, &[]), Ok(()));
    assert_eq!(may_sign(&go(BOSS, 1, &amber), &amber, &[]), Ok(()));
    let good = both(Light::Good, Light::Good);
    assert_eq!(may_sign(&go(OFFICER, 1, &good), &good, &[]), Ok(()));
}

#[test]
fn who_looked_at_something_else_looks_again() {
    let good = both(Light::Good, Light::Good);
    let amber = both(AGAIN, Light::Good);
    assert_eq!(refused(&go(BOSS, 1, &good), &amber, &[]), Refused::Changed(vec![WIND]));
    assert_eq!(refused(&go(BOSS, 1, &both(STALE, AMBER)), &good, &[]), Refused::Changed(vec![WIND, CROWD]));
    assert_eq!(refused(&go(BOSS, 1, &good[..1]), &good, &[]), Refused::Changed(vec![CROWD]));
    // Better than what they saw is fine.
    assert_eq!(may_sign(&go(BOSS, 1, &amber), &good, &[]), Ok(()));
    let turns = vec![Turn { at: 5, grade: Some(Grade::Red) }, Turn { at: 6, grade: Some(Grade::Good) }];
    let turned = [GateNow { id: WIND, light: Light::Good, turns }, is(CROWD, Light::Good)];
    assert_eq!(refused(&go(BOSS, 5, &good), &turned, &[]), Refused::Changed(vec![WIND]));
    assert_eq!(may_sign(&go(BOSS, 6, &good), &turned, &[]), Ok(()));
}

#[test]
fn nobody_signs_for_both_sides() {
    let good = both(Light::Good, Light::Good);
    let officer = go(OFFICER, 1, &good);
    let as_boss = Signature { role: Role::BurnBoss, at: 2, ..officer.clone() };
    assert_eq!(refused(&as_boss, &good, std::slice::from_ref(&officer)), Refused::SamePerson);
    // After a hold they may choose again.
    let hold = signed(OFFICER, Says::Hold, 2, &good);
    assert_eq!(may_sign(&Signature { at: 3, ..as_boss }, &good, &[officer, hold]), Ok(()));
}

#[test]
fn nobody_signs_twice_what_still_counts() {
    let good = both(Light::Good, Light::Good);
    let amber = both(AGAIN, Light::Good);
    let boss = go(BOSS, 1, &good);
    assert_eq!(refused(&go(BOSS, 2, &good), &good, std::slice::from_ref(&boss)), Refused::AlreadySignedByYou);
    assert_eq!(may_sign(&go(COMMANDER, 2, &good), &good, std::slice::from_ref(&boss)), Ok(()));
    // Void by now.
    assert_eq!(may_sign(&go(BOSS, 2, &amber), &amber, std::slice::from_ref(&boss)), Ok(()));
    let officer = with_reason(go(OFFICER, 2, &amber));
    assert_eq!(may_sign(&go(BOSS, 3, &good), &good, &[boss.clone(), officer]), Ok(()));
    let hold = signed(OFFICER, Says::Hold, 2, &good);
    assert_eq!(may_sign(&go(BOSS, 3, &good), &good, &[boss.clone(), hold.clone()]), Ok(()));
    // A hold twice running says nothing new; after a go it does.
    let again = Signature { at: 3, ..hold.clone() };
    assert_eq!(refused(&again, &good, &[boss.clone(), hold.clone()]), Refused::AlreadySignedByYou);
    assert_eq!(may_sign(&signed(BOSS, Says::Hold, 3, &good), &good, &[boss.clone(), hold.clone()]), Ok(()));
    assert_eq!(may_sign(&signed(OFFICER, Says::No, 3, &good), &good, &[boss.clone(), hold.clone()]), Ok(()));
    let later = go(BOSS, 3, &good);
    assert_eq!(may_sign(&Signature { at: 4, ..again }, &good, &[boss, hold, later]), Ok(()));
}
