//! What people see and hear.

use super::words::{About, Words, decibels, say, some, which, whole};
use crate::calc::site::{FOOT, Kind};
use crate::site::typed::{at_least, distance, small};

pub(super) fn behind(of: &[Kind], over: f64) -> Words {
    let title = format!("Part of the crowd is behind the front of {}", which(of));
    say(
        "sight",
        title,
        distance(-over),
        "nobody sees into a room from behind its front",
        "Move the crowd, or turn the rooms.",
    )
}

pub(super) fn hidden(of: &[Kind], row: u32, away: f64, over: f64, floor: f64, rows: u32) -> Words {
    let title = format!("Row {row} can't see {}", which(of));
    let rests = format!("over the row in front; it needs 2.4 in (60 mm). {} drawn", some(rows, "row", "rows"));
    let end = format!("end the crowd {} from the rooms", distance(away));
    let fix = if floor > 3.0 {
        format!("Let people sit, or {end}. The room floors would have to be {} up.", at_least(floor))
    } else {
        let feet = (floor / FOOT * 10.0).ceil() / 10.0;
        format!("Raise the room floors to {feet:.1} ft ({:.1} m), or {end}.", feet * FOOT)
    };
    say("sight", title, small(over), rests, fix)
}

pub(super) fn all_see(over: f64, rows: u32) -> Words {
    let number = if over.is_finite() { small(over) } else { String::new() };
    let rests = format!("the last of {} over the row in front; it needs 2.4 in (60 mm)", some(rows, "row", "rows"));
    say("sight", "Every row sees", number, rests, "")
}

pub(super) fn no_speaker() -> Words {
    say(
        "no speaker",
        "No speaker is drawn",
        "",
        "a voice alone carries to the second row",
        "Add the speakers, with their level.",
    )
}

pub(super) fn speech(about: &About, nearer: f64, farther: f64, loudest: f64) -> Words {
    let least = nearer.min(farther);
    let over = format!(
        "over crowd and pumps: {} in front, {} farther back; 10 to 15 dB wanted",
        decibels(nearer),
        decibels(farther)
    );
    if !about.good() && least >= 10.0 {
        let rests = "somewhere in the crowd; keep it under 85 dBA (NIOSH)";
        let fix = "Turn the speakers down, or move them away from the crowd.";
        say("speech", "The speakers are too loud", format!("{loudest:.1} dBA"), rests, fix)
    } else {
        let title = if about.good() { "Speech is loud enough" } else { "Speech is too quiet somewhere" };
        let fix = "Add a speaker or move a pump. Then listen from the last row: that is the real test.";
        say("speech", title, decibels(least), over, about.fix(fix))
    }
}

pub(super) fn speaker_by_pump(about: &About, apart: f64, over: f64) -> Words {
    let first = about.first();
    let title = format!("{first} is beside a pump");
    let rests = format!("where people listen, its speech is {} over the pump", decibels(over));
    say(
        "speaker by pump",
        title,
        distance(apart),
        rests,
        "Move one of them 30 ft (9 m) or more. Then listen from the last row.",
    )
}

pub(super) fn interpreter(about: &About, aside: f64) -> Words {
    let title =
        if about.good() { "The interpreter is in line with the rooms" } else { "The interpreter is too far aside" };
    say(
        "interpreter",
        title,
        format!("{}°", whole(aside)),
        "as the middle of the crowd sees it; up to 30°, common practice, no source",
        about.fix("Move the interpreter toward the rooms."),
    )
}
