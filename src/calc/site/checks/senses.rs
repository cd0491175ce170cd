//! What people see and hear.

use super::distances::{front_middle, watched_middle};
use super::{Finding, Given, Grade, What};
use crate::calc::site::shape::{Item, Kind, Place, Site, coord};
use crate::calc::site::{crowd, sight, sound, sun};
use geo::{Closest, ClosestPoint, Distance, Euclidean, Point};

/// The least that a row must see over the one in front: that of [`sight::Grade::BetweenHeads`].
const SEES: f64 = 0.06;
/// Rows are counted up to this many: more than the largest drawing has room for, at 1 ft each.
const MOST_ROWS: u16 = 4000;
/// Someone listens at least every so many meters along the crowd's edge. Our own choice.
const LISTENERS: f64 = 3.0;
/// A crowd area has at most about this many listeners. Our own choice.
const MOST_LISTENERS: f64 = 200.0;
/// A speaker nearer to a pump than this is looked at: common practice, no source.
const NEAR_PUMP: f64 = 10.0;
/// An interpreter farther aside than this can't be watched together with the rooms: common
/// practice, no source.
const ASIDE: f64 = 30.0;

pub(super) fn findings(site: &Site, given: &Given) -> Vec<Finding> {
    let crowds: Vec<&Item> = site.of(Kind::Crowd).collect();
    if crowds.is_empty() {
        return Vec::new();
    }
    let mut all = vec![seen(site, &crowds)];
    all.extend(heard(site, given, &crowds));
    all.extend(by_pumps(site, &crowds));
    all.extend(interpreter(site, &crowds));
    all
}

/// From the front of a room to the nearest and the farthest of the crowd.
fn reach(room: &Item, crowds: &[&Item]) -> (f64, f64) {
    let middle = front_middle(room);
    let point = Point::from(coord(middle));
    let near = crowds.iter().map(|crowd| Euclidean.distance(&crowd.outline(), &point)).fold(f64::INFINITY, f64::min);
    let edges = crowds.iter().flat_map(|crowd| crowd.edge());
    (near, edges.map(|place| place.distance(middle)).fold(near, f64::max))
}

/// What the rows see of one room: the first one that sees too little, how much the room must
/// be raised, how far part of the crowd is behind its front, what the last row sees, and how
/// many rows there are.
struct Seen {
    hidden: Option<Hidden>,
    raise: f64,
    behind: f64,
    last: f64,
    rows: u32,
}

/// A row that sees too little.
struct Hidden {
    row: u32,
    distance: f64,
    over: f64,
}

/// How far behind a room's front the crowd reaches, m; none if all of it is before the front.
fn behind(room: &Item, crowds: &[&Item]) -> Option<f64> {
    let (middle, facing) = (front_middle(room), room.facing());
    let places = crowds.iter().flat_map(|crowd| crowd.edge());
    let before = places.map(|place| (place.x - middle.x) * facing.x + (place.y - middle.y) * facing.y);
    before.reduce(f64::min).filter(|before| *before < 0.0).map(|before| -before)
}

/// What one row sees over the row in front, of the room it sees least of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RowSeen {
    /// Counted from 1 at the front.
    pub row: u32,
    /// From the front of that room, m.
    pub distance: f64,
    /// If everyone stands, m,
    pub standing: f64,
    /// and if everyone sits.
    pub seated: f64,
}

/// What each row but the first sees, and how high the rooms' floors would have to be above the
/// ground for all rows to see: standing, and seated. Nobody is in front of the first row.
#[must_use]
pub fn rows(site: &Site) -> (Vec<RowSeen>, [f64; 2]) {
    let crowds: Vec<&Item> = site.of(Kind::Crowd).collect();
    let mut all: Vec<RowSeen> = Vec::new();
    let mut floors = [0.0_f64; 2];
    if crowds.is_empty() {
        return (all, floors);
    }
    for room in site.rooms() {
        let point = room.height + site.watched;
        let of = |posture| rows_of(site, room, &crowds, posture);
        let (standing, seated) = (of(sight::Posture::Standing), of(sight::Posture::Seated));
        for (floor, rows) in floors.iter_mut().zip([standing, seated]) {
            *floor = floor.max(room.height + rows.raise_for(SEES, point));
        }
        for (number, (one, two)) in standing.c_values(point).zip(seated.c_values(point)).enumerate() {
            let seen =
                RowSeen { row: u32::from(one.0.number), distance: one.0.distance, standing: one.1, seated: two.1 };
            match all.get_mut(number) {
                Some(known) if known.standing <= seen.standing => {}
                Some(known) => *known = seen,
                None => all.push(seen),
            }
        }
    }
    (all, floors)
}

fn rows_of(site: &Site, room: &Item, crowds: &[&Item], posture: sight::Posture) -> sight::Rows {
    let (near, far) = reach(room, crowds);
    let depth = site.row.max(sight::SHORTEST);
    sight::Rows {
        first: near,
        depth,
        count: counted((far - near) / depth).saturating_add(1),
        step: site.rise * depth,
        posture,
    }
}

