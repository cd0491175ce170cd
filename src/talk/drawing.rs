//! The talk beside the fire on one time axis: when key moments come, and the lines as blocks,
//! as they are when each moment comes in the middle of its times.

use super::says::{self, clock};
use super::snapshot::{TalkSnapshot, TimedLine};
use crate::calc::fire::bands::{FireTimes, PARTS};
use crate::calc::fire::sampling::{quantile, sort};
use crate::calc::talk::{Mark, Part};
use crate::web::words::tidy;

/// The time axis runs between these.
const LEFT: f64 = 190.0;
const RIGHT: f64 = 1160.0;
const TOP: f64 = 44.0;
const ROW: f64 = 30.0;

pub(super) struct Tick {
    pub x: f64,
    pub label: String,
}

/// When a key moment comes.
pub(super) struct Moment {
    /// "alarm", "sprinkler", or "flashover".
    pub kind: &'static str,
    /// Of nine in ten fires, and of eight in ten.
    pub outer: (f64, f64),
    pub inner: (f64, f64),
    pub middle: f64,
}

/// A line as a block.
pub(super) struct Block {
    pub number: usize,
    pub id: i64,
    pub x: f64,
    pub width: f64,
    pub is_cut: bool,
    pub says: String,
}

/// A part: the moment that begins it, and its lines.
pub(super) struct Row {
    pub y: f64,
    pub name: &'static str,
    pub moment: Option<Moment>,
    pub blocks: Vec<Block>,
}

/// One clock, with an axis of its own.
pub(super) struct BurnChart {
    pub class: &'static str,
    pub name: &'static str,
    pub y: f64,
    pub bottom: f64,
    pub ticks: Vec<Tick>,
    pub rows: Vec<Row>,
}

pub(super) struct Chart {
    pub height: f64,
    pub burns: Vec<BurnChart>,
}

/// What is said from when to when, in words.
fn spoken(number: usize, from: f64, to: f64, is_cut: bool) -> String {
    let cut = if is_cut { ", does not fit" } else { "" };
    format!("Line {number}, {} to {}{cut}", clock(from), clock(to))
}

/// When a key moment comes, of the fires in which it does: at these parts of them.
fn band(fires: &[FireTimes], mark: Mark) -> Option<[f64; 5]> {
    let of = |fire: &FireTimes| match mark {
        Mark::Alarm => fire.alarm,
        Mark::Sprinkler => fire.sprinkler,
        Mark::Flashover => fire.flashover,
        Mark::Attack => f64::INFINITY,
    };
    let mut times: Vec<f64> = fires.iter().map(of).filter(|time| time.is_finite()).collect();
    sort(&mut times);
    let [first, low, middle, high, last] = PARTS.map(|part| quantile(&times, part));
    Some([first?, low?, middle?, high?, last?])
}

impl Chart {
    /// None without fires, or without lines.
    pub fn of(snapshot: &TalkSnapshot) -> Option<Self> {
        let fires = &snapshot.fires()?.times;
        if snapshot.lines.is_empty() {
            return None;
        }
        let mut y = 0.0;
        let mut burns = Vec::new();
        for burn in snapshot.burns() {
            let (class, name) = says::burn(*burn);
            let bands = burn.parts().iter().map(|part| part.begun_by().and_then(|mark| band(fires, mark)));
            let bands: Vec<Option<[f64; 5]>> = bands.collect();
            let latest = bands.iter().flatten().map(|band| band[4]).fold(30.0, f64::max);
            let step = if latest > 400.0 {
                60.0
            } else if latest > 150.0 {
                30.0
            } else {
                15.0
            };
            let end = ((latest + 20.0) / step).ceil() * step;
            let x = |time: f64| tidy(LEFT + (RIGHT - LEFT) * (time / end).clamp(0.0, 1.0));
            let ticks = std::iter::successors(Some(0.0), |time| Some(time + step)).take_while(|time| *time <= end);
            let ticks = ticks.map(|time| Tick { x: x(time), label: clock(time) }).collect();
            let top = y;
            y += TOP;
            let mut rows = Vec::new();
            for (part, band) in burn.parts().iter().zip(bands) {
                rows.push(row(snapshot, *part, (y, band), x));
                y += ROW;
            }
            let bottom = tidy(y - ROW / 2.0);
            burns.push(BurnChart { class, name, y: tidy(top), bottom, ticks, rows });
            y += ROW * 0.2;
        }
        Some(Self { height: tidy(y), burns })
    }
}

fn row(snapshot: &TalkSnapshot, part: Part, (y, band): (f64, Option<[f64; 5]>), x: impl Fn(f64) -> f64) -> Row {
    let begins = if part.begun_by().is_some() { band.as_ref().map(|band| band[2]) } else { Some(0.0) };
    let kind = match part.begun_by() {
        Some(Mark::Sprinkler) => "sprinkler",
        Some(Mark::Flashover) => "flashover",
        _ => "alarm",
    };
    let moment = band.map(|band| Moment {
        kind,
        outer: (x(band[0]), x(band[4])),
        inner: (x(band[1]), x(band[3])),
        middle: x(band[2]),
    });
    let block = |(at, _): (usize, &TimedLine)| {
        let (begins, fit) = (begins?, &snapshot.fitted.lines[at]);
        let (from, to) = (begins + fit.starts, begins + fit.ends);
        let is_cut = !fit.fits();
        Some(Block {
            number: at + 1,
            id: snapshot.lines[at].line.id,
            x: x(from),
            width: tidy((x(to) - x(from) - 1.0).max(1.0)),
            is_cut,
            says: spoken(at + 1, from, to, is_cut),
        })
    };
    let name = match part {
        Part::Lit | Part::LitB => "lit",
        Part::Alarm | Part::AlarmB => "smoke alarm",
        Part::Sprinkler => "sprinkler",
        _ => "flashover",
    };
    Row { y: tidy(y), name, moment, blocks: snapshot.of_part(part).filter_map(block).collect() }
}
