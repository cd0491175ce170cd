//! Whether people see over the heads in front of them.
//!
//! The measure is the C-value of stadium design: how far a person's line of sight to the point
//! watched passes above the eyes of the person in front. On level ground it is negative for
//! everything below eye level, however far back people are: raising what they watch helps, and
//! moving them doesn't.
//!
//! Units: meters. Heights are above the ground in front of the first row.

/// The shortest distance and the shallowest row that count, m. Anything below counts as this.
/// Common practice, no source.
pub const SHORTEST: f64 = 0.1;

/// How far a C-value may miss a grade and still get it, m: what rounding takes away.
const ROUNDING: f64 = 1e-6;

/// The C-value in m: D·(N + R)/(D + T) − R, from the teaching material on stadium sightlines in
/// Plus, a magazine of the University of Cambridge.
///
/// All four belong to the person in front, whose head is looked over: `distance` (D) goes from
/// there to the point watched, level; `eye` (R) is how high the eyes are above that point,
/// negative if the point is higher; `row` (T) is the depth of a row, and `step` (N) how much
/// higher the next row's floor is.
///
/// ```
/// use burnday::calc::site::sight::c_value;
///
/// // Level ground, 12 m away, eyes at 1.55 m: a floor at 0.9 m is hidden, a point at 3 m isn't.
/// assert!((c_value(12.0, 1.55 - 0.9, 1.0, 0.0) + 0.050).abs() < 0.001);
/// assert!((c_value(12.0, 1.55 - 3.0, 1.0, 0.0) - 0.112).abs() < 0.001);
/// ```
#[must_use]
pub fn c_value(distance: f64, eye: f64, row: f64, step: f64) -> f64 {
    let (distance, row) = (distance.max(SHORTEST), row.max(SHORTEST));
    distance * (step + eye) / (distance + row) - eye
}

/// The step between rows that gives a C-value, m: (C + R)·(D + T)/D − R, the same formula
/// solved for N. Negative where even a floor that slopes down would do.
#[must_use]
pub fn step_for(c: f64, distance: f64, eye: f64, row: f64) -> f64 {
    let (distance, row) = (distance.max(SHORTEST), row.max(SHORTEST));
    (c + eye) * (distance + row) / distance - eye
}

/// How much higher the point watched must be for a C-value, m; 0 if it is high enough.
/// `eye_height` is that of the person in front, and `point_height` where the point is now.
#[must_use]
pub fn raise_for(c: f64, distance: f64, eye_height: f64, row: f64, step: f64, point_height: f64) -> f64 {
    let (distance, row) = (distance.max(SHORTEST), row.max(SHORTEST));
    // The same formula solved for R.
    let eye = (distance * step - c * (distance + row)) / row;
    (eye_height - eye - point_height).max(0.0)
}

/// How well a person sees past the one in front, from worst to best. The four limits are those
/// of a worksheet on stadium sightlines by the University of Bath.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Grade {
    /// The head in front hides the point.
    Hidden,
    /// People look between the heads in front: from 60 mm.
    BetweenHeads,
    /// They see well with the head tilted back: from 90 mm.
    Tilted,
    /// They see well: from 120 mm, the usual aim.
    Clear,
    /// They see well even over hats: from 150 mm.
    OverHats,
}

impl Grade {
    /// From best to worst, without [`Grade::Hidden`].
    const SEEING: [Self; 4] = [Self::OverHats, Self::Clear, Self::Tilted, Self::BetweenHeads];

    /// The lowest C-value with this grade, m; none for [`Grade::Hidden`].
    #[must_use]
    pub const fn least(self) -> Option<f64> {
        match self {
            Self::Hidden => None,
            Self::BetweenHeads => Some(0.06),
            Self::Tilted => Some(0.09),
            Self::Clear => Some(0.12),
            Self::OverHats => Some(0.15),
        }
    }

    /// The grade of a C-value in m.
    #[must_use]
    pub fn of(c: f64) -> Self {
        let reached = |grade: &Self| grade.least().is_some_and(|least| c + ROUNDING >= least);
        Self::SEEING.into_iter().find(reached).unwrap_or(Self::Hidden)
    }
}

/// How people watch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Posture {
    /// On their feet.
    Standing,
    /// On a chair.
    Seated,
}

impl Posture {
    /// How high an adult's eyes are above the floor, m: 1.55 standing and 1.15 on a chair.
    /// Common practice, no source.
    #[must_use]
    pub const fn eye(self) -> f64 {
        match self {
            Self::Standing => 1.55,
            Self::Seated => 1.15,
        }
    }
}

/// Rows of people behind each other, all in the same posture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rows {
    /// From the eyes of the first row to the point watched, level, m.
    pub first: f64,
    /// Depth of a row, m.
    pub depth: f64,
    /// How many rows there are.
    pub count: u16,
    /// How much higher each row's floor is than the one in front, m; 0 on level ground.
    pub step: f64,
    /// How people watch.
    pub posture: Posture,
}

/// One row of [`Rows`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Counted from 1 at the front.
    pub number: u16,
    /// From the eyes to the point watched, level, m.
    pub distance: f64,
    /// How high the eyes are above the ground in front of the first row, m.
    pub eye: f64,
}

impl Rows {
    /// Each row, from the front.
    pub fn each(self) -> impl Iterator<Item = Row> {
        (0..self.count).map(move |index| self.row(index))
    }

    fn row(&self, index: u16) -> Row {
        let behind = f64::from(index);
        Row {
            number: index + 1,
            distance: self.first + behind * self.depth,
            eye: self.posture.eye() + behind * self.step,
        }
    }

    /// Each row that has another in front of it, with its C-value for a point at this height, m.
    pub fn c_values(self, point_height: f64) -> impl Iterator<Item = (Row, f64)> {
        let behind = self.each().skip(1);
        self.each()
            .zip(behind)
            .map(move |(front, row)| (row, c_value(front.distance, front.eye - point_height, self.depth, self.step)))
    }

    /// The first row for which the heads in front hide a point at this height; none if every
    /// row sees it. Nobody is in front of the first row.
    #[must_use]
    pub fn first_hidden(self, point_height: f64) -> Option<Row> {
        self.c_values(point_height).find(|(_, c)| Grade::of(*c) == Grade::Hidden).map(|(row, _)| row)
    }

    /// How much higher a point at this height must be for every row to have this C-value, m.
    #[must_use]
    pub fn raise_for(self, c: f64, point_height: f64) -> f64 {
        let in_front = self.each().take(usize::from(self.count.saturating_sub(1)));
        in_front
            .map(|front| raise_for(c, front.distance, front.eye, self.depth, self.step, point_height))
            .fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests;
