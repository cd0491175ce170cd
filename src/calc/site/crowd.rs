//! How many people a place holds, and what they need: wheelchair spaces, receivers, toilets,
//! parking, and exits.
//!
//! Planning figures. The authority having jurisdiction sets the numbers that count.
//!
//! Units: meters, square meters, people.

use super::FOOT;

/// One acre in square meters: 43,560 ft², to the square millimeter.
pub const ACRE: f64 = 43_560.0 * FOOT * FOOT;

/// People per m² to plan for, standing, strollers among them. Common practice, no source.
pub const STANDING: f64 = 1.0;
/// People per m² to plan for, seated on the ground. Common practice, no source.
pub const SEATED_ON_GROUND: f64 = 0.7;
/// The most people per m² to plan for. Common practice, no source.
pub const MOST: f64 = 1.5;
/// The part of the area to keep as aisles. Common practice, no source.
pub const AISLES: f64 = 0.2;

/// People per m² among whom people walk at their own pace. Fruin.
pub const FREE_WALKING: f64 = 0.43;
/// People per m² among whom walking slows; the limit of many organizers in Europe.
pub const SLOW_WALKING: f64 = 2.0;
/// People per m² among whom people touch without wanting to. Fruin.
pub const TOUCHING: f64 = 3.57;
/// People per m² at which movement suddenly fails. Still.
pub const STOPPED: f64 = 4.0;
/// People per m² at which dangerous forces can start. Fruin.
pub const DANGEROUS: f64 = 5.55;
/// People per m² who move like a fluid: shock waves, and people who can't breathe. Fruin.
pub const DEADLY: f64 = 7.0;

/// The most people per m² in an assembly area of up to 10,000 ft²: 5 ft² each, NFPA 101.
pub const ASSEMBLY: f64 = 1.0 / (5.0 * FOOT * FOOT);
/// The same in a larger area: 7 ft² each, NFPA 101.
pub const LARGE_ASSEMBLY: f64 = 1.0 / (7.0 * FOOT * FOOT);

/// Cars per acre on a field without marked stalls: the Federal Highway Administration's material
/// on planned special events.
pub const CARS_PER_ACRE: f64 = 150.0;
/// The part of a field's stalls that fills up in practice: the same source has 90 to 95 percent.
pub const CARS_FILL: f64 = 0.92;

/// Rounding must not take the last one away.
const ROUNDING: f64 = 1e-9;

/// The whole number at or below; 0 below zero and for what is no number.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the cast stops at both ends of the range")]
fn whole(value: f64) -> u32 {
    (value * (1.0 + ROUNDING)).floor() as u32
}

/// How many people fit in an area, m², less the part that is kept as aisles, at so many people
/// per m².
///
/// ```
/// use burnday::calc::site::crowd::{AISLES, STANDING, fits};
///
/// assert_eq!(fits(500.0, AISLES, STANDING), 400);
/// ```
#[must_use]
pub fn fits(area: f64, share_for_aisles: f64, per_square_meter: f64) -> u32 {
    whole(area.max(0.0) * (1.0 - share_for_aisles.clamp(0.0, 1.0)) * per_square_meter)
}

/// The first line of a table that covers a number.
fn listed<const LINES: usize>(table: [(u32, u32); LINES], number: u32) -> Option<u32> {
    table.into_iter().find(|(up_to, _)| number <= *up_to).map(|(_, needed)| needed)
}

/// So many, and one for each `per` or part of it over a number.
fn over(base: u32, number: u32, start: u32, per: u32) -> u32 {
    base + number.saturating_sub(start).div_ceil(per)
}

/// Wheelchair spaces for so many people: 2010 ADA Standards, Table 221.2.1.1, written for
/// fixed seats.
///
/// ```
/// use burnday::calc::site::crowd::wheelchair_spaces;
///
/// assert_eq!(wheelchair_spaces(600), 7);
/// ```
#[must_use]
pub fn wheelchair_spaces(people: u32) -> u32 {
    let short = [(3, 0), (25, 1), (50, 2), (150, 4), (300, 5), (500, 6)];
    listed(short, people)
        .unwrap_or_else(|| if people <= 5000 { over(6, people, 500, 150) } else { over(36, people, 5000, 200) })
}

/// Receivers for people who are hard of hearing, where speech is amplified: 2010 ADA Standards,
/// Table 219.3.
#[must_use]
pub fn receivers(people: u32) -> u32 {
    match people {
        0 => 0,
        1..=500 => over(2, people, 50, 25),
        501..=1000 => over(20, people, 500, 33),
        1001..=2000 => over(35, people, 1000, 50),
        _ => over(55, people, 2000, 100),
    }
}

/// How many of these receivers must work with hearing aids: 25 percent, at least two. 2010 ADA
/// Standards, 219.3.
#[must_use]
pub fn hearing_aid_compatible(receivers: u32) -> u32 {
    if receivers == 0 { 0 } else { receivers.div_ceil(4).max(2) }
}

/// Toilets for so many people at the busiest time, at so many people to each.
#[must_use]
pub fn toilets(people: u32, people_per_toilet: u32) -> u32 {
    people.div_ceil(people_per_toilet.max(1))
}

/// How many of the toilets in one place must be accessible: 5 percent, at least one. 2010 ADA
/// Standards, 213.2.
#[must_use]
pub fn accessible_toilets(toilets: u32) -> u32 {
    toilets.div_ceil(20)
}

/// Cars that so many people come in; fewer than one person to a car counts as one.
#[must_use]
pub fn cars(people: u32, per_car: f64) -> u32 {
    let exact = f64::from(people) / per_car.max(1.0);
    let below = whole(exact);
    if f64::from(below) + ROUNDING < exact { below + 1 } else { below }
}

/// Cars that fit on a field without marked stalls, m²: [`CARS_PER_ACRE`] and [`CARS_FILL`].
#[must_use]
pub fn cars_that_fit(area: f64) -> u32 {
    whole(area.max(0.0) / ACRE * CARS_PER_ACRE * CARS_FILL)
}

/// Accessible stalls among so many in a parking lot: 2010 ADA Standards, Table 208.2.
///
/// ```
/// use burnday::calc::site::crowd::{accessible_stalls, van_stalls};
///
/// assert_eq!(accessible_stalls(240), 7);
/// assert_eq!(van_stalls(7), 2);
/// ```
#[must_use]
pub fn accessible_stalls(stalls: u32) -> u32 {
    let short = [(0, 0), (25, 1), (50, 2), (75, 3), (100, 4), (150, 5), (200, 6), (300, 7), (400, 8), (500, 9)];
    // 2 percent up to 1,000; a part counts as a whole (Standards, 104.2).
    listed(short, stalls)
        .unwrap_or_else(|| if stalls <= 1000 { stalls.div_ceil(50) } else { over(20, stalls, 1000, 100) })
}

/// How many of the accessible stalls must be wide enough for a van: one for every six or part
/// of six. 2010 ADA Standards, 208.2.4.
#[must_use]
pub fn van_stalls(accessible: u32) -> u32 {
    accessible.div_ceil(6)
}

/// Width of all exits together, m, at so much width for each person, m: what the adopted code
/// asks, often a part of an inch.
#[must_use]
pub fn exit_width(people: u32, per_person: f64) -> f64 {
    f64::from(people) * per_person.max(0.0)
}

#[cfg(test)]
mod tests;
