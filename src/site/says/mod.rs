//! Findings in words: what it is, its number, what it rests on, and what would fix it.

mod ground;
mod people;
mod senses;
mod weather;
mod words;

use super::drawn::Drawn;
use super::plan::Plan;
use super::said::Shown;
use crate::calc::site::checks::{Finding, Given, Grade, What};
use words::{About, Words};

pub(super) fn shown(finding: &Finding, plan: &Plan, given: &Given) -> Shown {
    let name = |id: &u32| plan.find(*id).map(Drawn::called).unwrap_or_default();
    let names: Vec<String> = finding.items.iter().map(name).collect();
    let about = About { grade: finding.grade, names: &names, given };
    let Words { mark, title, number, rests_on, fix } = worded(&finding.what, &about);
    Shown {
        key: key(mark, finding),
        grade: finding.grade,
        title,
        number,
        rests_on,
        fix,
        items: finding.items.clone(),
        badness: finding.badness,
        accepted: None,
    }
}

/// What tells a finding from all others, and from the same one grown worse.
fn key(mark: &str, finding: &Finding) -> String {
    let ids: Vec<String> = finding.items.iter().map(u32::to_string).collect();
    let more = match &finding.what {
        What::Missing(kinds) => kinds.iter().map(|kind| kind.as_str()).collect::<Vec<_>>().join("+"),
        What::Glare { at_end: true, .. } => "at the end".to_owned(),
        // Too quiet and too loud aren't the same, and may both be true.
        What::Speech { first, last, loudest } => {
            let parts = [(first.min(*last) < 10.0, "quiet"), (*loudest > 85.0, "loud")];
            parts.into_iter().filter(|(is_so, _)| *is_so).map(|(_, what)| what).collect::<Vec<_>>().join("+")
        }
        _ => String::new(),
    };
    let grade = if finding.grade == Grade::Look { "look" } else { "" };
    format!("{mark}/{}/{more}/{grade}", ids.join("+"))
}

fn worded(what: &What, about: &About) -> Words {
    match what {
        What::Missing(kinds) => people::missing(kinds),
        What::NoHeat => people::no_heat(),
        What::Line { drawn, asked, is_wind } => people::line(about, *drawn, *asked, *is_wind),
        What::Inside { nearest: None, line } => people::nobody_inside(*line),
        What::Inside { nearest: Some(nearest), line } => people::inside(about, *nearest, *line),
        What::Capacity { fit, people: expected, area } => people::capacity(about, *fit, *expected, *area),
        What::WaysOut { count: gates, width, needed } => people::ways_out(about, *gates, *width, *needed),
        What::WaysApart { apart, half } => people::ways_apart(about, *apart, *half),
        What::Wheelchair { have, asked } => people::wheelchair(about, *have, *asked),
        What::WheelchairView { height } => people::wheelchair_view(about, *height),
        What::Receivers { have, asked, compatible } => people::receivers(about, *have, *asked, *compatible),
        What::Restrooms { have, asked, accessible } => people::restrooms(about, *have, *asked, *accessible),
        What::Parking { fit, cars, accessible } => people::parking(about, *fit, *cars, *accessible),
        What::Sight { rooms: of, row: 1, over, .. } => senses::behind(of, *over),
        What::Sight { rooms: of, row, distance: away, over, floor, rows } => {
            senses::hidden(of, *row, *away, *over, *floor, *rows)
        }
        What::AllSee { over, rows } => senses::all_see(*over, *rows),
        What::NoSpeaker => senses::no_speaker(),
        What::Speech { first, last, loudest } => senses::speech(about, *first, *last, *loudest),
        What::SpeakerByPump { apart, over } => senses::speaker_by_pump(about, *apart, *over),
        What::Interpreter { aside } => senses::interpreter(about, *aside),
        What::Glare { who, at_end, azimuth, height, aside } => weather::glare(*who, *at_end, *azimuth, *height, *aside),
        What::NoGlare { azimuth, height } => weather::no_glare(*azimuth, *height),
        What::Daylight { minutes } => weather::daylight(about, *minutes),
        What::NoPlace => weather::no_place(),
        What::NoWind => weather::no_wind(),
        What::Smoke { kind, inside, to, bearing } => weather::smoke(about, *kind, *inside, *to, *bearing),
        What::NobodyInSmoke { to } => weather::nobody_in_smoke(*to),
        What::Fuel { kind, apart, asked, is_downwind } => ground::fuel(about, *kind, *apart, *asked, *is_downwind),
        What::Overhead { apart } => ground::overhead(about, *apart),
        What::OnRoomB { flux, apart, is_shielded } => ground::on_room_b(about, *flux, *apart, *is_shielded),
        What::Lane { blocked, width } => ground::lane(about, *blocked, *width),
        What::Escort { nearest, asked } => ground::escort(about, *nearest, *asked),
        What::HoseShort { drawn, hose } => ground::hose_short(about, *drawn, *hose),
        What::HoseInCrowd => ground::hose_in_crowd(about),
    }
}
