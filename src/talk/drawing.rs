//! The talk beside the fire on one time axis: when key moments come, and the lines as blocks,
//! as they are when each moment comes in the middle of its times.

use super::says::clock;
use super::snapshot::TalkSnapshot;
use crate::calc::fire::bands::FireTimes;
use crate::calc::fire::sampling::{quantile, sort};
use crate::calc::talk::{Burn, Mark, Part};
use crate::web::words::tidy;

/// The time axis runs between these.
const LEFT: f64 = 190.0;
const RIGHT: f64 = 1160.0;
const TOP: f64 = 34.0;
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

/// One clock.
pub(super) struct BurnChart {
    pub class: &'static str,
    pub name: &'static str,
    pub y: f64,
    pub rows: Vec<Row>,
}

pub(super) struct Chart {
    pub height: f64,
    pub bottom: f64,
    pub ticks: Vec<Tick>,
    pub burns: Vec<BurnChart>,
}

/// What is said from when to when, in words.
fn spoken(number: usize, from: f64, to: f64, is_cut: bool) -> String {
    let cut = if is_cut { ", does not fit" } else { "" };
    format!("Line {number}, {} to {}{cut}", clock(from), clock(to))
}

impl Chart {
    /// None without fires, or without lines.
    pub fn of(snapshot: &TalkSnapshot) -> Option<Self> {
        let fires = &snapshot.fires()?.times;
        if snapshot.lines.is_empty() {
            return None;
        }
        let parts: Vec<f64> = [0.05, 0.1, 0.5, 0.9, 0.95].to_vec();
        // Of the fires in which it comes.
        let band = |mark: Mark| -> Option<Vec<f64>> {
            let of = |fire: &FireTimes| match mark {
                Mark::Alarm => fire.alarm,
                Mark::Sprinkler => fire.sprinkler,
                Mark::Flashover => fire.flashover,
                Mark::Attack => f64::INFINITY,
            };
            let mut times: Vec<f64> = fires.iter().map(of).filter(|time| time.is_finite()).collect();
            sort(&mut times);
            parts.iter().map(|part| quantile(&times, *part)).collect()
        };
        let latest =
            [Mark::Alarm, Mark::Sprinkler, Mark::Flashover].into_iter().filter_map(|mark| Some(band(mark)?[4]));
        let end = (latest.fold(60.0, f64::max) + 30.0) / 30.0;
        let end = end.ceil() * 30.0;
        let x = |time: f64| tidy(LEFT + (RIGHT - LEFT) * (time / end).clamp(0.0, 1.0));
        let step = if end > 720.0 {
            120.0
        } else if end > 300.0 {
            60.0
        } else {
            30.0
        };
        let ticks = std::iter::successors(Some(0.0), |time| Some(time + step)).take_while(|time| *time <= end);
        let ticks = ticks.map(|time| Tick { x: x(time), label: clock(time) }).collect();
        let mut y = TOP;
        let mut burns = Vec::new();
        for burn in snapshot.burns() {
            let (class, name) = match burn {
                Burn::A => ("a", "Room A"),
                Burn::B => ("b", "Room B"),
                Burn::Both => ("both", "Both rooms"),
            };
            let top = y;
            y += ROW * 0.8;
            let mut rows = Vec::new();
            for part in burn.parts() {
                let band = part.begun_by().and_then(band);
                rows.push(row(snapshot, *part, (y, band), x));
                y += ROW;
            }
            burns.push(BurnChart { class, name, y: top + 14.0, rows });
            y += ROW * 0.4;
        }
        Some(Self { height: tidy(y + 6.0), bottom: tidy(y), ticks, burns })
    }
}

fn row(snapshot: &TalkSnapshot, part: Part, (y, band): (f64, Option<Vec<f64>>), x: impl Fn(f64) -> f64) -> Row {
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
    let block = |(at, _): (usize, &super::snapshot::Told)| {
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
