//! From readings to a light.

use super::*;

const NOW: i64 = 100_000;

fn gate(kind: Kind) -> Gate {
    Gate { id: WIND, kind, adopted: true, fresh_minutes: 10 }
}

fn wind() -> Gate {
    gate(Kind::Number { amber: Some(10.0), red: Some(15.0), worse: Worse::Above })
}

/// The light of readings so many seconds ago.
fn of(gate: &Gate, readings: &[(i64, Value)]) -> Light {
    let readings: Vec<Reading> = readings.iter().map(|(ago, value)| Reading { at: NOW - ago, value: *value }).collect();
    light(gate, &readings, NOW)
}

fn mph(readings: &[(i64, f64)]) -> Light {
    let values: Vec<_> = readings.iter().map(|(ago, mph)| (*ago, Value::Number(*mph))).collect();
    of(&wind(), &values)
}

#[test]
fn a_limit_belongs_to_the_worse_side() {
    for (speed, expected) in
        [(9.99, Light::Good), (10.0, AMBER), (14.99, AMBER), (15.0, Light::Red), (40.0, Light::Red)]
    {
        assert_eq!(mph(&[(0, speed)]), expected, "{speed} mph");
    }
    let flow = gate(Kind::Number { amber: Some(500.0), red: Some(250.0), worse: Worse::Below });
    for (gpm, expected) in [(500.1, Light::Good), (500.0, AMBER), (250.1, AMBER), (250.0, Light::Red)] {
        assert_eq!(of(&flow, &[(0, Value::Number(gpm))]), expected, "{gpm} gpm");
    }
    let no_amber = gate(Kind::Number { amber: None, red: Some(15.0), worse: Worse::Above });
    assert_eq!(of(&no_amber, &[(0, Value::Number(14.0))]), Light::Good);
    assert_eq!(of(&no_amber, &[(0, Value::Number(15.0))]), Light::Red);
}

#[test]
fn yes_is_good_and_a_choice_is_what_it_says() {
    let line = gate(Kind::YesNo);
    assert_eq!(of(&line, &[(0, Value::Yes(true))]), Light::Good);
    assert_eq!(of(&line, &[(0, Value::Yes(false))]), Light::Red);
    let ban = gate(Kind::Choice(vec![Grade::Good, Grade::Amber, Grade::Red]));
    let lights = [0, 1, 2, 3].map(|place| of(&ban, &[(0, Value::Choice(place))]));
    assert_eq!(lights, [Light::Good, AMBER, Light::Red, UNREAD]);
}

#[test]
fn only_the_newest_reading_counts_and_of_a_moment_the_worst() {
    assert_eq!(mph(&[(60, 8.0), (120, 20.0)]), Light::Good);
    assert_eq!(mph(&[(120, 8.0), (60, 20.0)]), Light::Red);
    assert_eq!(mph(&[(60, 20.0), (60, 8.0)]), Light::Red);
    assert_eq!(mph(&[(60, 8.0), (60, 12.0)]), AMBER);
    assert_eq!(mph(&[(60, 20.0), (60, f64::NAN)]), Light::Red);
    assert_eq!(mph(&[(60, f64::NAN), (60, 8.0)]), UNREAD);
}

#[test]
fn a_good_reading_gets_stale_and_a_red_one_does_not() {
    assert_eq!(mph(&[(600, 8.0)]), Light::Good);
    assert_eq!(mph(&[(601, 8.0)]), STALE);
    assert_eq!(mph(&[(86_400, 20.0)]), Light::Red);
    // Newer, so the red one no longer counts.
    assert_eq!(mph(&[(86_400, 20.0), (700, 8.0)]), STALE);
}

#[test]
fn amber_counts_as_read_again_after_a_second_look() {
    assert_eq!(mph(&[(60, 12.0)]), AMBER);
    assert_eq!(mph(&[(120, 12.0), (60, 11.0)]), AGAIN);
    // The same look twice is one.
    assert_eq!(mph(&[(60, 12.0), (60, 11.0)]), AMBER);
    // The first still counted when the second was read, and the second still counts.
    assert_eq!(mph(&[(1_200, 12.0), (600, 11.0)]), AGAIN);
    assert_eq!(mph(&[(1_201, 12.0), (600, 11.0)]), AMBER);
    assert_eq!(mph(&[(1_200, 12.0), (601, 11.0)]), AMBER);
    // It was good, or red, in between.
    assert_eq!(mph(&[(180, 12.0), (120, 8.0), (60, 11.0)]), AMBER);
    assert_eq!(mph(&[(180, 12.0), (120, 20.0), (60, 11.0)]), AMBER);
}

#[test]
fn a_reading_from_the_future_waits() {
    assert_eq!(mph(&[(60, 8.0), (-60, 20.0)]), Light::Red);
    assert_eq!(mph(&[(60, 8.0), (-61, 20.0)]), Light::Good);
    assert_eq!(mph(&[(-61, 8.0)]), UNREAD);
}

#[test]
fn what_nobody_adopted_or_read_is_missing() {
    let common = Gate { adopted: false, ..wind() };
    assert_eq!(of(&common, &[(0, Value::Number(8.0))]), UNADOPTED);
    assert_eq!(of(&common, &[]), UNADOPTED);
    assert_eq!(mph(&[]), UNREAD);
}

/// An older reading doesn't stand in for one that means nothing.
#[test]
fn a_reading_that_does_not_fit_makes_the_gate_missing() {
    let eight = (60, Value::Number(8.0));
    for value in [Value::Yes(true), Value::Choice(0), Value::Number(f64::NAN), Value::Number(f64::NEG_INFINITY)] {
        assert_eq!(of(&wind(), &[eight, (0, value)]), UNREAD, "{value:?}");
    }
    let broken = gate(Kind::Number { amber: Some(f64::NAN), red: Some(15.0), worse: Worse::Above });
    assert_eq!(of(&broken, &[eight]), UNREAD);
}

#[test]
fn the_past_is_kept_by_the_moment() {
    let read = |at, mph| Reading { at, value: Value::Number(mph) };
    let now = GateNow::of(&wind(), &[read(90, 20.0), read(30, 8.0), read(90, 12.0), read(60, f64::NAN)], 100);
    let turns = [(30, Some(Grade::Good)), (60, None), (90, Some(Grade::Red))];
    assert_eq!(now.turns, turns.map(|(at, grade)| Turn { at, grade }));
    assert_eq!(snapshot(&[now]), [(WIND, Light::Red)]);
}

#[test]
fn far_times_do_not_overflow() {
    let read = |at| Reading { at, value: Value::Number(8.0) };
    let old = Gate { fresh_minutes: u32::MAX, ..wind() };
    assert_eq!(light(&old, &[read(i64::MIN)], i64::MAX), STALE);
    assert_eq!(light(&old, &[read(i64::MAX)], i64::MAX), Light::Good);
}
