//! A practice, and the pace it showed.

use crate::calc::fire::bands::FireTimes;
use crate::calc::talk::{Audience, Pace};
use crate::talk::says;
use crate::web::words;
use time::OffsetDateTime;

/// Nobody speaks slower or faster than this, in words a minute.
const SPEECH: std::ops::RangeInclusive<f64> = 40.0..=300.0;

/// The talk, practiced once.
#[derive(Debug, Clone, PartialEq)]
pub struct Practice {
    pub id: i64,
    pub at: OffsetDateTime,
    pub by: Option<String>,
    /// Whose account.
    pub account: Option<i64>,
    /// The fires it was practiced against: room A's and room B's, or one for both.
    pub fires: Vec<FireTimes>,
    /// Words, and milliseconds, of finished lines: to children or to all, and to adults.
    pub children: (u32, u32),
    pub adults: (u32, u32),
    pub finished: u32,
    pub cut: u32,
    pub note: String,
}

/// Words a minute with all pauses; none if nothing was measured, or if it can't be speech.
pub(super) fn rate((words, ms): (u32, u32)) -> Option<f64> {
    let rate = f64::from(words) * 60_000.0 / f64::from(ms);
    (words > 0 && SPEECH.contains(&rate)).then_some(rate)
}

/// What someone's practices showed, in words; empty if nothing was measured.
pub(in crate::talk) fn own_rate(practices: &[Practice], account: i64) -> String {
    let all = |of: fn(&Practice) -> (u32, u32)| {
        let measured =
            practices.iter().filter(|one| one.account == Some(account)).map(of).filter(|one| rate(*one).is_some());
        rate(
            measured
                .fold((0, 0), |(words, ms): (u32, u32), one| (words.saturating_add(one.0), ms.saturating_add(one.1))),
        )
    };
    let says = [(all(|one| one.children), "to children and to all"), (all(|one| one.adults), "to adults")];
    let says: Vec<String> = says
        .into_iter()
        .filter_map(|(rate, whom)| Some(format!("{} words a minute {whom}", says::whole(rate?))))
        .collect();
    if says.is_empty() { String::new() } else { format!("{}, with all pauses", words::and(&says)) }
}

/// The planned rate with its pauses, to set beside a measured one.
pub(super) fn planned(pace: &Pace, audience: Audience) -> u32 {
    let rate = match audience {
        Audience::Adults => pace.adults,
        Audience::Children => pace.children,
        Audience::All => pace.children.min(pace.adults),
    };
    says::whole(f64::from(rate) / (1.0 + f64::from(pace.pauses) / 100.0))
}
