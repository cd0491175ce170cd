//! The drawing of the site as a page, a sheet, and a file show it.

mod labels;
mod marks;
mod rows;
mod scale;
mod sky;

use super::snapshot::SiteSnapshot;
use super::typed::distance;
use crate::calc::site::Site;
use labels::{Bounds, Label, Labels};
use marks::{Mark, marks};
use rows::row;
use scale::{Scale, WIDTH};
use sky::{smoke, sun_at, wind, wind_says};

/// The strip below the drawing, for the scale.
const STRIP: f64 = 34.0;

#[derive(Debug)]
pub(super) struct Drawing {
    pub width: f64,
    pub height: f64,
    /// How far down the drawing itself reaches. Below it is a strip for the scale.
    pub ground: f64,
    /// Meters in one of the drawing's units.
    pub scale: f64,
    pub photo: Option<(i64, f64, f64)>,
    /// The public's line.
    pub line: String,
    pub line_label: Option<Label>,
    /// Where the estimate of the fire puts it at least, and with wind toward the crowd.
    pub asked: Vec<(String, Option<Label>)>,
    pub smoke: Vec<String>,
    pub marks: Vec<Mark>,
    /// The first row that sees too little, across the crowd.
    pub rows: Vec<(String, Label)>,
    /// A bar of the scale: its length and what it says.
    pub bar: (f64, String),
    /// Where north is, clockwise from up; where the wind goes; where the sun is.
    pub north: f64,
    pub wind: Option<(f64, String)>,
    pub sun: Option<(f64, f64, String)>,
    pub legend: Vec<(&'static str, &'static str)>,
}

impl Drawing {
    /// Its width and height on the ground, in meters.
    pub fn size(&self) -> (f64, f64) {
        (self.width * self.scale, self.height * self.scale)
    }

    pub fn of(snapshot: &SiteSnapshot, site: &Site) -> Self {
        let extent = snapshot.current.plan.extent();
        let scale = Scale(extent.0 / WIDTH);
        let height = scale.of(extent.1);
        // The compass and the wind are there already.
        let compass = Bounds { left: WIDTH - 230.0, top: 0.0, right: WIDTH, bottom: 90.0 };
        let mut labels = Labels::beside(compass, WIDTH, height);
        let text = format!("the public's line: {}", distance(site.crowd_line));
        let line_label = labels.ring(site, scale, (site.crowd_line, 0.0), &text);
        let asked = asked(snapshot, site, scale, &mut labels);
        let marks = marks(snapshot, site, scale, &mut labels);
        let hidden = snapshot.hidden.iter().filter_map(|hidden| {
            let (path, at) = row(site, hidden, scale)?;
            let text = format!("▲ row {} doesn't see", hidden.row);
            Some((path, labels.take(&text, at)))
        });
        let rows = hidden.collect();
        Self {
            width: WIDTH,
            height: height + STRIP,
            ground: height,
            scale: scale.0,
            photo: photo(snapshot, scale),
            line: scale.around(site, site.crowd_line),
            line_label,
            asked,
            smoke: smoke(site, scale, extent),
            marks,
            rows,
            bar: scale.bar(),
            north: (-site.north).rem_euclid(360.0),
            wind: site.wind_from.map(|from| (wind(site, from), wind_says(snapshot, from))),
            sun: sun_at(snapshot, site, (WIDTH, height)),
            legend: legend(site),
        }
    }
}

/// Where the fire estimate puts the public's line at least, and with wind toward the crowd.
fn asked(snapshot: &SiteSnapshot, site: &Site, scale: Scale, labels: &mut Labels) -> Vec<(String, Option<Label>)> {
    let Some(heat) = snapshot.given.heat else { return Vec::new() };
    let both = [(heat.public, -30.0, "fire estimate"), (heat.public_with_wind, 30.0, "fire estimate with wind")];
    let differs = |meters: f64| (meters - site.crowd_line).abs() > 0.3;
    let rings = both.into_iter().filter(|(meters, ..)| differs(*meters)).map(|(meters, aside, what)| {
        let text = format!("{what}: {}", distance(meters));
        (scale.around(site, meters), labels.ring(site, scale, (meters, aside), &text))
    });
    rings.collect()
}

fn photo(snapshot: &SiteSnapshot, scale: Scale) -> Option<(i64, f64, f64)> {
    let photo = snapshot.current.plan.photo.as_ref()?;
    let meters = photo.meters_per_pixel?;
    Some((photo.id, scale.of(f64::from(photo.width) * meters), scale.of(f64::from(photo.height) * meters)))
}

fn legend(site: &Site) -> Vec<(&'static str, &'static str)> {
    let mut all = vec![("line", "the public's line")];
    if site.wind_from.is_some() {
        all.push(("smoke", "under the smoke, 45° to either side"));
    }
    all.push(("estimate", "the least by the fire estimate"));
    all.extend([("wrong", "▲ fix"), ("look", "△ check")]);
    all
}
