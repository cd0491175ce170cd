//! What came of the work with outlets, in numbers anyone can count again. What an
//! ad of that size would have cost is not one of them: nobody bought one.

/// How far an outlet got.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[expect(clippy::struct_excessive_bools, reason = "four independent facts are four bools")]
pub struct Outlet {
    /// Someone wrote or called them.
    pub approached: bool,
    /// They replied.
    pub replied: bool,
    /// They came on burn day.
    pub came: bool,
    /// They ran a story.
    pub ran: bool,
}

/// The figures of an event.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Figures {
    /// Outlets.
    pub approached: usize,
    /// How many of these replied.
    pub replied: usize,
    /// How many came on burn day.
    pub came: usize,
    /// How many ran a story.
    pub ran: usize,
    /// Stories, several of one outlet too.
    pub stories: usize,
    /// For each message, how many stories carried it.
    pub carried: Vec<usize>,
    /// From an advisory to the first reply of an outlet that got it; none if nobody
    /// replied.
    pub median_hours: Option<f64>,
    /// How many replies the median is of.
    pub timed: usize,
}

impl Figures {
    /// Counts outlets, stories by the messages they carried (the first in the
    /// lowest bit) and hours to a reply.
    #[must_use]
    pub fn of(outlets: &[Outlet], stories: &[u8], messages: usize, hours: &[f64]) -> Self {
        let many = |is: fn(&Outlet) -> bool| outlets.iter().filter(|outlet| is(outlet)).count();
        let carried = |place: usize| stories.iter().filter(|bits| (*bits >> place) & 1 == 1).count();
        Self {
            approached: many(|outlet| outlet.approached),
            replied: many(|outlet| outlet.replied),
            came: many(|outlet| outlet.came),
            ran: many(|outlet| outlet.ran),
            stories: stories.len(),
            carried: (0..messages).map(carried).collect(),
            median_hours: median(hours),
            timed: hours.len(),
        }
    }
}

/// The middle value, or the mean of the two in the middle.
#[must_use]
pub fn median(values: &[f64]) -> Option<f64> {
    let mut values: Vec<f64> = values.iter().copied().filter(|value| value.is_finite()).collect();
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    match values.len() {
        0 => None,
        odd if odd % 2 == 1 => Some(values[half]),
        _ => Some(f64::midpoint(values[half - 1], values[half])),
    }
}

/// One escort takes this many media at most: common practice, no source.
pub const MEDIA_PER_ESCORT: usize = 5;

/// Escorts needed for this many media.
#[must_use]
pub fn escorts(media: usize) -> usize {
    media.div_ceil(MEDIA_PER_ESCORT)
}

#[cfg(test)]
mod tests;
