//! Heat release over time: a t² fire, or several items, each lit by the one before.
//!
//! The growth classes are those of NFPA 204 and NFPA 72: a fire of a class reaches 1055 kW
//! (1000 Btu/s) at the time of the class. The formula is in the manual of NIST's empirical
//! correlations.

use super::sampling::Range;

/// How fast a t² fire grows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Growth {
    /// 1055 kW after 600 s.
    Slow,
    /// 1055 kW after 300 s.
    Medium,
    /// 1055 kW after 150 s.
    Fast,
    /// 1055 kW after 75 s.
    UltraFast,
}

/// The heat release that defines the classes: 1000 Btu/s in kilowatts.
const REFERENCE: f64 = 1055.0;

impl Growth {
    /// Seconds until the fire reaches 1055 kW.
    #[must_use]
    pub fn time(self) -> f64 {
        match self {
            Self::Slow => 600.0,
            Self::Medium => 300.0,
            Self::Fast => 150.0,
            Self::UltraFast => 75.0,
        }
    }

    /// The coefficient α of Q = αt², kW/s².
    ///
    /// ```
    /// use burnday::calc::fire::growth::Growth;
    ///
    /// assert!((Growth::Fast.alpha() - 0.046_889).abs() < 1e-6);
    /// ```
    #[must_use]
    pub fn alpha(self) -> f64 {
        REFERENCE / (self.time() * self.time())
    }
}

/// Heat release of a t² fire after a time, kW.
#[must_use]
pub fn squared(alpha: f64, time: f64) -> f64 {
    alpha * time.max(0.0).powi(2)
}

/// Energy that a t² fire has released by a time, kJ.
#[must_use]
pub fn squared_energy(alpha: f64, time: f64) -> f64 {
    alpha * time.max(0.0).powi(3) / 3.0
}

/// When a t² fire reaches a heat release, s.
#[must_use]
pub fn squared_time(alpha: f64, heat: f64) -> f64 {
    (heat / alpha).sqrt()
}

/// How an item burns from the moment it is lit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shape<T> {
    /// Rises evenly to its peak, holds it, and goes out evenly: paper in a basket.
    Steady {
        /// Its highest heat release, kW.
        peak: T,
        /// Seconds until then.
        rise: T,
        /// Seconds it stays there.
        hold: T,
        /// Seconds until it is out.
        decay: T,
    },
    /// Rises with the square of time, and goes out evenly: a curtain.
    Flash {
        /// Its highest heat release, kW.
        peak: T,
        /// Seconds until then.
        rise: T,
        /// Seconds until it is out.
        decay: T,
    },
    /// α·t² up to a peak that it then holds: upholstery. No decay: by then the room has
    /// flashed over or someone puts it out.
    Squared {
        /// Its highest heat release, kW.
        peak: T,
        /// How fast it grows, kW/s².
        alpha: T,
    },
}

impl<T: Copy> Shape<T> {
    /// The same shape with other numbers; its peak is asked for first.
    pub fn map<U>(self, mut to: impl FnMut(T) -> U) -> Shape<U> {
        match self {
            Self::Steady { peak, rise, hold, decay } => {
                Shape::Steady { peak: to(peak), rise: to(rise), hold: to(hold), decay: to(decay) }
            }
            Self::Flash { peak, rise, decay } => Shape::Flash { peak: to(peak), rise: to(rise), decay: to(decay) },
            Self::Squared { peak, alpha } => Shape::Squared { peak: to(peak), alpha: to(alpha) },
        }
    }

    /// The most heat it gives off, kW.
    pub fn peak(self) -> T {
        let (Self::Steady { peak, .. } | Self::Flash { peak, .. } | Self::Squared { peak, .. }) = self;
        peak
    }
}

