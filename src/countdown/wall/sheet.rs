//! The sheet of the wall plan: as wide as its lanes need to fit its height.

use super::item::{Item, Spot};
use super::measures::{ASPECT, EDGE, FOOT, LANE_GAP, LEFT, MARGIN, NARROWEST, PITCH, TOP};
use crate::countdown::drawing::{Axis, KeyDays, Rows, number};
use time::Date;

/// The lanes on a sheet of some width.
pub(super) struct Sheet {
    pub width: f64,
    pub axis: Axis,
    /// For each lane where its items go, and how many rows they fill.
    pub lanes: Vec<(Vec<Spot>, usize)>,
}

impl Sheet {
    fn new(width: f64, days: &KeyDays, span: (Date, Date), lanes: &[(&'static str, Vec<Item>)]) -> Self {
        let axis = Axis::new(days.burn.date(), span, (LEFT, width - MARGIN));
        let lane = |(_, items): &(&'static str, Vec<Item>)| {
            let mut rows = Rows::default();
            let spots: Vec<Spot> = items.iter().map(|item| item.put(&axis, width - EDGE, &mut rows)).collect();
            (spots, rows.count())
        };
        Self { width, axis, lanes: lanes.iter().map(lane).collect() }
    }

    /// The narrowest sheet that is high enough for its lanes. On a wider one they need fewer
    /// rows and there is more room, so this ends.
    pub fn fitting(days: &KeyDays, span: (Date, Date), lanes: &[(&'static str, Vec<Item>)]) -> Self {
        let mut sheet = Self::new(NARROWEST, days, span, lanes);
        while sheet.needed() > sheet.height() {
            let wider = (sheet.needed() / sheet.height()).sqrt().max(1.02);
            sheet = Self::new(sheet.width * wider, days, span, lanes);
        }
        sheet
    }

    pub fn height(&self) -> f64 {
        self.width / ASPECT
    }

    pub fn needed(&self) -> f64 {
        let lanes = self.lanes.iter().map(|(_, rows)| PITCH * number(*rows) + LANE_GAP);
        TOP + lanes.sum::<f64>() + FOOT
    }
}
