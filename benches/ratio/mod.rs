//! Measures two things in turn and prints how they compare.

use std::ops::RangeInclusive;

/// Measures the reference and ours in turn, so that both meet the same noise,
/// and prints one line: the medians, the median of the rounds' ratios with the
/// smallest and the largest, and whether it lies in the goal. A goal from 0 to
/// infinity is none.
///
/// Each call of a measurement gives one figure, in `unit`.
pub fn compare(
    name: &str,
    unit: &str,
    goal: &RangeInclusive<f64>,
    rounds: usize,
    mut reference: impl FnMut() -> f64,
    mut ours: impl FnMut() -> f64,
) {
    // The first round warms caches up and doesn't count.
    let pairs: Vec<(f64, f64)> = (0..=rounds).map(|_| (reference(), ours())).skip(1).collect();
    let theirs = sorted(pairs.iter().map(|pair| pair.0));
    let own = sorted(pairs.iter().map(|pair| pair.1));
    let ratios = sorted(pairs.iter().map(|pair| pair.1 / pair.0));
    let middle = rounds / 2;
    let said = if goal.contains(&ratios[middle]) { "met" } else { "missed" };
    let verdict = match (*goal.start(), *goal.end()) {
        (0.0, f64::INFINITY) => "no goal".to_owned(),
        (least, f64::INFINITY) => format!("goal at least {least}: {said}"),
        (_, most) => format!("goal at most {most}: {said}"),
    };
    println!(
        "{name:<38} ours {:>8.1} {unit}, reference {:>8.1} {unit}, ratio {:>5.2} ({:.2} to {:.2}), {verdict}",
        own[middle],
        theirs[middle],
        ratios[middle],
        ratios[0],
        ratios[rounds - 1]
    );
}

fn sorted(figures: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut figures: Vec<f64> = figures.collect();
    figures.sort_by(f64::total_cmp);
    figures
}