/// The rows count by their distance from the front's middle, over all areas together. Where there
/// is a gap between areas, that asks for a little more than is needed.
fn seen_of(site: &Site, room: &Item, crowds: &[&Item]) -> Seen {
    let rows = rows_of(site, room, crowds, site.posture);
    let point = room.height + site.watched;
    let near = rows.first;
    let behind = behind(room, crowds);
    let blind = behind.map(|behind| Hidden { row: 1, distance: near, over: -behind });
    let is_hidden = |over: f64| sight::Grade::of(over) == sight::Grade::Hidden;
    let hidden = rows.c_values(point).find(|(_, over)| is_hidden(*over));
    let hidden = hidden.map(|(row, over)| Hidden { row: u32::from(row.number), distance: row.distance, over });
    Seen {
        hidden: blind.or(hidden),
        raise: rows.raise_for(SEES, point),
        behind: behind.unwrap_or(0.0),
        last: rows.c_values(point).last().map_or(f64::INFINITY, |(_, over)| over),
        rows: u32::from(rows.count),
    }
}

/// All rooms together: a row that sees too little of one of them.
fn seen(site: &Site, crowds: &[&Item]) -> Finding {
    let all: Vec<(&Item, Seen)> = site.rooms().into_iter().map(|room| (room, seen_of(site, room, crowds))).collect();
    let hidden = all.iter().filter_map(|(room, seen)| Some((*room, seen, seen.hidden.as_ref()?)));
    let hidden: Vec<_> = hidden.collect();
    let rows = all.iter().map(|(_, seen)| seen.rows).max().unwrap_or(0);
    // Of rooms whose first hidden row is the same, the one that is seen worst.
    let first = hidden.iter().min_by(|(.., a), (.., b)| a.row.cmp(&b.row).then(a.over.total_cmp(&b.over)));
    let Some((.., first)) = first else {
        let over = all.iter().map(|(_, seen)| seen.last).fold(f64::INFINITY, f64::min);
        return Finding::new(What::AllSee { over, rows }, Grade::Good, Vec::new(), 0.0);
    };
    let floor = hidden.iter().map(|(room, seen, _)| room.height + seen.raise).fold(0.0, f64::max);
    let badness = hidden.iter().map(|(_, seen, _)| seen.raise + seen.behind).fold(0.0, f64::max);
    let what = What::Sight {
        rooms: hidden.iter().map(|(room, ..)| room.kind).collect(),
        row: first.row,
        distance: first.distance,
        over: first.over,
        floor,
        rows,
    };
    Finding::new(what, Grade::Wrong, hidden.iter().map(|(room, ..)| room.id).collect(), badness)
}

/// How many whole rows there are, up to the most that are counted.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "it is within the limits")]
fn counted(rows: f64) -> u16 {
    rows.clamp(0.0, f64::from(MOST_ROWS)) as u16
}

/// Where someone listens: along the edge of the crowd, and as near as can be to each speaker and
/// pump, which is right beside it if it is among the crowd.
fn listeners(site: &Site, crowds: &[&Item]) -> Vec<Place> {
    let sources = site.of(Kind::Speaker).chain(site.of(Kind::Pump));
    let beside = sources.filter_map(|source| nearest(crowds, source.middle()));
    let edges = crowds.iter().flat_map(|crowd| {
        let edge = crowd.edge();
        let sides: Vec<(Place, Place)> = edge.iter().copied().zip(edge.iter().copied().cycle().skip(1)).collect();
        let around: f64 = sides.iter().map(|(from, to)| from.distance(*to)).sum();
        let spacing = LISTENERS.max(around / MOST_LISTENERS);
        sides.into_iter().flat_map(|(from, to)| along(from, to, spacing)).collect::<Vec<_>>()
    });
    edges.chain(beside).collect()
}

/// The nearest place among the crowd.
fn nearest(crowds: &[&Item], to: Place) -> Option<Place> {
    let places = crowds.iter().filter_map(|crowd| match crowd.outline().closest_point(&Point::from(coord(to))) {
        Closest::Intersection(at) | Closest::SinglePoint(at) => Some(Place { x: at.x(), y: at.y() }),
        Closest::Indeterminate => None,
    });
    places.min_by(|one, two| one.distance(to).total_cmp(&two.distance(to)))
}

/// Places from one to before another, evenly spaced, and one halfway at least.
fn along(from: Place, to: Place, spacing: f64) -> impl Iterator<Item = Place> {
    let steps = counted((from.distance(to) / spacing).ceil()).max(2);
    (0..steps).map(move |step| {
        let part = f64::from(step) / f64::from(steps);
        Place { x: from.x + part * (to.x - from.x), y: from.y + part * (to.y - from.y) }
    })
}

