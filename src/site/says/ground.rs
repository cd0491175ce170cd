//! What stands near the fire, and what the crew needs.

use super::words::{About, Words, list, say, whole};
use crate::calc::site::{FOOT, Kind};
use crate::fire::BTU;
use crate::site::typed::distance;

pub(super) fn fuel(about: &About, kind: Kind, apart: f64, asked: f64, is_downwind: bool) -> Words {
    let first = about.first();
    let is_near = apart < asked;
    let title =
        if is_near { format!("{first} is too close to the rooms") } else { format!("{first} is under the embers") };
    let rests = match (is_near, about.given.heat.is_some()) {
        (true, true) => format!("heat that melts things reaches {}", distance(asked)),
        (true, false) => format!("inside the public's line of {}", distance(asked)),
        (false, _) => "downwind within 200 ft (60 m): common practice, no source".to_owned(),
    };
    let fix = match (kind, is_downwind) {
        (Kind::Neighbor | Kind::School, _) => "Move the rooms farther away.",
        (_, true) => "Move it, wet it down, or post a fire watch.",
        (_, false) => "Move it away.",
    };
    say("fuel", title, distance(apart), rests, fix)
}

pub(super) fn overhead(about: &About, apart: f64) -> Words {
    let first = about.first();
    let title =
        if about.good() { format!("{first} is far enough") } else { format!("{first} is too close to the rooms") };
    say(
        "overhead",
        title,
        distance(apart),
        "within 50 ft (15 m) flame and smoke reach it: common practice, no source",
        about.fix("Move the rooms, or have the utility shut it off."),
    )
}

pub(super) fn on_room_b(about: &About, flux: f64, apart: f64, is_shielded: bool) -> Words {
    let title = if about.good() { "Room A's heat on room B is low" } else { "Room A can scorch room B" };
    let shield = if is_shielded { "; the shield isn't counted" } else { "" };
    let rests = format!(
        "the flame {} away{shield}; curtains may catch at about 10 kW/m²: common practice, no source",
        distance(apart)
    );
    say(
        "on room B",
        title,
        format!("{flux:.1} kW/m² ({} Btu/(h·ft²))", whole(flux * BTU)),
        rests,
        about.fix("Move the rooms apart, or put a shield between them."),
    )
}

pub(super) fn lane(about: &About, blocked: bool, width: f64) -> Words {
    let first = about.first();
    let others = about.names.get(1..).unwrap_or_default();
    let title = match (blocked, about.good()) {
        (true, _) => format!("{} {} {first}", list(others), if others.len() == 1 { "blocks" } else { "block" }),
        (false, true) => format!("{first} is open"),
        (false, false) => format!("{first} is narrow"),
    };
    say(
        "lane",
        title,
        format!("{:.0} ft ({width:.1} m)", width / FOOT),
        "20 ft (6.1 m) clear: IFC 503.2.1; check your edition",
        about.fix("Keep it free to the full width."),
    )
}

pub(super) fn escort(about: &About, nearest: f64, asked: f64) -> Words {
    let title = if about.good() {
        "The press escort path keeps its distance"
    } else {
        "The press escort path is too close to the fire"
    };
    say(
        "escort",
        title,
        distance(nearest),
        format!("the estimate asks for {} with an escort", distance(asked)),
        about.fix("Lead the path farther out."),
    )
}

pub(super) fn hose_short(about: &About, drawn: f64, hose: f64) -> Words {
    let first = about.first();
    say(
        "hose",
        format!("{first} is longer than the hose"),
        distance(drawn),
        format!("the estimate has {} of hose", distance(hose)),
        "Park nearer, or add a length.",
    )
}

pub(super) fn hose_in_crowd(about: &About) -> Words {
    let first = about.first();
    say(
        "hose in crowd",
        format!("{first} runs through the crowd"),
        "",
        "people trip, and a charged line moves",
        "Lead it around the crowd.",
    )
}
