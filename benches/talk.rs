//! A talk of 200 lines in 2,000 fires, compared with a plain loop over lines and fires that
//! looks for the next mark each time, and only counts what is spoken to its end.

mod ratio;

use burnday::calc::fire::bands::FireTimes;
use burnday::calc::talk::{Line, Mark, Part, Rules, fit};
use std::hint::black_box;
use std::time::Instant;

fn main() {
    let (lines, fires) = (lines(200), fires(2000));
    // 0.7 ms, where the plain loop takes 5 ms; a page can wait 20 ms.
    for is_both in [false, true] {
        let rules = Rules { is_both, listen: 3.0, attack: 20.0 };
        let ours: usize = fit(&lines, &fires, &rules).lines.iter().map(|line| line.full).sum();
        assert_eq!(ours, plain(&lines, &fires, &rules));
        let name = if is_both { "both rooms at once: to plain" } else { "one room at a time: to plain" };
        let reference = |_| millis(|| plain(&lines, &fires, &rules));
        ratio::compare(name, "ms", &(0.0..=0.5), 100, reference, |_| millis(|| fit(&lines, &fires, &rules)));
    }
}

fn millis<T>(work: impl FnOnce() -> T) -> f64 {
    let at = Instant::now();
    black_box(work());
    at.elapsed().as_secs_f64() * 1e3
}

/// Lines of 1 to 4 s in every part, one after the other.
fn lines(count: u32) -> Vec<Line> {
    let parts = Part::ALL.into_iter().cycle();
    (0..count).zip(parts).map(|(at, part)| Line { part, seconds: 1.0 + f64::from(at * 7 % 13) / 4.0 }).collect()
}

/// Times all over their ranges, in no order; some never come.
fn fires(count: u32) -> Vec<FireTimes> {
    let time = |at: u32, step: u32, from: f64, range: f64| from + range * f64::from(at * step % 1009) / 1009.0;
    let or_never = |at: u32, time: f64| if at.is_multiple_of(17) { f64::INFINITY } else { time };
    let fire = |at: u32| FireTimes {
        alarm: time(at, 631, 15.0, 100.0),
        sprinkler: or_never(at, time(at, 389, 40.0, 60.0)),
        flashover: or_never(at + 5, time(at, 241, 90.0, 300.0)),
    };
    (0..count).map(fire).collect()
}

fn plain(lines: &[Line], fires: &[FireTimes], rules: &Rules) -> usize {
    let full = lines.iter().enumerate().map(|(at, line)| {
        let before: f64 = lines[..at].iter().filter(|one| one.part == line.part).map(|one| one.seconds).sum();
        let waits = if line.part.begun_by().is_some() { rules.listen } else { 0.0 };
        fires.iter().filter(|fire| is_full(line.part, waits + before + line.seconds, fire, rules)).count()
    });
    full.sum()
}

/// Does the part last so long in this fire?
fn is_full(part: Part, ends: f64, fire: &FireTimes, rules: &Rules) -> bool {
    let Some(burn) = part.burn(rules.is_both) else { return Part::sequence(rules.is_both).contains(&part) };
    let time = |mark: Mark| match mark {
        Mark::Alarm => fire.alarm,
        Mark::Sprinkler => fire.sprinkler,
        Mark::Flashover => fire.flashover,
        Mark::Attack => fire.flashover + rules.attack,
    };
    let own = part.begun_by();
    let begins = own.map_or(0.0, time);
    let later = burn.marks().iter().map(|mark| (time(*mark), Some(*mark))).filter(|mark| *mark > (begins, own));
    let next = later.map(|(at, _)| at).fold(f64::INFINITY, f64::min);
    begins.is_finite() && ends <= next - begins
}
