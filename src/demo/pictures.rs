//! Photos for the demo. They are drawn, so that they show no one's belongings.

use crate::error::Result;
use crate::photos::{self, Taken};
use crate::state::App;
use Shape::{Box, Disc, Line};
use anyhow::anyhow;
use image::{Rgb, RgbImage};
use std::collections::BTreeMap;
use std::io::Cursor;

/// The drawings by name, stored like photos.
#[derive(Debug, Clone)]
pub(super) struct Pictures(BTreeMap<&'static str, Taken>);

impl Pictures {
    pub fn of(&self, name: &str) -> Result<&Taken> {
        Ok(self.0.get(name).ok_or_else(|| anyhow!("the demo has no drawing {name}"))?)
    }
}

pub(super) async fn draw(app: &App) -> Result<Pictures> {
    let mut taken = BTreeMap::new();
    for (name, shapes) in DRAWINGS {
        let one = photos::take(app, drawn(shapes)?).await?.map_err(|why| anyhow!("{name}: {why}"))?;
        taken.insert(*name, one);
    }
    Ok(Pictures(taken))
}

/// A shape on an area of 80 by 60, in one color.
#[derive(Debug, Clone, Copy)]
enum Shape {
    /// Left, top, right, bottom.
    Box(f32, f32, f32, f32, Colour),
    /// Center and radius.
    Disc(f32, f32, f32, Colour),
    /// From, to and width.
    Line((f32, f32), (f32, f32), f32, Colour),
}

type Colour = [u8; 3];

const WALL: Colour = [226, 222, 212];
const FLOOR: Colour = [176, 158, 134];
const GREY: Colour = [120, 126, 132];
const DARK: Colour = [52, 56, 60];
const BROWN: Colour = [122, 88, 58];
const TAN: Colour = [182, 142, 96];
const RED: Colour = [206, 62, 44];
const CREAM: Colour = [244, 236, 214];
const GREEN: Colour = [96, 118, 92];
const WHITE: Colour = [250, 250, 248];

#[rustfmt::skip]
const DRAWINGS: &[(&str, &[Shape])] = &[
    ("sofa gray", &[Box(12., 26., 68., 42., GREY), Box(8., 30., 16., 50., GREY), Box(64., 30., 72., 50., GREY),
        Box(16., 40., 64., 50., [138, 144, 150]), Line((40., 40.), (40., 50.), 0.6, DARK), Box(12., 50., 15., 53., DARK), Box(65., 50., 68., 53., DARK)]),
    ("sofa tan", &[Box(12., 26., 68., 42., TAN), Box(8., 30., 16., 50., TAN), Box(64., 30., 72., 50., TAN),
        Box(16., 40., 64., 50., [198, 160, 114]), Line((40., 40.), (40., 50.), 0.6, BROWN), Box(12., 50., 15., 53., DARK), Box(65., 50., 68., 53., DARK)]),
    ("armchair", &[Box(28., 24., 52., 44., GREEN), Box(24., 34., 30., 50., GREEN), Box(50., 34., 56., 50., GREEN), Box(30., 42., 50., 50., [116, 138, 110])]),
    ("floor lamp", &[Line((40., 18.), (40., 52.), 0.8, DARK), Disc(40., 52., 4., DARK), Box(33., 8., 47., 19., CREAM)]),
    ("coffee table", &[Box(20., 38., 60., 41., BROWN), Box(23., 41., 25., 52., BROWN), Box(55., 41., 57., 52., BROWN), Disc(34., 37., 2., WHITE)]),
    ("bookcase", &[Box(26., 10., 54., 52., BROWN), Box(28., 12., 52., 22., CREAM), Box(28., 25., 52., 35., CREAM), Box(28., 38., 52., 49., CREAM),
        Box(29., 14., 32., 22., RED), Box(33., 13., 35., 22., GREEN), Box(36., 15., 40., 22., DARK), Box(40., 27., 44., 35., GREY), Box(45., 28., 48., 35., RED)]),
    ("television", &[Box(20., 16., 60., 40., DARK), Box(22., 18., 58., 38., [82, 92, 104]), Box(30., 44., 50., 52., BROWN), Box(38., 40., 42., 44., DARK)]),
    ("curtains", &[Box(22., 10., 58., 12., DARK), Box(23., 12., 34., 48., [146, 74, 66]), Box(46., 12., 57., 48., [146, 74, 66]), Box(34., 14., 46., 36., [198, 214, 222])]),
    ("measure front", &[Box(32., 12., 48., 48., DARK), Box(34., 15., 46., 27., [188, 204, 188]), Box(36., 19., 44., 20.5, DARK), Box(36., 22., 41., 23.5, DARK),
        Disc(40., 33., 2.6, RED), Disc(36., 40., 1.6, GREY), Disc(44., 40., 1.6, GREY), Disc(40., 44., 1.6, GREY)]),
    ("measure scratched", &[Box(32., 12., 48., 48., DARK), Box(34., 15., 46., 27., [188, 204, 188]), Box(36., 19., 44., 20.5, DARK), Box(36., 22., 41., 23.5, DARK),
        Disc(40., 33., 2.6, RED), Disc(36., 40., 1.6, GREY), Disc(44., 40., 1.6, GREY), Disc(40., 44., 1.6, GREY),
        Line((33., 46.), (46., 29.), 0.5, WHITE), Line((34., 30.), (41., 38.), 0.3, WHITE)]),
    ("measure back", &[Box(32., 12., 48., 48., DARK), Box(35., 30., 45., 44., [70, 74, 80]), Line((36., 31.), (44., 31.), 0.3, GREY), Disc(40., 20., 2., GREY)]),
    ("measure left", &[Box(37., 12., 43., 48., DARK), Box(37., 12., 38., 48., [20, 22, 24])]),
    ("measure right", &[Box(37., 12., 43., 48., DARK), Box(42., 12., 43., 48., [20, 22, 24])]),
];

/// Pixels per unit of a drawing.
const SCALE: f32 = 5.0;
const WIDTH: u32 = 400;
const HEIGHT: u32 = 300;

fn drawn(shapes: &[Shape]) -> anyhow::Result<Vec<u8>> {
    let mut image = RgbImage::from_fn(WIDTH, HEIGHT, |_, y| Rgb(if units(y) < 46.0 { WALL } else { FLOOR }));
    // Later shapes cover earlier ones. Going over only the shape's own part of the picture takes
    // a tenth of the time.
    for shape in shapes {
        let (left, top, right, bottom) = shape.bounds();
        for y in pixel(top)..=pixel(bottom).min(HEIGHT - 1) {
            for x in pixel(left)..=pixel(right).min(WIDTH - 1) {
                if let Some(color) = shape.at(units(x), units(y)) {
                    image.put_pixel(x, y, Rgb(color));
                }
            }
        }
    }
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, image::ImageFormat::Png)?;
    Ok(bytes.into_inner())
}

