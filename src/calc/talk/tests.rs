//! Cases worked out by hand.

use super::*;
use crate::calc::fire::bands::FireTimes;

const NEVER: f64 = f64::INFINITY;

fn fire(alarm: f64, sprinkler: f64, flashover: f64) -> FireTimes {
    FireTimes { alarm, sprinkler, flashover }
}

fn rules(is_both: bool) -> Rules {
    Rules { is_both, listen: 3.0, attack: 20.0 }
}

fn lines(lines: &[(Part, f64)]) -> Vec<Line> {
    lines.iter().map(|(part, seconds)| Line { part: *part, seconds: *seconds }).collect()
}

fn section(fitted: &Fitted, part: Part) -> Section {
    *fitted.sections.iter().find(|section| section.part == part).unwrap()
}

/// Comes, full, cut.
fn counts(line: &LineFit) -> (usize, usize, usize) {
    (line.comes, line.full, line.cut)
}

fn near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-9, "{found} is not {wanted}");
}

#[test]
fn each_part_has_its_place() {
    for is_both in [false, true] {
        let burns = Burn::of(is_both).iter().flat_map(|burn| burn.parts()).copied();
        let sequence = Part::sequence(is_both);
        let burning = sequence.iter().filter(|part| part.burn(is_both).is_some()).copied();
        assert!(burns.eq(burning));
        assert!(sequence.is_sorted_by_key(|part| part.phase().unwrap()));
    }
    for part in Part::ALL {
        assert_eq!(part.to_string().parse(), Ok(part));
        assert_eq!(part.is_branch(), part.phase().is_none());
        let is_spoken = [false, true].iter().any(|is_both| Part::sequence(*is_both).contains(&part));
        assert_ne!(part.is_branch(), is_spoken);
    }
    assert_eq!("later".parse::<Part>(), Err("Choose a part of the talk.".to_owned()));
    assert_eq!("all".parse(), Ok(Audience::All));
    assert_eq!(Part::Between.phase(), Some(Phase::During));
    assert_eq!((Part::Lit.burn(false), Part::Lit.burn(true)), (Some(Burn::A), Some(Burn::Both)));
    assert_eq!((Part::AlarmB.burn(false), Part::AlarmB.burn(true)), (Some(Burn::B), None));
    assert_eq!((Part::AlarmB.begun_by(), Part::LitB.begun_by()), (Some(Mark::Alarm), None));
}

/// Alarm at 20, flashover at 100, and water at 120; in room B the sprinkler at 60.
#[test]
fn one_room_at_a_time() {
    let talk = lines(&[
        (Part::Before, 300.0),
        (Part::Lit, 15.0),
        (Part::Lit, 6.0),
        (Part::Alarm, 50.0),
        (Part::Alarm, 27.0),
        (Part::Flashover, 17.5),
        (Part::Between, 90.0),
        (Part::LitB, 10.0),
        (Part::AlarmB, 30.0),
        (Part::Sprinkler, 500.0),
        (Part::After, 60.0),
        (Part::AlarmLate, 5.0),
    ]);
    let fitted = fit(&talk, &[fire(20.0, 60.0, 100.0)], &rules(false));
    let found: Vec<_> = fitted.lines.iter().map(counts).collect();
    // Lit leaves 20 for 15 and 6; alarm leaves 80 for 3 + 50 + 27; flashover leaves 20 for 20.5.
    let (full, cut) = ((1, 1, 0), (1, 0, 1));
    assert_eq!(found, [full, full, cut, full, full, cut, full, full, full, full, full, (0, 0, 0)]);
    assert_eq!(fitted.lines[2].cut_by, Some(Mark::Alarm));
    assert_eq!(fitted.lines[5].cut_by, Some(Mark::Attack));
    near(fitted.lines[4].starts, 53.0);
    near(fitted.lines[4].ends, 80.0);
    let parts: Vec<Part> = fitted.sections.iter().map(|section| section.part).collect();
    assert_eq!(parts, [Part::Lit, Part::Alarm, Part::Flashover, Part::LitB, Part::AlarmB, Part::Sprinkler]);
    assert_eq!(section(&fitted, Part::Alarm).leaves, Some(80.0));
    assert_eq!(section(&fitted, Part::AlarmB).ended_by, Some(Mark::Sprinkler));
    // 40 until the sprinkler, less 33.
    assert_eq!(section(&fitted, Part::AlarmB).silence, Some(Silence { half: 7.0, most: 7.0 }));
    near(section(&fitted, Part::AlarmB).wanted, 33.0);
    // Nothing ends it in room B.
    let last = section(&fitted, Part::Sprinkler);
    assert_eq!((last.comes, last.leaves, last.silence, last.ended_by), (1, None, None, None));
}

