//! Talks in many fires: counted again in `tests/reference/talk.py`, and what must hold for any.

use burnday::calc::fire::bands::{Alarm, FireTimes, Inputs, Sensing, Sprinkler};
use burnday::calc::fire::items::Preset;
use burnday::calc::fire::room::{Lining, Opening, Room};
use burnday::calc::fire::sampling::Range;
use burnday::calc::fire::zone::Location;
use burnday::calc::fire::{FOOT, kelvin};
use burnday::calc::talk::{Audience, Burn, Fitted, Line, LineFit, Mark, Pace, Part, Phase, Rules, coverage, fit};
use proptest::prelude::*;
use serde_json::{Value, json};

const COUNTED: &str = include_str!("../reference/talk.json");
/// So many of the fires are simulated.
const SIMULATED: usize = 300;
const SEED: u64 = 2027;

/// A living room of 8 ft in which a basket, a curtain, and an armchair burn.
fn inputs() -> Inputs {
    let feet = |feet: f64| feet * FOOT;
    let items = [Preset::Wastebasket, Preset::Curtain, Preset::Armchair].map(Preset::item).to_vec();
    Inputs {
        room: Room {
            length: feet(8.0),
            width: feet(8.0),
            height: feet(8.0),
            opening: Opening { width: feet(8.0), sill: 0.0, soffit: feet(6.0) },
            walls: Lining::GYPSUM,
            floor: Lining::GYPSUM,
            ambient: kelvin(20.0),
        },
        until: Inputs::horizon(&items),
        items,
        location: Location::Wall,
        surface: Range::new(0.2, 0.6),
        ambient: Range::new(kelvin(10.0), kelvin(30.0)),
        sprinkler: Sprinkler {
            rating: kelvin(68.0),
            distance: Range::new(0.75, 1.2),
            rti: Range::new(28.0, 50.0),
            conductance: Range::new(0.3, 1.0),
            density: 0.138,
        },
        alarm: Alarm { distance: Range::new(0.75, 1.2), sensing: Sensing::Unknown },
        flashover: Range::new(kelvin(500.0), kelvin(600.0)),
    }
}

fn simulated() -> Vec<FireTimes> {
    inputs().simulate(SIMULATED, SEED, || false).unwrap().fires
}

fn times(fire: &FireTimes) -> [f64; 3] {
    [fire.alarm, fire.sprinkler, fire.flashover]
}

fn stored(counted: &Value) -> Vec<FireTimes> {
    let time = |time: &Value| time.as_f64().unwrap_or(f64::INFINITY);
    let fire = |fire: &Value| FireTimes { alarm: time(&fire[0]), sprinkler: time(&fire[1]), flashover: time(&fire[2]) };
    counted["fires"].as_array().unwrap().iter().map(fire).collect()
}

#[test]
fn the_stored_fires_are_the_models_own() {
    let fires = simulated();
    if std::env::var_os("WRITE_FIRES").is_some() {
        let rounded = |time: f64| time.is_finite().then(|| (time * 10.0).round() / 10.0);
        let rows: Vec<_> = fires.iter().map(|fire| times(fire).map(rounded)).collect();
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/talk.json");
        std::fs::write(path, json!({ "fires": rows }).to_string()).unwrap();
        return;
    }
    let stored = stored(&serde_json::from_str(COUNTED).unwrap());
    assert!(stored.len() > SIMULATED);
    for (number, (fire, stored)) in fires.iter().zip(&stored).enumerate() {
        for (time, stored) in times(fire).into_iter().zip(times(stored)) {
            let is_near = (time - stored).abs() <= 0.1 || (time.is_infinite() && stored.is_infinite());
            assert!(is_near, "fire {number}: {time} is not {stored}");
        }
    }
}

/// A mark as it is stored.
fn mark(mark: Option<Mark>) -> Value {
    let name = |mark| match mark {
        Mark::Alarm => "alarm",
        Mark::Sprinkler => "sprinkler",
        Mark::Flashover => "flashover",
        Mark::Attack => "attack",
    };
    json!(mark.map(name))
}

/// A row of the file against ours: texts and counts must be equal, times nearly.
fn same(ours: &Value, counted: &[Value], about: &str) {
    let ours = ours.as_array().unwrap();
    assert_eq!(ours.len(), counted.len(), "{about}");
    for (ours, counted) in ours.iter().zip(counted) {
        let is_same = match (ours.as_f64(), counted.as_f64()) {
            (Some(ours), Some(counted)) => (ours - counted).abs() < 1e-9,
            _ => ours == counted,
        };
        assert!(is_same, "{about}: {ours} is not {counted}");
    }
}

