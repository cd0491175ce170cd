//! Whether everyone who comes has room, and keeps their distance.

use super::words::{About, Words, list, people, say, some, square_feet, whole, words_for};
use crate::calc::site::{FOOT, Grade, INCH, Kind};
use crate::site::typed::{at_least, distance};
use crate::web::words::grouped;

pub(super) fn missing(kinds: &[Kind]) -> Words {
    let list: Vec<&str> = kinds.iter().map(|kind| kind.as_str()).collect();
    let title = format!("Not on the drawing yet: {}", list.join(", "));
    say(
        "missing",
        title,
        list.len().to_string(),
        "what a burn like this usually has",
        "Add them, or accept that there are none.",
    )
}

pub(super) fn no_heat() -> Words {
    say(
        "no heat",
        "No fire estimate is pinned",
        "",
        "the public's line needs the heat of your rooms",
        "Pin one under The fire.",
    )
}

pub(super) fn line(about: &About, drawn: f64, asked: f64, is_wind: bool) -> Words {
    let title = match (about.good(), is_wind) {
        (true, _) => "The public's line is beyond the heat",
        (false, true) => "The public's line is too close if the wind turns toward the crowd",
        (false, false) => "The public's line is too close",
    };
    let rests = format!("the pinned fire estimate calls for {} or more", at_least(asked));
    say("line", title, distance(drawn), rests, about.fix(&format!("Move the line to {}.", at_least(asked))))
}

pub(super) fn nobody_inside(line: f64) -> Words {
    say("inside", "No public place is inside the line", distance(line), "measured from the room fronts", "")
}

pub(super) fn inside(about: &About, nearest: f64, line: f64) -> Words {
    let verb = if about.names.len() == 1 { "is" } else { "are" };
    let title = format!("{} {verb} inside the public's line", list(about.names));
    let rests = format!("away from the room fronts; the line is {}", distance(line));
    say("inside", title, distance(nearest), rests, format!("Move it back by {}.", at_least(line - nearest)))
}

pub(super) fn capacity(about: &About, fit: u32, expected: u32, area: f64) -> Words {
    let title = format!("{} people fit", people(fit));
    let title = if expected > fit { format!("Only {} people fit", people(fit)) } else { title };
    let rests =
        format!("{} ft² ({} m²) less aisles; {} expected", grouped(square_feet(area)), whole(area), people(expected));
    let fix = about.fix("Draw more ground for the crowd, or let fewer people in.");
    say("capacity", title, format!("{} of {}", people(expected), people(fit)), rests, fix)
}

pub(super) fn ways_out(about: &About, gates: u32, width: f64, needed: f64) -> Words {
    let title = match (gates, width < needed, about.grade) {
        (0, ..) => "There is no way out".to_owned(),
        (1, ..) => "There is only one way out".to_owned(),
        (_, true, _) => "The ways out are too narrow".to_owned(),
        (number, _, Grade::Look) => format!("Only {} ways out", words_for(number).to_lowercase()),
        (number, ..) => format!("{} ways out", words_for(number)),
    };
    let rests = if about.grade == Grade::Look {
        "three above 500 people, four above 1,000: NFPA 101, 7.4.1.2; check your edition".to_owned()
    } else {
        let inches = (needed / INCH).ceil();
        format!("your figure calls for {inches:.0} in ({needed:.1} m) in all for {} people", people(about.given.people))
    };
    let fix = about.fix("Draw more gates, or wider ones. The code in force decides.");
    say("ways out", title, format!("{:.0} ft ({width:.1} m)", width / FOOT), rests, fix)
}

pub(super) fn ways_apart(about: &About, apart: f64, half: f64) -> Words {
    let title = if about.good() { "The ways out are far apart" } else { "The ways out are close together" };
    let rests = format!("half of the crowd's diagonal is {}; the code in force decides", distance(half));
    say("ways apart", title, distance(apart), rests, about.fix("Move one gate toward the other end."))
}

pub(super) fn wheelchair(about: &About, have: u32, asked: u32) -> Words {
    let title = if about.good() { "Enough wheelchair spaces" } else { "Too few wheelchair spaces" };
    let rests = format!(
        "{} for {} people (ADA Standards, table 221.2.1.1), a companion seat beside each",
        some(asked, "space", "spaces"),
        people(about.given.people)
    );
    say("wheelchair", title, format!("{have} of {asked}"), rests, about.fix("Draw more, in more than one place."))
}

pub(super) fn wheelchair_view(about: &About, height: f64) -> Words {
    let title = format!("People stand in front of {}", list(about.names));
    let rests = "eyes 45 in (1.15 m) up, a standing person 5 ft 9 in (1.75 m): common practice, no source";
    let fix = format!("Raise the spaces by {:.0} in ({height:.1} m), or move them to the front.", height / INCH);
    say("wheelchair view", title, format!("{:.0} in ({height:.1} m)", height / INCH), rests, fix)
}

pub(super) fn receivers(about: &About, have: u32, asked: u32, compatible: u32) -> Words {
    let title = if about.good() { "Enough listening receivers" } else { "Too few listening receivers" };
    let rests = format!(
        "{asked} for {} people, {compatible} that work with hearing aids (ADA Standards, table 219.3)",
        people(about.given.people)
    );
    say(
        "receivers",
        title,
        format!("{have} of {asked}"),
        rests,
        about.fix("Borrow receivers, and type how many you have."),
    )
}

pub(super) fn restrooms(about: &About, have: u32, asked: u32, accessible: u32) -> Words {
    let title = if about.good() { "Enough restrooms" } else { "Too few restrooms" };
    let rests = format!("your figure; {accessible} or more accessible (ADA Standards, 213.2)");
    say("restrooms", title, format!("{have} of {asked}"), rests, about.fix("Order more; your city's figure counts."))
}

pub(super) fn parking(about: &About, fit: u32, cars: u32, accessible: u32) -> Words {
    let title = if about.good() { "Enough parking" } else { "Too little parking" };
    let rests = format!(
        "150 cars an acre, 92% full (FHWA); {accessible} or more accessible stalls (ADA Standards, table 208.2)"
    );
    say(
        "parking",
        title,
        format!("{} of {}", people(cars), people(fit)),
        rests,
        about.fix("Find more ground, or run a shuttle."),
    )
}
