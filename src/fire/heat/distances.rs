//! How far people and things must be, rule by rule.

use super::glow::Glow;
use crate::calc::fire::radiation::EXPOSURES;
use crate::fire::quantities::{distance, heat, whole};
use crate::fire::reading::Read;
use crate::web::words::grouped;

/// Btu/(h·ft²) in a kW/m².
pub const BTU: f64 = 316.998;

/// How much farther away when the wind blows toward people: common practice, no source.
pub(super) const WIND: f64 = 2.0;

/// How many heights of the structure to stay away from one that may fall.
const COLLAPSE: f64 = 1.5;

/// Things melt or warp above this, kW/m²: common practice, no source.
const MELTS: f64 = 2.5;

/// Who or what stands at the line, how much heat is allowed there in kW/m², and where that
/// figure comes from.
pub(super) const OTHERS: [(&str, &str, f64, &str); 3] = [
    (
        "press",
        "Press and adult guests with an escort",
        1.58,
        "API 521, continuously in clothing (500 Btu/(h·ft²)). Bare skin and children stay behind the public's line",
    ),
    (
        "crew",
        "Crew in full protective clothing",
        4.73,
        "API 521: minutes of emergency work in clothing (1,500 Btu/(h·ft²))",
    ),
    ("things", "Screens, clocks, and other things that melt", MELTS, "common practice, without a published source"),
];

/// A distance and why.
#[derive(Debug, Clone)]
pub(in crate::fire) struct Rule {
    /// As a mark on pages.
    pub mark: &'static str,
    pub what: String,
    pub meters: f64,
    pub says: String,
    pub source: String,
    /// It is the largest, so it decides.
    pub decides: bool,
}

/// What the public's line must keep at least.
pub(super) fn public(read: &Read, glow: &Glow) -> Vec<Rule> {
    let rule = |mark, what: &str, meters: f64, source: &str| Rule {
        mark,
        what: what.to_owned(),
        meters,
        says: distance(meters),
        source: source.to_owned(),
        decides: false,
    };
    let flux = read.heat.flux;
    let rooms = if glow.rooms > 1.0 { ", both rooms together" } else { "" };
    let made_of = format!(
        "Screening estimate: the whole front glowing at 900 °C (1,650 °F) without its panel, and in front of \
         it a flame of {}, more than 19 of 20 simulated fires have{rooms}. Counted in full, one on top of the other.",
        heat(glow.peak)
    );
    let mut all = vec![
        rule(
            "heat",
            &format!("Heat of {flux} kW/m² ({} Btu/(h·ft²))", whole(flux * BTU)),
            glow.reaches(flux),
            &made_of,
        ),
        rule(
            "collapse",
            "One and a half heights of the structure",
            COLLAPSE * read.heat.structure,
            "common practice for structures that may fall",
        ),
        rule(
            "hose",
            "Space the crew and its hose lines need",
            read.heat.hose_depth,
            "your figure; 20 ft is common practice",
        ),
    ];
    all.extend(read.heat.permit.map(|meters| rule("permit", "Condition of a permit", meters, "your permit")));
    all.extend(read.heat.own.map(|meters| rule("own", "Your department's own rule", meters, "your department")));
    let most = all.iter().map(|rule| rule.meters).fold(0.0, f64::max);
    if let Some(rule) = all.iter_mut().find(|rule| rule.meters >= most) {
        rule.decides = true;
    }
    all
}

pub(super) fn most(public: &[Rule]) -> f64 {
    public.iter().map(|rule| rule.meters).fold(0.0, f64::max)
}

/// The public's line with the wind toward people: twice the heat's distance, or another rule
/// if that asks for more.
pub(super) fn with_wind(glow: &Glow, flux: f64, public: &[Rule]) -> String {
    distance((WIND * glow.reaches(flux)).max(most(public)))
}

/// The lines of everyone else, and of things.
pub(super) fn others(glow: &Glow) -> Vec<Rule> {
    let rule = |(mark, what, flux, source): (&'static str, &str, f64, &str)| {
        let meters = glow.reaches(flux);
        let what = format!("{what}: {flux} kW/m²");
        Rule { mark, what, meters, says: distance(meters), source: source.to_owned(), decides: false }
    };
    OTHERS.into_iter().map(rule).collect()
}

/// A heat, what it does, the source, and where the estimate has it.
pub(in crate::fire) struct Exposure {
    pub flux: String,
    pub does: &'static str,
    pub source: &'static str,
    pub at: String,
}

/// What heat does to people, from the least up.
pub(super) fn exposures(glow: &Glow) -> Vec<Exposure> {
    let one = |(flux, does, source): (f64, &'static str, &'static str)| Exposure {
        flux: format!("{flux} kW/m² ({} Btu/(h·ft²))", grouped(whole(flux * BTU))),
        does,
        source,
        at: distance(glow.reaches(flux)),
    };
    EXPOSURES.into_iter().map(one).collect()
}

/// How far away things that melt must be, m.
pub(in crate::fire) fn melts(glow: &Glow) -> f64 {
    glow.reaches(MELTS)
}