fn level(sources: &[&Item], at: Place) -> Option<f64> {
    let levels: Vec<f64> = sources.iter().map(|source| sound::at(source.level, source.middle().distance(at))).collect();
    (!levels.is_empty()).then(|| sound::sum(&levels))
}

fn heard(site: &Site, given: &Given, crowds: &[&Item]) -> Vec<Finding> {
    let speakers: Vec<&Item> = site.of(Kind::Speaker).collect();
    if speakers.is_empty() {
        return vec![Finding::new(What::NoSpeaker, Grade::Look, Vec::new(), 0.0)];
    }
    let speech = speech(site, &speakers, &listeners(site, crowds));
    speech.into_iter().chain([receivers(site, given)]).collect()
}

fn speech(site: &Site, speakers: &[&Item], listeners: &[Place]) -> Option<Finding> {
    let (first, last) = least_over(site, speakers, listeners)?;
    let loudest = listeners.iter().filter_map(|at| level(speakers, *at)).fold(f64::NEG_INFINITY, f64::max);
    let over = first.min(last);
    let grade = if over < 0.0 {
        Grade::Wrong
    } else if over < sound::MARGIN || loudest > sound::EAR_LIMIT {
        Grade::Look
    } else {
        Grade::Good
    };
    let ids = speakers.iter().map(|speaker| speaker.id).collect();
    let badness = (sound::MARGIN - over).max(0.0) + (loudest - sound::EAR_LIMIT).max(0.0);
    Some(Finding::new(What::Speech { first, last, loudest }, grade, ids, badness))
}

/// The least speech over noise among the listeners in the nearer half, and in the farther one.
fn least_over(site: &Site, speakers: &[&Item], listeners: &[Place]) -> Option<(f64, f64)> {
    let pumps: Vec<&Item> = site.of(Kind::Pump).collect();
    let middle = watched_middle(site);
    let heard = listeners.iter().map(|at| {
        let noise = level(&pumps, *at).map_or(site.murmur, |pumps| sound::sum(&[pumps, site.murmur]));
        (at.distance(middle), level(speakers, *at).unwrap_or(f64::NEG_INFINITY) - noise)
    });
    let heard: Vec<(f64, f64)> = heard.collect();
    let near = heard.iter().map(|(distance, _)| *distance).reduce(f64::min)?;
    let far = heard.iter().map(|(distance, _)| *distance).fold(near, f64::max);
    let half = f64::midpoint(near, far);
    let least = |is_near: bool| {
        let some = heard.iter().filter(|(distance, _)| (*distance <= half) == is_near);
        some.map(|(_, over)| *over).reduce(f64::min)
    };
    let first = least(true)?;
    Some((first, least(false).unwrap_or(first)))
}

fn receivers(site: &Site, given: &Given) -> Finding {
    let (have, asked) = (site.receivers, crowd::receivers(given.people));
    let compatible = crowd::hearing_aid_compatible(asked);
    let grade = if have < asked { Grade::Look } else { Grade::Good };
    let short = f64::from(asked.saturating_sub(have));
    Finding::new(What::Receivers { have, asked, compatible }, grade, Vec::new(), short)
}

fn by_pumps(site: &Site, crowds: &[&Item]) -> Vec<Finding> {
    let mut all = Vec::new();
    for speaker in site.of(Kind::Speaker) {
        let at = speaker.middle();
        let Some(listener) = nearest(crowds, at) else { continue };
        for pump in site.of(Kind::Pump) {
            let apart = at.distance(pump.middle());
            let over = sound::at(speaker.level, at.distance(listener))
                - sound::at(pump.level, pump.middle().distance(listener));
            if apart < NEAR_PUMP {
                let grade = if over < 0.0 { Grade::Wrong } else { Grade::Look };
                let what = What::SpeakerByPump { apart, over };
                // A louder pump is worse at the same distance.
                let badness = NEAR_PUMP - apart + (-over).max(0.0);
                all.push(Finding::new(what, grade, vec![speaker.id, pump.id], badness));
            }
        }
    }
    all
}

/// The crowd area that has its interpreter farthest aside. With several interpreters, people
/// watch the one most in line with the rooms.
fn interpreter(site: &Site, crowds: &[&Item]) -> Option<Finding> {
    let rooms = watched_middle(site);
    let nearest = crowds.iter().filter_map(|crowd| {
        let from = crowd.middle();
        let aside = |at: Place| sun::turn(site.bearing(from, rooms), site.bearing(from, at));
        let all = site.of(Kind::Interpreter).map(|interpreter| (aside(interpreter.middle()), interpreter.id));
        all.min_by(|a, b| a.0.total_cmp(&b.0))
    });
    let (aside, id) = nearest.max_by(|a, b| a.0.total_cmp(&b.0))?;
    let grade = if aside > ASIDE { Grade::Look } else { Grade::Good };
    Some(Finding::new(What::Interpreter { aside }, grade, vec![id], (aside - ASIDE).max(0.0)))
}