#[expect(clippy::cast_precision_loss, reason = "below a thousand")]
fn units(pixel: u32) -> f32 {
    pixel as f32 / SCALE
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to below a thousand")]
fn pixel(units: f32) -> u32 {
    (units.max(0.0) * SCALE) as u32
}

impl Shape {
    /// Left, top, right, and bottom of the area it covers.
    fn bounds(self) -> (f32, f32, f32, f32) {
        match self {
            Box(left, top, right, bottom, _) => (left, top, right, bottom),
            Disc(x, y, radius, _) => (x - radius, y - radius, x + radius, y + radius),
            Line((from_x, from_y), (to_x, to_y), width, _) => {
                (from_x.min(to_x) - width, from_y.min(to_y) - width, from_x.max(to_x) + width, from_y.max(to_y) + width)
            }
        }
    }

    /// Its color, if it covers the point.
    fn at(self, x: f32, y: f32) -> Option<Colour> {
        let (covers, color) = match self {
            Box(left, top, right, bottom, color) => ((left..right).contains(&x) && (top..bottom).contains(&y), color),
            Disc(middle_x, middle_y, radius, color) => ((x - middle_x).hypot(y - middle_y) < radius, color),
            Line((from_x, from_y), (to_x, to_y), width, color) => {
                let (run, rise) = (to_x - from_x, to_y - from_y);
                let along = ((x - from_x) * run + (y - from_y) * rise) / (run * run + rise * rise);
                let along = along.clamp(0.0, 1.0);
                ((x - from_x - along * run).hypot(y - from_y - along * rise) < width, color)
            }
        };
        covers.then_some(color)
    }
}
