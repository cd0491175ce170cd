//! The program before ignition: what is said, how many words fit, and what is cut when
//! time is short.
//!
//! Speaking rates and slots are common practice with weak sources: 130 words a minute
//! to adults, 2 minutes for a welcome, 12 minutes before ignition where families wait.

/// Words a minute, unless the department says otherwise.
pub const USUAL_RATE: u32 = 130;

/// How an item may be cut when time is short.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Give {
    /// Not at all.
    Fixed,
    /// It may be shortened to this many seconds.
    Shorten(u32),
    /// It may be dropped.
    Drop,
    /// It is shortened to this many seconds if that is enough, otherwise dropped.
    Either(u32),
}

/// One item of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Item {
    /// How long it takes.
    pub seconds: u32,
    /// What may become of it.
    pub give: Give,
    /// 1 is cut last. Of two with the same priority, the later one is cut first.
    pub priority: u8,
}

/// What happens to an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// It stays as it is.
    Kept,
    /// Shortened to this many seconds.
    Shortened(u32),
    /// It is left out.
    Dropped,
}

/// A program cut to fit, as far as possible.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fitted {
    /// One for each item, in order.
    pub fates: Vec<Fate>,
    /// Total seconds after the cuts.
    pub total: u32,
    /// Seconds it still runs over.
    pub over: u32,
}

impl Fate {
    /// How many seconds of an item are left.
    #[must_use]
    pub fn seconds(self, item: &Item) -> u32 {
        match self {
            Self::Kept => item.seconds,
            Self::Shortened(to) => to,
            Self::Dropped => 0,
        }
    }
}

/// Fits the items into a number of seconds. The least important are cut first; none is
/// cut more than needed, and fixed items are never cut.
///
/// ```
/// use burnday::calc::program::{Fate, Give, Item, fit};
///
/// let welcome = Item { seconds: 120, give: Give::Fixed, priority: 1 };
/// let talk = Item { seconds: 120, give: Give::Either(60), priority: 2 };
/// let fitted = fit(&[welcome, talk], 200);
/// assert_eq!(fitted.fates, [Fate::Kept, Fate::Shortened(80)]);
/// assert_eq!(fit(&[welcome, talk], 150).fates, [Fate::Kept, Fate::Dropped]);
/// assert_eq!(fit(&[welcome, talk], 100).over, 20);
/// ```
#[must_use]
pub fn fit(items: &[Item], limit: u32) -> Fitted {
    let mut fates = vec![Fate::Kept; items.len()];
    let mut total: u32 = items.iter().map(|item| item.seconds).fold(0, u32::saturating_add);
    let mut order: Vec<usize> = (0..items.len()).collect();
    order.sort_by_key(|place| std::cmp::Reverse((items[*place].priority, *place)));
    for place in order {
        let over = total.saturating_sub(limit);
        if over == 0 {
            break;
        }
        let item = &items[place];
        let can_give = |least: u32| item.seconds.saturating_sub(least);
        let fate = match item.give {
            Give::Shorten(least) | Give::Either(least) if can_give(least) >= over => {
                Fate::Shortened(item.seconds - over)
            }
            Give::Shorten(least) if can_give(least) > 0 => Fate::Shortened(least),
            Give::Fixed | Give::Shorten(_) => Fate::Kept,
            Give::Drop | Give::Either(_) => Fate::Dropped,
        };
        total -= item.seconds - fate.seconds(item);
        fates[place] = fate;
    }
    Fitted { fates, total, over: total.saturating_sub(limit) }
}

/// How many words fit into a number of seconds, at a rate of words a minute.
#[must_use]
pub fn words(seconds: u32, rate: u32) -> u32 {
    u32::try_from(u64::from(seconds) * u64::from(rate) / 60).unwrap_or(u32::MAX)
}

/// "2 min", "1 min 30 s", "45 s".
#[must_use]
pub fn says(seconds: u32) -> String {
    match (seconds / 60, seconds % 60) {
        (0, rest) => format!("{rest} s"),
        (minutes, 0) => format!("{minutes} min"),
        (minutes, rest) => format!("{minutes} min {rest} s"),
    }
}

#[cfg(test)]
mod tests;
