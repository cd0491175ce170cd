//! The picture of both rooms: what happens when, on one time axis.

use super::quantities::{clock, inner};
use crate::calc::fire::bands::{Band, Bands, Pictured};
use crate::calc::fire::kelvin;
use crate::web::words::tidy;
use std::fmt::Write;

/// The time axis runs between these.
const LEFT: f64 = 150.0;

const RIGHT: f64 = 1160.0;

/// One room takes up this much.
const ROOM: f64 = 232.0;

const TOP: f64 = 40.0;

/// The temperatures' axis within a room.
const COOL: f64 = 210.0;

const HOT: f64 = 92.0;

const HOTTEST: f64 = 900.0;

/// A tick of the time axis.
#[derive(Debug)]
pub(super) struct Tick {
    pub x: f64,
    pub label: String,
    pub is_minute: bool,
}

/// A time as a bar.
#[derive(Debug)]
pub(super) struct Bar {
    /// "alarm", "sprinkler" or "flashover".
    pub kind: &'static str,
    pub y: f64,
    /// Of nine in ten, and of eight in ten.
    pub outer: (f64, f64),
    /// None if fewer than one in ten happen.
    pub inner: Option<(f64, f64)>,
    /// The later end of eight in ten is beyond the axis.
    pub is_open: bool,
    pub middle: Option<f64>,
    pub label: String,
    pub label_x: f64,
    /// "start" or "end", as SVG has it.
    pub anchor: &'static str,
}

/// One room.
#[derive(Debug)]
pub(super) struct RoomChart {
    pub letter: &'static str,
    pub has: &'static str,
    pub y: f64,
    pub bars: Vec<Bar>,
    /// Where eight in ten layers are, and half of them.
    pub area: String,
    pub line: String,
    pub cool: f64,
    pub hot: f64,
}

#[derive(Debug)]
pub(super) struct Chart {
    pub height: f64,
    pub bottom: f64,
    pub ticks: Vec<Tick>,
    pub rooms: [RoomChart; 2],
    /// The 600 °C line's label.
    pub hot: (String, String),
}

/// How long the axis is, s: what happens, and a bit more.
fn end(bands: &Bands) -> f64 {
    let times = [&bands.alarm, &bands.sprinkler, &bands.flashover];
    let latest = times.iter().flat_map(|band| band.at).flatten().fold(120.0, f64::max);
    let is_open = times.iter().any(|band| band.at[4].is_none());
    let end = if is_open { bands.until } else { latest + 30.0 };
    ((end / 60.0).ceil() * 60.0).min(bands.until)
}

impl Chart {
    pub fn of(bands: &Bands) -> Self {
        let end = end(bands);
        let x = |time: f64| tidy(LEFT + (RIGHT - LEFT) * (time / end).min(1.0));
        let step = if end > 720.0 { 60.0 } else { 30.0 };
        let ticks = std::iter::successors(Some(0.0), |time| Some(time + step)).take_while(|time| *time <= end);
        let tick = |time: f64| Tick { x: x(time), label: clock(time), is_minute: time % 60.0 == 0.0 };
        let bar = |kind, y: f64, band: &Band, name: &str, says: String| {
            let [low, inner_low, middle, inner_high, high] = band.at.map(|time| time.map(x));
            let first = low.or(inner_low)?;
            let (inner_high, is_open) = (inner_high.unwrap_or(RIGHT), inner_high.is_none());
            let last = high.unwrap_or(RIGHT);
            let label = format!("{name} {says}");
            let is_left = last > RIGHT - 240.0;
            let (label_x, anchor) = if is_left { (first - 8.0, "end") } else { (last + 8.0, "start") };
            // Too close to the left edge, it goes above the bar's end.
            let (label_x, anchor) = if is_left && first < LEFT + 175.0 { (RIGHT, "end") } else { (label_x, anchor) };
            Some(Bar {
                kind,
                y,
                outer: (first, last),
                inner: inner_low.map(|low| (low, inner_high)),
                is_open,
                middle,
                label,
                label_x: tidy(label_x),
                anchor,
            })
        };
        let room = |place: usize, bars: Vec<Option<Bar>>, letter, has| {
            let y = TOP + ROOM * if place == 0 { 0.0 } else { 1.0 };
            let (area, line) = paths(&bands.pictures[place], end, x, y);
            RoomChart {
                letter,
                has,
                y,
                bars: bars.into_iter().flatten().collect(),
                area,
                line,
                cool: y + COOL,
                hot: level(kelvin(600.0), y),
            }
        };
        let alarm = |y| bar("alarm", y, &bands.alarm, "smoke alarm", inner(&bands.alarm));
        let flashover = bar("flashover", TOP + 60.0, &bands.flashover, "flashover", inner(&bands.flashover));
        let opens = bar("sprinkler", TOP + ROOM + 60.0, &bands.sprinkler, "sprinkler opens", inner(&bands.sprinkler));
        Self {
            height: TOP + 2.0 * ROOM + 10.0,
            bottom: TOP + 2.0 * ROOM,
            ticks: ticks.map(tick).collect(),
            rooms: [
                room(0, vec![alarm(TOP + 30.0), flashover], "A", "no sprinkler"),
                room(1, vec![alarm(TOP + ROOM + 30.0), opens], "B", "sprinkler"),
            ],
            hot: ("600 °C".to_owned(), "1,110 °F".to_owned()),
        }
    }
}

/// Where a temperature is drawn in a room that begins at `y`.
fn level(kelvin: f64, y: f64) -> f64 {
    let part = ((kelvin - self::kelvin(20.0)) / (HOTTEST - 20.0)).clamp(0.0, 1.0);
    tidy(y + COOL - (COOL - HOT) * part)
}

/// The outline of eight in ten layers, and the line of half of them.
fn paths(picture: &[Pictured], end: f64, x: impl Fn(f64) -> f64, y: f64) -> (String, String) {
    let shown: Vec<&Pictured> = picture.iter().filter(|one| one.time <= end).collect();
    let point = |path: &mut String, time: f64, kelvin: f64| {
        let begin = if path.is_empty() { 'M' } else { 'L' };
        let _ = write!(path, "{begin}{} {}", x(time), level(kelvin, y));
    };
    let (mut area, mut line) = (String::new(), String::new());
    for one in &shown {
        point(&mut area, one.time, one.layer[2]);
        point(&mut line, one.time, one.layer[1]);
    }
    for one in shown.iter().rev() {
        point(&mut area, one.time, one.layer[0]);
    }
    area.push('Z');
    (area, line)
}
