use super::*;
use serde_json::Value;

/// Counted by hand: five outlets, of which four were approached; three
/// stories, of which two carried the first message and one the third.
#[test]
fn outlets_and_messages_are_counted() {
    let outlet = |approached, replied, came, ran| Outlet { approached, replied, came, ran };
    let outlets = [
        outlet(true, true, true, true),
        outlet(true, true, false, true),
        outlet(true, false, false, false),
        outlet(true, true, true, false),
        outlet(false, false, false, false),
    ];
    let found = Figures::of(&outlets, &[0b001, 0b101, 0b000], 3, &[30.0, 2.0, 5.5]);
    assert_eq!((found.approached, found.replied, found.came, found.ran), (4, 3, 2, 2));
    assert_eq!((found.stories, found.carried), (3, vec![2, 0, 1]));
    assert_eq!((found.median_hours, found.timed), (Some(5.5), 3));
    assert_eq!(Figures::of(&[], &[], 0, &[]), Figures::default());
}

#[test]
fn the_median_of_an_even_number_lies_between_two() {
    assert_eq!(median(&[]), None);
    assert_eq!(median(&[4.0]), Some(4.0));
    assert_eq!(median(&[1.0, 10.0]), Some(5.5));
    assert_eq!(median(&[9.0, 1.0, 2.0, 4.0]), Some(3.0));
}

/// Against Python's `statistics.median`: `tests/reference/reading.py`.
#[test]
fn medians_agree_with_python() {
    let known: Value = serde_json::from_str(include_str!("../../../tests/reference/reading.json")).unwrap();
    let cases = known["medians"].as_array().unwrap();
    for case in cases {
        let values: Vec<f64> = case[0].as_array().unwrap().iter().map(|n| n.as_f64().unwrap()).collect();
        let found = median(&values).unwrap();
        assert!((found - case[1].as_f64().unwrap()).abs() < 1e-9, "{values:?}");
    }
    assert_eq!(cases.len(), 9);
}

#[test]
fn one_escort_for_five() {
    assert_eq!([0, 1, 5, 6, 10, 11].map(escorts), [0, 1, 1, 2, 2, 3]);
}