#[test]
fn every_number_agrees_with_the_recount() {
    let counted: Value = serde_json::from_str(COUNTED).unwrap();
    let fires = stored(&counted);
    let talks = counted["talks"].as_array().unwrap();
    assert_eq!(talks.len(), 12);
    for (number, talk) in talks.iter().enumerate() {
        let place = |key: &str| usize::try_from(talk[key].as_u64().unwrap()).unwrap();
        let rules = Rules {
            is_both: talk["both"].as_bool().unwrap(),
            listen: talk["listen"].as_f64().unwrap(),
            attack: talk["attack"].as_f64().unwrap(),
        };
        let rows: Vec<&Vec<Value>> =
            talk["lines"].as_array().unwrap().iter().map(|row| row.as_array().unwrap()).collect();
        let line = |row: &&Vec<Value>| Line {
            part: row[0].as_str().unwrap().parse().unwrap(),
            seconds: row[1].as_f64().unwrap(),
        };
        let lines: Vec<Line> = rows.iter().map(line).collect();
        let fitted = fit(&lines, &fires[place("from")..place("until")], &rules);
        for (at, (ours, row)) in fitted.lines.iter().zip(&rows).enumerate() {
            let ours = json!([ours.comes, ours.full, ours.cut, mark(ours.cut_by), ours.starts, ours.ends]);
            same(&ours, &row[2..], &format!("talk {number}, line {at}"));
        }
        let sections = talk["sections"].as_array().unwrap();
        assert_eq!(fitted.sections.len(), sections.len());
        for (ours, row) in fitted.sections.iter().zip(sections) {
            let (half, most) = (ours.silence.map(|silence| silence.half), ours.silence.map(|silence| silence.most));
            let part = ours.part.as_str();
            let ours = json!([part, ours.comes, ours.leaves, ours.wanted, half, most, mark(ours.ended_by)]);
            same(&ours, row.as_array().unwrap(), &format!("talk {number}, {part}"));
        }
    }
}

fn any_part() -> impl Strategy<Value = Part> {
    prop::sample::select(Part::ALL.to_vec())
}

/// A time, often the same as another, or never.
fn time() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => 0.0..400.0_f64,
        2 => (0..12_u32).prop_map(|tens| f64::from(tens) * 10.0),
        1 => Just(f64::INFINITY),
    ]
}

fn fires() -> impl Strategy<Value = Vec<FireTimes>> {
    let fire = (time(), time(), time());
    let fire = fire.prop_map(|(alarm, sprinkler, flashover)| FireTimes { alarm, sprinkler, flashover });
    prop::collection::vec(fire, 0..45)
}

fn rules() -> impl Strategy<Value = Rules> {
    (any::<bool>(), 0.0..8.0_f64, 0.0..40.0_f64).prop_map(|(is_both, listen, attack)| Rules { is_both, listen, attack })
}

/// Parts, and words of a line.
fn texts() -> impl Strategy<Value = Vec<(Part, u32)>> {
    prop::collection::vec((any_part(), 0..60_u32), 0..40)
}

fn spoken(texts: &[(Part, u32)], pace: Pace) -> Vec<Line> {
    let line = |(part, words): &(Part, u32)| Line { part: *part, seconds: pace.seconds(*words, Audience::All) };
    texts.iter().map(line).collect()
}