#[test]
fn both_rooms_at_once() {
    let talk = lines(&[(Part::Lit, 10.0), (Part::Alarm, 40.0), (Part::Flashover, 5.0), (Part::Between, 5.0)]);
    let fires = [fire(20.0, 60.0, 100.0), fire(50.0, 30.0, 90.0), fire(NEVER, NEVER, NEVER)];
    let fitted = fit(&talk, &fires, &rules(true));
    // The second sprinkler opens before the alarm, which then leaves 40 until flashover.
    assert_eq!(fitted.lines.iter().map(counts).collect::<Vec<_>>(), [(3, 3, 0), (2, 0, 2), (2, 2, 0), (0, 0, 0)]);
    let lit = section(&fitted, Part::Lit);
    // 20 − 10 and 30 − 10: the quantile of two is on the line between them.
    let silence = lit.silence.unwrap();
    near(silence.half, 15.0);
    near(silence.most, 19.0);
    assert_eq!((lit.comes, lit.leaves), (3, Some(20.0)));
    // Once by the alarm, once by the sprinkler: the first of equal ones.
    assert_eq!(lit.ended_by, Some(Mark::Alarm));
    assert_eq!(fitted.lines[1].cut_by, Some(Mark::Sprinkler));
    // Without lines all is silence: 40 from sprinkler to flashover, and 20 to the alarm.
    near(section(&fitted, Part::Sprinkler).silence.unwrap().half, 30.0);
}

#[test]
fn of_marks_at_the_same_time_the_later_in_the_list_counts() {
    let talk = lines(&[(Part::Lit, 60.0), (Part::Alarm, 1.0), (Part::Sprinkler, 1.0), (Part::Flashover, 1.0)]);
    let fitted = fit(&talk, &[fire(50.0, 50.0, 90.0)], &rules(true));
    let found: Vec<_> = fitted.lines.iter().map(counts).collect();
    assert_eq!(found, [(1, 0, 1), (1, 0, 0), (1, 1, 0), (1, 1, 0)]);
    assert_eq!(fitted.lines[0].cut_by, Some(Mark::Sprinkler));
    assert_eq!(section(&fitted, Part::Alarm).leaves, Some(0.0));
    // Water at once: flashover has no time. An alarm at lighting leaves none before it.
    let fitted = fit(&talk, &[fire(0.0, 60.0, 90.0)], &Rules { attack: 0.0, ..rules(true) });
    let found: Vec<_> = fitted.lines.iter().map(counts).collect();
    assert_eq!(found, [(1, 0, 0), (1, 1, 0), (1, 1, 0), (1, 0, 0)]);
    assert_eq!(section(&fitted, Part::Sprinkler).ended_by, Some(Mark::Attack));
}

/// Alarms at 10, 20, … 100 s: nine in ten leave 20.
#[test]
fn nine_in_ten() {
    let fires: Vec<FireTimes> = (1..=10).map(|tens| fire(f64::from(tens) * 10.0, NEVER, NEVER)).collect();
    let talk = lines(&[(Part::Lit, 20.0), (Part::Lit, 0.5), (Part::Flashover, 5.0)]);
    let fitted = fit(&talk, &fires, &rules(false));
    assert_eq!(fitted.lines.iter().map(counts).collect::<Vec<_>>(), [(10, 9, 1), (10, 8, 0), (0, 0, 0)]);
    assert_eq!(fitted.lines.iter().map(LineFit::fits).collect::<Vec<_>>(), [true, false, false]);
    assert_eq!(fitted.lines.iter().map(LineFit::share).collect::<Vec<_>>(), [Some(0.9), Some(0.8), None]);
    assert_eq!(section(&fitted, Part::Lit).leaves, Some(20.0));
    // An alarm that nothing follows leaves any amount.
    assert_eq!(section(&fitted, Part::Alarm).leaves, None);
    // Cut at 10, ended at 20: 0, 0, 9.5, 19.5, … 79.5. Half is between the fifth and the sixth.
    let silence = section(&fitted, Part::Lit).silence.unwrap();
    near(silence.half, 34.5);
    near(silence.most, 70.5);
}

