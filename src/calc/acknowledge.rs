//! How soon people acknowledge an alert, counting also those who haven't yet.
//!
//! By the product-limit estimator of Kaplan and Meier (1958). Somebody who hasn't acknowledged
//! after 10 minutes still says something: that it took them longer than that. Leaving them out
//! would make everybody look quicker than they are.
//!
//! Units: minutes, and shares from 0 to 1.

/// With fewer people there is no curve: it would say more than so few can. Common practice, no
/// source.
pub const FEWEST: usize = 30;

/// From here on, this share of the people has acknowledged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// Minutes after the alert.
    pub minutes: f64,
    /// The share, 0 to 1.
    pub share: f64,
}

/// Which share of the people has acknowledged by when.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// By time: one wherever somebody acknowledged, and one at the last observation, where it
    /// ends. Nobody knows how it goes on.
    pub steps: Vec<Step>,
}

/// The curve of observations, in any order: the minutes until somebody acknowledged (true), or for
/// which they are known not to have (false), as the alert is still open or was given up.
///
/// Somebody who acknowledged in the same minute as another was given up is counted first, as usual.
///
/// None with fewer than [`FEWEST`] observations, or if a time is negative or isn't a number.
///
/// ```
/// use burnday::calc::acknowledge::{curve, reached};
///
/// // 20 after 2 minutes, 10 given up after 5, and 10 after 8.
/// let all = [vec![(2.0, true); 20], vec![(5.0, false); 10], vec![(8.0, true); 10]].concat();
/// let curve = curve(&all).unwrap();
/// assert_eq!(reached(&curve, 1.9), Some(0.0));
/// assert_eq!(reached(&curve, 6.0), Some(0.5));
/// assert_eq!(reached(&curve, 8.0), Some(1.0));
/// assert_eq!(reached(&curve, 8.1), None);
/// ```
#[must_use]
pub fn curve(observations: &[(f64, bool)]) -> Option<Curve> {
    let is_time = |minutes: f64| minutes.is_finite() && minutes >= 0.0;
    if observations.len() < FEWEST || !observations.iter().all(|(minutes, _)| is_time(*minutes)) {
        return None;
    }
    // Adding 0 makes −0 a 0, which sorts with the others.
    let mut sorted: Vec<(f64, bool)> = observations.iter().map(|(minutes, yes)| (minutes + 0.0, *yes)).collect();
    sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
    let (mut steps, mut open, mut left) = (Vec::new(), 1.0, sorted.len());
    for together in sorted.chunk_by(|one, other| one.0.total_cmp(&other.0).is_eq()) {
        let minutes = together[0].0;
        let acknowledged = together.iter().filter(|(_, acknowledged)| *acknowledged).count();
        open *= count(left - acknowledged) / count(left);
        left -= together.len();
        if acknowledged > 0 || left == 0 {
            steps.push(Step { minutes, share: 1.0 - open });
        }
    }
    Some(Curve { steps })
}

/// The share that has acknowledged by then; none after the curve's last observation, and for a
/// time that isn't a number.
#[must_use]
pub fn reached(curve: &Curve, minutes: f64) -> Option<f64> {
    let last = curve.steps.last()?;
    let is_known = minutes <= last.minutes;
    let before = curve.steps.partition_point(|step| step.minutes <= minutes);
    is_known.then(|| before.checked_sub(1).map_or(0.0, |place| curve.steps[place].share))
}

#[expect(clippy::cast_precision_loss, reason = "nobody alerts that many people")]
fn count(people: usize) -> f64 {
    people as f64
}

#[cfg(test)]
mod tests;
