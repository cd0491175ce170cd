//! How long email waits before it is tried again.

use rand::RngExt;
use std::time::Duration as Span;

/// How long a message that the relay put off waits the first time; it doubles from there,
pub const FIRST_WAIT: Span = Span::from_mins(1);
/// up to this.
pub const LONGEST_WAIT: Span = Span::from_hours(1);
/// A relay that doesn't know us yet (greylisting) isn't tried again sooner than this.
pub const GREY_WAIT: Span = Span::from_mins(5);
/// After trouble with the relay nothing is tried for this long; it doubles,
pub const FIRST_PAUSE: Span = Span::from_secs(5);
/// up to this.
pub const LONGEST_PAUSE: Span = Span::from_mins(1);

/// A wait that doubles each time, up to the longest, with some chance in it so that
/// messages that failed together aren't tried again together.
pub fn spread(first: Span, times: u32, longest: Span) -> Span {
    let wait = first.saturating_mul(2_u32.saturating_pow(times.min(20))).min(longest);
    wait.mul_f64(rand::rng().random_range(0.5..1.5))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thousand_that_failed_together_are_not_tried_together() {
        let mut waits: Vec<u64> = (0..1_000).map(|_| spread(FIRST_WAIT, 2, LONGEST_WAIT).as_secs()).collect();
        waits.sort_unstable();
        // Spread over four minutes, ten seconds hold a twenty-fourth; a tenth would
        // be nine standard deviations off.
        let in_ten_seconds = |from: u64| waits.iter().filter(|wait| (from..from + 10).contains(*wait)).count();
        let most = (120..360).map(in_ten_seconds).max();
        assert!(most < Some(100), "{most:?}");
        assert!(waits[0] >= 120 && waits[999] < 360);
        assert!(spread(FIRST_WAIT, 200, LONGEST_WAIT) <= LONGEST_WAIT.mul_f64(1.5));
    }
}