#[test]
fn nothing_to_say_or_nothing_that_burns() {
    let fitted = fit(&[], &[fire(20.0, 60.0, 100.0)], &rules(false));
    assert_eq!(section(&fitted, Part::Lit).silence, Some(Silence { half: 20.0, most: 20.0 }));
    near(section(&fitted, Part::Alarm).wanted, 3.0);
    let fitted = fit(&lines(&[(Part::Before, 1.0), (Part::Lit, 1.0)]), &[], &rules(true));
    assert!(fitted.lines.iter().all(|line| counts(line) == (0, 0, 0) && !line.fits()));
    assert!(fitted.sections.iter().all(|section| section.leaves.is_none() && section.silence.is_none()));
    // The next mark comes while the audience listens: no word, and no cut.
    let fitted = fit(&lines(&[(Part::Alarm, 1.0)]), &[fire(20.0, 22.0, 30.0)], &rules(true));
    assert_eq!(counts(&fitted.lines[0]), (1, 0, 0));
    assert_eq!(section(&fitted, Part::Alarm).silence, Some(Silence { half: 2.0, most: 2.0 }));
    let fitted = fit(&lines(&[(Part::Alarm, 1.0)]), &[fire(20.0, 23.0, 30.0)], &rules(true));
    assert_eq!(section(&fitted, Part::Alarm).silence, Some(Silence { half: 3.0, most: 3.0 }));
}

/// 21 times from 100 to 300: every step is a twentieth of them.
#[test]
fn turning_to_a_branch() {
    let times = (10..=30).map(|tens| f64::from(tens) * 10.0).chain([NEVER, NEVER]);
    let turns = Turns::of(times).unwrap();
    near(turns.early, 120.0);
    near(turns.late, 280.0);
    near(turns.gone, 290.0);
    assert_eq!(turns.never, 2);
    assert_eq!(Turns::of([NEVER].into_iter()), None);
}

/// Word budgets of common practice, without pauses.
#[test]
fn words_that_fit() {
    let pace = Pace { pauses: 0, ..Pace::USUAL };
    for (seconds, children, adults) in
        [(30.0, 60, 65), (60.0, 120, 130), (120.0, 240, 260), (180.0, 360, 390), (240.0, 480, 520), (290.0, 580, 628)]
    {
        assert_eq!(pace.words(seconds, Audience::Children), children);
        assert_eq!(pace.words(seconds, Audience::Adults), adults);
        assert_eq!(pace.words(seconds, Audience::All), children);
    }
    // 130 words are a minute, and a fifth more with pauses.
    near(Pace::USUAL.seconds(130, Audience::Adults), 72.0);
    near(Pace::USUAL.seconds(120, Audience::All), 72.0);
    near(Pace { children: 150, ..Pace::USUAL }.seconds(130, Audience::All), 72.0);
    assert_eq!((pace.words(-5.0, Audience::All), pace.words(NEVER, Audience::All)), (0, u32::MAX));
}

#[test]
fn objectives_are_covered_by_what_is_spoken() {
    let lines = [
        (Some(0), Part::Before),
        (Some(0), Part::Lit),
        (Some(0), Part::Between),
        (Some(0), Part::After),
        (Some(1), Part::AlarmNever),
        (Some(2), Part::AlarmB),
        (Some(9), Part::Before),
        (None, Part::Before),
    ];
    let one = coverage(3, &lines, false);
    assert_eq!(one[0], Coverage { before: 1, during: 2, after: 1 });
    assert_eq!(one.iter().map(Coverage::is_covered).collect::<Vec<_>>(), [true, false, true]);
    let both = coverage(3, &lines, true);
    assert_eq!(both[0], Coverage { before: 1, during: 1, after: 1 });
    assert_eq!(both.iter().map(Coverage::is_covered).collect::<Vec<_>>(), [true, false, false]);
}