impl Shape<f64> {
    /// Heat release this long after it was lit, kW.
    #[must_use]
    pub fn heat(self, time: f64) -> f64 {
        if time <= 0.0 {
            return 0.0;
        }
        let going_out = |peak: f64, since: f64, decay: f64| peak * (1.0 - since / decay).max(0.0);
        match self {
            Self::Steady { peak, rise, .. } | Self::Flash { peak, rise, .. } if time < rise => {
                let part = time / rise;
                peak * if matches!(self, Self::Flash { .. }) { part * part } else { part }
            }
            Self::Steady { peak, rise, hold, decay } => going_out(peak, (time - rise - hold).max(0.0), decay),
            Self::Flash { peak, rise, decay } => going_out(peak, time - rise, decay),
            Self::Squared { peak, alpha } => squared(alpha, time).min(peak),
        }
    }
}

/// Something that burns, with what is not known exactly about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// Seconds from when the item before it was lit.
    pub delay: Range,
    /// How it burns: kW, kW/s², and seconds.
    pub shape: Shape<Range>,
}

/// The items of one fire: when each is lit, and how it burns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lit {
    /// When it is lit, in seconds from the start.
    pub at: f64,
    /// How it burns: kW, kW/s², and seconds.
    pub shape: Shape<f64>,
}

/// Heat release over time, as points joined by straight lines. The first and the last value
/// hold before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve(Vec<(f64, f64)>);

impl Curve {
    /// Points of time and heat release, in the order of time.
    #[must_use]
    pub fn through(points: Vec<(f64, f64)>) -> Self {
        Self(points)
    }

    /// A t² fire that begins at a time, with a cap, a point each second.
    #[must_use]
    pub fn squared(alpha: f64, begins: f64, cap: f64, until: f64) -> Self {
        Self::every_second(until, |time| squared(alpha, time - begins).min(cap))
    }

    /// The heat of all items together, a point each second.
    #[must_use]
    pub fn of_items(items: &[Lit], until: f64) -> Self {
        Self::every_second(until, |time| items.iter().map(|item| item.shape.heat(time - item.at)).sum())
    }

    fn every_second(until: f64, heat: impl Fn(f64) -> f64) -> Self {
        let mut points = Vec::with_capacity(until.max(0.0) as usize + 2);
        let mut time = 0.0;
        while time < until + 1.0 {
            points.push((time, heat(time)));
            time += 1.0;
        }
        Self(points)
    }

    /// The same until a sprinkler opens, and then decaying by e within `tau` seconds.
    #[must_use]
    pub fn decaying(&self, from: f64, tau: f64, until: f64) -> Self {
        let heat = self.at(from);
        let mut points: Vec<_> = self.0.iter().copied().take_while(|(time, _)| *time < from).collect();
        let mut since = 0.0;
        while from + since < until + 1.0 {
            points.push((from + since, heat * (-since / tau).exp()));
            since += 1.0;
        }
        Self(points)
    }

    /// The same with all of its heat times a factor.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        Self(self.0.iter().map(|(time, heat)| (*time, heat * factor)).collect())
    }

    /// Heat release at a time, kW.
    #[must_use]
    pub fn at(&self, time: f64) -> f64 {
        let next = self.0.partition_point(|(at, _)| *at <= time);
        match (next.checked_sub(1).map(|before| self.0[before]), self.0.get(next)) {
            (None, None) => 0.0,
            (None, Some((_, heat))) => *heat,
            (Some((_, heat)), None) => heat,
            (Some((before, from)), Some((after, to))) => from + (to - from) * (time - before) / (after - before),
        }
    }

    /// The highest heat release, kW.
    #[must_use]
    pub fn peak(&self) -> f64 {
        self.0.iter().map(|(_, heat)| *heat).fold(0.0, f64::max)
    }

    /// Energy released until the last point, kJ.
    #[must_use]
    pub fn energy(&self) -> f64 {
        self.0.windows(2).map(|pair| (pair[1].0 - pair[0].0) * f64::midpoint(pair[0].1, pair[1].1)).sum()
    }
}

#[cfg(test)]
mod tests;