fn lines_of(fitted: &Fitted, lines: &[Line], part: Part) -> Vec<LineFit> {
    fitted.lines.iter().zip(lines).filter(|(_, line)| line.part == part).map(|(fit, _)| *fit).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 192, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn speaking_slower_never_helps(
        texts in texts(), fires in fires(), rules in rules(), rate in 60..200_u32, slower in 0..50_u32
    ) {
        let pace = |rate| Pace { children: rate, ..Pace::USUAL };
        let fitted = |rate| fit(&spoken(&texts, pace(rate)), &fires, &rules);
        for (fast, slow) in fitted(rate).lines.iter().zip(fitted(rate - slower).lines) {
            prop_assert!(slow.full <= fast.full && slow.comes == fast.comes);
        }
    }

    #[test]
    fn a_later_alarm_leaves_more_after_lighting(
        texts in texts(), fires in fires(), rules in rules(), later in 0.0..200.0_f64
    ) {
        let lines = spoken(&texts, Pace::USUAL);
        let delayed: Vec<FireTimes> =
            fires.iter().map(|fire| FireTimes { alarm: fire.alarm + later, ..*fire }).collect();
        let (before, after) = (fit(&lines, &fires, &rules), fit(&lines, &delayed, &rules));
        for part in [Part::Lit, Part::LitB] {
            for (before, after) in lines_of(&before, &lines, part).iter().zip(lines_of(&after, &lines, part)) {
                prop_assert!(after.full >= before.full && after.comes == before.comes);
            }
        }
    }

    #[test]
    fn the_counts_add_up(texts in texts(), fires in fires(), rules in rules()) {
        let lines = spoken(&texts, Pace::USUAL);
        let fitted = fit(&lines, &fires, &rules);
        prop_assert_eq!(fitted.lines.len(), lines.len());
        for (fit, line) in fitted.lines.iter().zip(&lines) {
            prop_assert!(fit.comes >= fit.full + fit.cut && fit.comes <= fires.len());
            prop_assert_eq!(fit.cut > 0, fit.cut_by.is_some());
            prop_assert!((fit.ends - fit.starts - line.seconds).abs() < 1e-9);
            let is_always = Part::sequence(rules.is_both).contains(&line.part) && line.part.burn(rules.is_both).is_none();
            if is_always {
                prop_assert_eq!((fit.comes, fit.full, fit.cut), (fires.len(), fires.len(), 0));
            } else if line.part.burn(rules.is_both).is_none() {
                prop_assert_eq!((fit.comes, fit.full, fit.cut), (0, 0, 0));
            }
        }
        let parts: Vec<Part> = fitted.sections.iter().map(|section| section.part).collect();
        prop_assert_eq!(parts, Burn::of(rules.is_both).iter().flat_map(|burn| burn.parts()).copied().collect::<Vec<_>>());
        for section in &fitted.sections {
            let own = lines_of(&fitted, &lines, section.part);
            let first = if section.part.begun_by().is_some() { rules.listen } else { 0.0 };
            let total: f64 = lines.iter().filter(|line| line.part == section.part).map(|line| line.seconds).sum();
            prop_assert!((section.wanted - first - total).abs() < 1e-9);
            prop_assert!(own.iter().all(|line| line.comes == section.comes));
            prop_assert!(own.windows(2).all(|pair| (pair[1].starts - pair[0].ends).abs() < 1e-12));
            // A fire cuts one line of a part at most, and what follows isn't begun.
            prop_assert!(own.iter().map(|line| line.cut).sum::<usize>() <= section.comes);
            prop_assert!(own.is_sorted_by(|one, next| one.full >= next.full + next.cut));
            if let Some(silence) = section.silence {
                prop_assert!(0.0 <= silence.half && silence.half <= silence.most);
            }
            prop_assert_eq!(section.silence.is_some(), section.ended_by.is_some());
        }
    }

    #[test]
    fn what_fits_ends_before_what_the_fires_leave(texts in texts(), fires in fires(), rules in rules()) {
        let lines = spoken(&texts, Pace::USUAL);
        let fitted = fit(&lines, &fires, &rules);
        for section in &fitted.sections {
            for line in lines_of(&fitted, &lines, section.part) {
                let is_in_time = section.leaves.is_none_or(|leaves| line.ends <= leaves);
                prop_assert_eq!(line.fits(), section.comes > 0 && is_in_time);
            }
        }
    }

    #[test]
    fn every_objective_is_covered_or_not(
        lines in prop::collection::vec((prop::option::of(0..8_usize), any_part()), 0..30),
        objectives in 0..6_usize,
        is_both in any::<bool>(),
    ) {
        let found = coverage(objectives, &lines, is_both);
        prop_assert_eq!(found.len(), objectives);
        for (place, one) in found.iter().enumerate() {
            let own = lines.iter().filter(|(objective, part)| {
                *objective == Some(place) && Part::sequence(is_both).contains(part)
            });
            let phases: Vec<Phase> = own.filter_map(|(_, part)| part.phase()).collect();
            let of = |phase| phases.iter().filter(|found| **found == phase).count();
            prop_assert_eq!((one.before, one.during, one.after), (of(Phase::Before), of(Phase::During), of(Phase::After)));
            prop_assert_eq!(one.is_covered(), !phases.is_empty());
        }
    }

    #[test]
    fn words_fit_the_time_that_they_take(
        words in 0..10_000_u32, children in 1..300_u32, adults in 1..300_u32, pauses in 0..150_u32
    ) {
        let pace = Pace { children, adults, pauses };
        for audience in Audience::ALL {
            prop_assert_eq!(pace.words(pace.seconds(words, audience), audience), words);
            prop_assert!(pace.words(pace.seconds(words, audience) - 1e-3, audience) <= words);
        }
        prop_assert!(pace.seconds(words, Audience::All) >= pace.seconds(words, Audience::Adults));
        prop_assert!(pace.seconds(words, Audience::All) >= pace.seconds(words, Audience::Children));
    }
}
