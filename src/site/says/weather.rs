//! Sun, daylight, and smoke.

use super::words::{About, Words, say, whole};
use crate::calc::site::Kind;

pub(super) fn glare(who: Kind, at_end: bool, azimuth: f64, height: f64, aside: f64) -> Words {
    let when = if at_end { "at the end of overhaul" } else { "when room A is lit" };
    let title = format!("{} looks into the sun {when}", if who == Kind::Press { "The press" } else { "The crowd" });
    let rests = format!(
        "sun at {}°, {}° up; within 30° of where they look: common practice, no source",
        whole(azimuth),
        whole(height)
    );
    say("glare", title, format!("{}°", whole(aside)), rests, "Turn the rooms, or burn at another hour.")
}

pub(super) fn no_glare(azimuth: f64, height: f64) -> Words {
    let title = if height > 0.0 { "No one looks into the sun" } else { "The sun is down" };
    say("no glare", title, format!("{}° up", whole(height)), format!("at {}° when room A is lit", whole(azimuth)), "")
}

pub(super) fn daylight(about: &About, minutes: i64) -> Words {
    let title = if about.good() {
        "Daylight lasts"
    } else if minutes < 0 {
        "The sun sets before the end"
    } else {
        "Little daylight is left"
    };
    let rests = "from the end of overhaul to sunset; 30 min or more is common practice, no source";
    say(
        "daylight",
        title,
        format!("{minutes} min").replace('-', "−"),
        rests,
        about.fix("Start earlier, or bring lights."),
    )
}

pub(super) fn no_place() -> Words {
    say(
        "no place",
        "The sun isn't checked",
        "",
        "the event has no latitude and longitude",
        "Enter them under Edit event.",
    )
}

pub(super) fn no_wind() -> Words {
    say(
        "no wind",
        "The smoke isn't checked",
        "",
        "no wind is entered",
        "Enter where the wind usually comes from under Check settings.",
    )
}

pub(super) fn smoke(about: &About, kind: Kind, inside: f64, to: f64, bearing: f64) -> Words {
    let first = about.first();
    let verb = if matches!(kind, Kind::Wheelchair | Kind::Press | Kind::Crowd | Kind::Quiet) {
        "is in the smoke"
    } else {
        "is downwind"
    };
    let title = format!("{first} {verb}");
    let rests = format!(
        "smoke blows toward {}°; anything within 45° is flagged, and this is at {}°",
        whole(to),
        whole(bearing)
    );
    let fix = if matches!(kind, Kind::Road | Kind::Neighbor | Kind::School) {
        "Tell them, or wait for the wind to shift."
    } else {
        "Move it out of the smoke, or wait for the wind to shift."
    };
    say("smoke", title, format!("{}° inside", whole(inside)), rests, fix)
}

pub(super) fn nobody_in_smoke(to: f64) -> Words {
    say(
        "smoke",
        "No one is in the smoke",
        format!("{}°", whole(to)),
        "with the wind you entered, 45° to either side",
        "",
    )
}
