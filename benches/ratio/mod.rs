//! Measures two things by turns and prints how they compare.

use std::ops::RangeInclusive;

/// Measures the reference and ours by turns, so that both get the same noise, and prints one
/// line: the medians, the median of the rounds' ratios with their quartiles, and whether it
/// meets the goal. A goal from 0 to infinity is none.
///
/// A measurement gets the number of its round and returns one figure, in `unit`.
pub fn compare(
    name: &str,
    unit: &str,
    goal: &RangeInclusive<f64>,
    rounds: usize,
    mut reference: impl FnMut(usize) -> f64,
    mut ours: impl FnMut(usize) -> f64,
) {
    // The first rounds warm up the caches and don't count.
    let first = rounds.div_ceil(10);
    let pairs: Vec<(f64, f64)> = (0..first + rounds).map(|round| (reference(round), ours(round))).skip(first).collect();
    let theirs = sorted(pairs.iter().map(|pair| pair.0));
    let own = sorted(pairs.iter().map(|pair| pair.1));
    let ratios = sorted(pairs.iter().map(|pair| pair.1 / pair.0));
    let (quarter, middle) = (rounds / 4, rounds / 2);
    let said = if goal.contains(&ratios[middle]) { "met" } else { "missed" };
    let verdict = match (*goal.start(), *goal.end()) {
        (0.0, f64::INFINITY) => "no goal".to_owned(),
        (least, f64::INFINITY) => format!("goal at least {least}: {said}"),
        (_, most) => format!("goal at most {most}: {said}"),
    };
    println!(
        "{name:<34} ours {:>8.1} {unit}, reference {:>8.1} {unit}, ratio {:>5.2} ({:.2} to {:.2}), {verdict}",
        own[middle],
        theirs[middle],
        ratios[middle],
        ratios[quarter],
        ratios[rounds - 1 - quarter]
    );
}

fn sorted(figures: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut figures: Vec<f64> = figures.collect();
    figures.sort_by(f64::total_cmp);
    figures
}
