use super::*;
use proptest::collection::vec;
use proptest::prelude::*;
use serde_json::Value;

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|number| number.as_f64().unwrap()).collect()
}

fn is_near(one: f64, other: f64) -> bool {
    (one - other).abs() < 1e-12
}

/// By lifelines: `tests/reference/acknowledge.py`.
#[test]
fn the_curve_is_that_of_lifelines() {
    let known: Value = serde_json::from_str(include_str!("../../../tests/reference/acknowledge.json")).unwrap();
    let sets = known["sets"].as_array().unwrap();
    assert_eq!(sets.len(), 200);
    let (mut compared, mut steps) = (0, 0);
    for (place, set) in sets.iter().enumerate() {
        let acknowledged = set["acknowledged"].as_str().unwrap().bytes().map(|digit| digit == b'1');
        let observations: Vec<(f64, bool)> = numbers(&set["minutes"]).into_iter().zip(acknowledged).collect();
        let (timeline, shares) = (numbers(&set["timeline"]), numbers(&set["share"]));
        let ours = curve(&observations).unwrap();
        for (minutes, share) in timeline.iter().zip(&shares) {
            let reached = reached(&ours, *minutes).unwrap();
            assert!(is_near(reached, *share), "set {place}, {minutes}: {reached}, not {share}");
            compared += 1;
        }
        // A step wherever somebody acknowledged, and at the end.
        let last = *timeline.last().unwrap();
        let has_step =
            |minutes: f64| minutes >= last || observations.iter().any(|(at, yes)| *yes && is_near(*at, minutes));
        let expected: Vec<f64> = timeline.into_iter().filter(|minutes| has_step(*minutes)).collect();
        assert_eq!(ours.steps.iter().map(|step| step.minutes).collect::<Vec<_>>(), expected, "set {place}");
        assert_eq!(reached(&ours, last + 1e-9), None);
        steps += expected.len();
    }
    assert!(compared > 8_000 && steps > 4_000, "{compared} {steps}");
}

/// Worked by hand: 30 people, of whom 10 acknowledge and 5 are given up in the same minute; the 5
/// were still asked when the 10 acknowledged.
#[test]
fn who_acknowledges_comes_before_who_is_given_up() {
    let all = [vec![(3.0, true); 10], vec![(3.0, false); 5], vec![(4.0, true); 3], vec![(9.0, false); 12]].concat();
    let found = curve(&all).unwrap();
    let shares = [(3.0, 1.0 / 3.0), (4.0, 1.0 - 2.0 / 3.0 * 0.8), (9.0, 1.0 - 2.0 / 3.0 * 0.8)];
    assert_eq!(found.steps.len(), shares.len());
    for (step, (minutes, share)) in found.steps.iter().zip(shares) {
        assert!(is_near(step.minutes, minutes) && is_near(step.share, share), "{step:?}");
    }
}

#[test]
fn before_the_first_nobody_has_and_after_the_last_nobody_knows() {
    let found = curve(&[vec![(2.0, true); 20], vec![(5.0, false); 10]].concat()).unwrap();
    let at = |minutes| reached(&found, minutes);
    assert_eq!((at(-1.0), at(0.0), at(1.999)), (Some(0.0), Some(0.0), Some(0.0)));
    assert!(is_near(at(2.0).unwrap(), 2.0 / 3.0) && is_near(at(5.0).unwrap(), 2.0 / 3.0));
    for minutes in [5.001, f64::INFINITY, f64::NAN] {
        assert_eq!(at(minutes), None);
    }
    assert_eq!(reached(&Curve { steps: vec![] }, 0.0), None);
}

#[test]
fn too_few_or_wrong_times_make_no_curve() {
    assert_eq!(curve(&[]), None);
    assert_eq!(curve(&[(1.0, true); FEWEST - 1]), None);
    assert!(curve(&[(1.0, true); FEWEST]).is_some());
    for wrong in [-0.1, f64::NAN, f64::INFINITY] {
        assert_eq!(curve(&[vec![(1.0, true); FEWEST], vec![(wrong, false)]].concat()), None);
    }
    let zero = curve(&[vec![(0.0, true); 20], vec![(-0.0, true); 20]].concat()).unwrap();
    assert_eq!(zero.steps, [Step { minutes: 0.0, share: 1.0 }]);
}

fn some_observations() -> impl Strategy<Value = Vec<(f64, bool)>> {
    vec(((0..20_u8).prop_map(f64::from), any::<bool>()), FEWEST..60)
}

proptest! {
    #[test]
    fn the_share_only_rises_and_the_order_does_not_matter(
        (all, shuffled) in some_observations().prop_flat_map(|all| (Just(all.clone()), Just(all).prop_shuffle()))
    ) {
        let found = curve(&all).unwrap();
        prop_assert_eq!(&found, &curve(&shuffled).unwrap());
        for pair in found.steps.windows(2) {
            prop_assert!(pair[0].minutes < pair[1].minutes && pair[0].share <= pair[1].share);
        }
        prop_assert!(found.steps.iter().all(|step| (0.0..=1.0).contains(&step.share)));
    }

    /// With nobody given up it is just the share of all.
    #[test]
    fn without_anyone_given_up_it_is_a_plain_share(all in some_observations(), at in 0..20_u8) {
        let all: Vec<(f64, bool)> = all.into_iter().map(|(minutes, _)| (minutes, true)).collect();
        let by = all.iter().filter(|(minutes, _)| *minutes <= f64::from(at)).count();
        if let Some(share) = reached(&curve(&all).unwrap(), f64::from(at)) {
            prop_assert!(is_near(share, count(by) / count(all.len())));
        }
    }

    /// Leaving out who hasn't acknowledged makes everybody look quicker, never slower.
    #[test]
    fn counting_only_who_acknowledged_is_never_slower(all in some_observations(), at in 0..20_u8) {
        let only: Vec<(f64, bool)> = all.iter().copied().filter(|(_, acknowledged)| *acknowledged).collect();
        let by = only.iter().filter(|(minutes, _)| *minutes <= f64::from(at)).count();
        if let (Some(share), false) = (reached(&curve(&all).unwrap(), f64::from(at)), only.is_empty()) {
            prop_assert!(share <= count(by) / count(only.len()) + 1e-12);
        }
    }
}
