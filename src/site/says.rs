//! Findings in words: what it is, its number, what it rests on, and what would fix it.

use super::plan::Plan;
use super::store::Accepted;
use super::typed::{at_least, distance, small};
use crate::calc::site::checks::{Finding, Given, Grade, What};
use crate::calc::site::{FOOT, INCH, Kind};
use crate::fire::BTU;
use crate::web::words::{self, capital, count};

/// A finding as a page shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// Names it as long as it is about the same things.
    pub key: String,
    pub grade: Grade,
    pub title: String,
    /// The number with its unit.
    pub number: String,
    pub rests_on: String,
    /// What would fix it; empty if nothing must be.
    pub fix: String,
    pub items: Vec<u32>,
    pub badness: f64,
    pub accepted: Option<Accepted>,
}

impl Shown {
    /// Does someone have to settle or accept it?
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.grade <= Grade::Look && self.accepted.is_none()
    }

    /// May the safety officer accept it?
    #[must_use]
    pub fn can_be_accepted(&self) -> bool {
        self.grade <= Grade::Look
    }

    /// For scripts and tests.
    #[must_use]
    pub fn mark(&self) -> &'static str {
        match (self.grade, &self.accepted) {
            (Grade::Wrong | Grade::Look, Some(_)) => "accepted",
            (Grade::Wrong, None) => "wrong",
            (Grade::Look, None) => "look",
            (Grade::Unknown, _) => "unknown",
            (Grade::Good, _) => "good",
        }
    }

    /// For those who can't see its sign.
    #[must_use]
    pub fn sign(&self) -> &'static str {
        match self.mark() {
            "accepted" => "Accepted",
            "wrong" => "To fix",
            "look" => "To check",
            "unknown" => "Can't be checked yet",
            _ => "Fine",
        }
    }
}

/// Title, number, what it rests on, and what would fix it.
struct Says(String, String, String, String);

fn says(
    title: impl Into<String>,
    number: impl Into<String>,
    rests_on: impl Into<String>,
    fix: impl Into<String>,
) -> Says {
    Says(title.into(), number.into(), rests_on.into(), fix.into())
}

fn whole(value: f64) -> String {
    format!("{value:.0}").replace('-', "−")
}

fn people(number: u32) -> String {
    words::grouped(usize::try_from(number).unwrap_or(usize::MAX))
}

fn some(number: u32, one: &str, many: &str) -> String {
    count(usize::try_from(number).unwrap_or(usize::MAX), one, many)
}

fn decibels(value: f64) -> String {
    format!("{} dB", whole(value))
}

pub(super) fn shown(finding: &Finding, plan: &Plan, given: &Given) -> Shown {
    let name = |id: &u32| plan.find(*id).map(super::plan::Drawn::called).unwrap_or_default();
    let names: Vec<String> = finding.items.iter().map(name).collect();
    let (mark, Says(title, number, rests_on, fix)) = worded(&finding.what, finding.grade, &names, given);
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

#[expect(clippy::too_many_lines, reason = "one short arm for each kind of finding")]
fn worded(what: &What, grade: Grade, names: &[String], given: &Given) -> (&'static str, Says) {
    let good = grade == Grade::Good;
    let fix_if = |text: &str| if good { String::new() } else { text.to_owned() };
    let first = names.first().map_or("It", String::as_str);
    match what {
        What::Missing(kinds) => {
            let list: Vec<&str> = kinds.iter().map(|kind| kind.as_str()).collect();
            let title = format!("Not on the drawing yet: {}", list.join(", "));
            (
                "missing",
                says(
                    title,
                    list.len().to_string(),
                    "what a burn like this usually has",
                    "Add them, or accept that there are none.",
                ),
            )
        }
        What::NoHeat => (
            "no heat",
            says(
                "No fire estimate is pinned",
                "",
                "the public's line needs the heat of your rooms",
                "Pin one under The fire.",
            ),
        ),
        What::Line { drawn, asked, is_wind } => {
            let title = match (good, is_wind) {
                (true, _) => "The public's line is beyond the heat",
                (false, true) => "The public's line is too close if the wind turns toward the crowd",
                (false, false) => "The public's line is too close",
            };
            let rests = format!("the pinned fire estimate calls for {} or more", at_least(*asked));
            ("line", says(title, distance(*drawn), rests, fix_if(&format!("Move the line to {}.", at_least(*asked)))))
        }
        What::Inside { nearest: None, line } => {
            ("inside", says("No public place is inside the line", distance(*line), "measured from the room fronts", ""))
        }
        What::Inside { nearest: Some(nearest), line } => {
            let verb = if names.len() == 1 { "is" } else { "are" };
            let title = format!("{} {verb} inside the public's line", list(names));
            let rests = format!("away from the room fronts; the line is {}", distance(*line));
            ("inside", says(title, distance(*nearest), rests, format!("Move it back by {}.", at_least(line - nearest))))
        }
        What::Capacity { fit, people: expected, area } => {
            let title = format!("{} people fit", people(*fit));
            let title = if *expected > *fit { format!("Only {} people fit", people(*fit)) } else { title };
            let rests = format!(
                "{} ft² ({} m²) less aisles; {} expected",
                words::grouped(square_feet(*area)),
                whole(*area),
                people(*expected)
            );
            let fix = fix_if("Draw more ground for the crowd, or let fewer people in.");
            ("capacity", says(title, format!("{} of {}", people(*expected), people(*fit)), rests, fix))
        }
        What::WaysOut { count: gates, width, needed } => {
            let title = match (gates, width < needed, grade) {
                (0, ..) => "There is no way out".to_owned(),
                (1, ..) => "There is only one way out".to_owned(),
                (_, true, _) => "The ways out are too narrow".to_owned(),
                (number, _, Grade::Look) => format!("Only {} ways out", words_for(*number).to_lowercase()),
                (number, ..) => format!("{} ways out", words_for(*number)),
            };
            let rests = if grade == Grade::Look {
                "three above 500 people, four above 1,000: NFPA 101, 7.4.1.2; check your edition".to_owned()
            } else {
                let inches = (needed / INCH).ceil();
                format!(
                    "your figure calls for {inches:.0} in ({needed:.1} m) in all for {} people",
                    people(given.people)
                )
            };
            let fix = fix_if("Draw more gates, or wider ones. The code in force decides.");
            ("ways out", says(title, format!("{:.0} ft ({width:.1} m)", width / FOOT), rests, fix))
        }
        What::WaysApart { apart, half } => {
            let title = if good { "The ways out are far apart" } else { "The ways out are close together" };
            let rests = format!("half of the crowd's diagonal is {}; the code in force decides", distance(*half));
            ("ways apart", says(title, distance(*apart), rests, fix_if("Move one gate toward the other end.")))
        }
        What::Wheelchair { have, asked } => {
            let title = if good { "Enough wheelchair spaces" } else { "Too few wheelchair spaces" };
            let rests = format!(
                "{} for {} people (ADA Standards, table 221.2.1.1), a companion seat beside each",
                some(*asked, "space", "spaces"),
                people(given.people)
            );
            (
                "wheelchair",
                says(title, format!("{have} of {asked}"), rests, fix_if("Draw more, in more than one place.")),
            )
        }
        What::WheelchairView { height } => {
            let title = format!("People stand in front of {}", list(names));
            let rests = "eyes 45 in (1.15 m) up, a standing person 5 ft 9 in (1.75 m): common practice, no source";
            let fix =
                format!("Raise the spaces by {:.0} in ({height:.1} m), or move them to the front.", height / INCH);
            ("wheelchair view", says(title, format!("{:.0} in ({height:.1} m)", height / INCH), rests, fix))
        }
        What::Receivers { have, asked, compatible } => {
            let title = if good { "Enough listening receivers" } else { "Too few listening receivers" };
            let rests = format!(
                "{asked} for {} people, {compatible} that work with hearing aids (ADA Standards, table 219.3)",
                people(given.people)
            );
            (
                "receivers",
                says(
                    title,
                    format!("{have} of {asked}"),
                    rests,
                    fix_if("Borrow receivers, and type how many you have."),
                ),
            )
        }
        What::Restrooms { have, asked, accessible } => {
            let title = if good { "Enough restrooms" } else { "Too few restrooms" };
            let rests = format!("your figure; {accessible} or more accessible (ADA Standards, 213.2)");
            (
                "restrooms",
                says(title, format!("{have} of {asked}"), rests, fix_if("Order more; your city's figure counts.")),
            )
        }
        What::Parking { fit, cars, accessible } => {
            let title = if good { "Enough parking" } else { "Too little parking" };
            let rests = format!(
                "150 cars an acre, 92% full (FHWA); {accessible} or more accessible stalls (ADA Standards, table 208.2)"
            );
            (
                "parking",
                says(
                    title,
                    format!("{} of {}", people(*cars), people(*fit)),
                    rests,
                    fix_if("Find more ground, or run a shuttle."),
                ),
            )
        }
        What::Sight { rooms: of, row: 1, over, .. } => {
            let title = format!("Part of the crowd is behind the front of {}", which(of));
            (
                "sight",
                says(
                    title,
                    distance(-over),
                    "nobody sees into a room from behind its front",
                    "Move the crowd, or turn the rooms.",
                ),
            )
        }
        What::Sight { rooms: of, row, distance: away, over, floor, rows } => {
            let title = format!("Row {row} can't see {}", which(of));
            let rests = format!("over the row in front; it needs 2.4 in (60 mm). {} drawn", some(*rows, "row", "rows"));
            let end = format!("end the crowd {} from the rooms", distance(*away));
            let fix = if *floor > 3.0 {
                format!("Let people sit, or {end}. The room floors would have to be {} up.", at_least(*floor))
            } else {
                let feet = (floor / FOOT * 10.0).ceil() / 10.0;
                format!("Raise the room floors to {feet:.1} ft ({:.1} m), or {end}.", feet * FOOT)
            };
            ("sight", says(title, small(*over), rests, fix))
        }
        What::AllSee { over, rows } => {
            let number = if over.is_finite() { small(*over) } else { String::new() };
            let rests =
                format!("the last of {} over the row in front; it needs 2.4 in (60 mm)", some(*rows, "row", "rows"));
            ("sight", says("Every row sees", number, rests, ""))
        }
        What::NoSpeaker => (
            "no speaker",
            says(
                "No speaker is drawn",
                "",
                "a voice alone carries to the second row",
                "Add the speakers, with their level.",
            ),
        ),
        What::Speech { first, last, loudest } => {
            let least = first.min(*last);
            let over = format!(
                "over crowd and pumps: {} in front, {} farther back; 10 to 15 dB wanted",
                decibels(*first),
                decibels(*last)
            );
            if !good && least >= 10.0 {
                let rests = "somewhere in the crowd; keep it under 85 dBA (NIOSH)";
                let fix = "Turn the speakers down, or move them away from the crowd.";
                ("speech", says("The speakers are too loud", format!("{loudest:.1} dBA"), rests, fix))
            } else {
                let title = if good { "Speech is loud enough" } else { "Speech is too quiet somewhere" };
                let fix = "Add a speaker or move a pump. Then listen from the last row: that is the real test.";
                ("speech", says(title, decibels(least), over, fix_if(fix)))
            }
        }
        What::SpeakerByPump { apart, over } => {
            let title = format!("{first} is beside a pump");
            let rests = format!("where people listen, its speech is {} over the pump", decibels(*over));
            (
                "speaker by pump",
                says(
                    title,
                    distance(*apart),
                    rests,
                    "Move one of them 30 ft (9 m) or more. Then listen from the last row.",
                ),
            )
        }
        What::Interpreter { aside } => {
            let title =
                if good { "The interpreter is in line with the rooms" } else { "The interpreter is too far aside" };
            (
                "interpreter",
                says(
                    title,
                    format!("{}°", whole(*aside)),
                    "as the middle of the crowd sees it; up to 30°, common practice, no source",
                    fix_if("Move the interpreter toward the rooms."),
                ),
            )
        }
        What::Glare { who, at_end, azimuth, height, aside } => {
            let when = if *at_end { "at the end of overhaul" } else { "when room A is lit" };
            let title =
                format!("{} looks into the sun {when}", if *who == Kind::Press { "The press" } else { "The crowd" });
            let rests = format!(
                "sun at {}°, {}° up; within 30° of where they look: common practice, no source",
                whole(*azimuth),
                whole(*height)
            );
            ("glare", says(title, format!("{}°", whole(*aside)), rests, "Turn the rooms, or burn at another hour."))
        }
        What::NoGlare { azimuth, height } => {
            let title = if *height > 0.0 { "No one looks into the sun" } else { "The sun is down" };
            (
                "no glare",
                says(
                    title,
                    format!("{}° up", whole(*height)),
                    format!("at {}° when room A is lit", whole(*azimuth)),
                    "",
                ),
            )
        }
        What::Daylight { minutes } => {
            let title = if good {
                "Daylight lasts"
            } else if *minutes < 0 {
                "The sun sets before the end"
            } else {
                "Little daylight is left"
            };
            let rests = "from the end of overhaul to sunset; 30 min or more is common practice, no source";
            (
                "daylight",
                says(
                    title,
                    format!("{minutes} min").replace('-', "−"),
                    rests,
                    fix_if("Start earlier, or bring lights."),
                ),
            )
        }
        What::NoPlace => (
            "no place",
            says(
                "The sun isn't checked",
                "",
                "the event has no latitude and longitude",
                "Enter them under Edit event.",
            ),
        ),
        What::NoWind => (
            "no wind",
            says(
                "The smoke isn't checked",
                "",
                "no wind is entered",
                "Enter where the wind usually comes from under Check settings.",
            ),
        ),
        What::Smoke { kind, inside, to, bearing } => {
            let verb = if matches!(kind, Kind::Wheelchair | Kind::Press | Kind::Crowd | Kind::Quiet) {
                "is in the smoke"
            } else {
                "is downwind"
            };
            let title = format!("{first} {verb}");
            let rests = format!(
                "smoke blows toward {}°; anything within 45° is flagged, and this is at {}°",
                whole(*to),
                whole(*bearing)
            );
            let fix = if matches!(kind, Kind::Road | Kind::Neighbor | Kind::School) {
                "Tell them, or wait for the wind to shift."
            } else {
                "Move it out of the smoke, or wait for the wind to shift."
            };
            ("smoke", says(title, format!("{}° inside", whole(*inside)), rests, fix))
        }
        What::NobodyInSmoke { to } => (
            "smoke",
            says(
                "No one is in the smoke",
                format!("{}°", whole(*to)),
                "with the wind you entered, 45° to either side",
                "",
            ),
        ),
        What::Fuel { kind, apart, asked, is_downwind } => {
            let is_near = apart < asked;
            let title = if is_near {
                format!("{first} is too close to the rooms")
            } else {
                format!("{first} is under the embers")
            };
            let rests = match (is_near, given.heat.is_some()) {
                (true, true) => format!("heat that melts things reaches {}", distance(*asked)),
                (true, false) => format!("inside the public's line of {}", distance(*asked)),
                (false, _) => "downwind within 200 ft (60 m): common practice, no source".to_owned(),
            };
            let fix = match (kind, is_downwind) {
                (Kind::Neighbor | Kind::School, _) => "Move the rooms farther away.",
                (_, true) => "Move it, wet it down, or post a fire watch.",
                (_, false) => "Move it away.",
            };
            ("fuel", says(title, distance(*apart), rests, fix))
        }
        What::Overhead { apart } => {
            let title =
                if good { format!("{first} is far enough") } else { format!("{first} is too close to the rooms") };
            (
                "overhead",
                says(
                    title,
                    distance(*apart),
                    "within 50 ft (15 m) flame and smoke reach it: common practice, no source",
                    fix_if("Move the rooms, or have the utility shut it off."),
                ),
            )
        }
        What::OnRoomB { flux, apart, is_shielded } => {
            let title = if good { "Room A's heat on room B is low" } else { "Room A can scorch room B" };
            let shield = if *is_shielded { "; the shield isn't counted" } else { "" };
            let rests = format!(
                "the flame {} away{shield}; curtains may catch at about 10 kW/m²: common practice, no source",
                distance(*apart)
            );
            (
                "on room B",
                says(
                    title,
                    format!("{flux:.1} kW/m² ({} Btu/(h·ft²))", whole(flux * BTU)),
                    rests,
                    fix_if("Move the rooms apart, or put a shield between them."),
                ),
            )
        }
        What::Lane { blocked, width } => {
            let others = names.get(1..).unwrap_or_default();
            let title = match (blocked, good) {
                (true, _) => format!("{} {} {first}", list(others), if others.len() == 1 { "blocks" } else { "block" }),
                (false, true) => format!("{first} is open"),
                (false, false) => format!("{first} is narrow"),
            };
            (
                "lane",
                says(
                    title,
                    format!("{:.0} ft ({width:.1} m)", width / FOOT),
                    "20 ft (6.1 m) clear: IFC 503.2.1; check your edition",
                    fix_if("Keep it free to the full width."),
                ),
            )
        }
        What::Escort { nearest, asked } => {
            let title = if good {
                "The press escort path keeps its distance"
            } else {
                "The press escort path is too close to the fire"
            };
            (
                "escort",
                says(
                    title,
                    distance(*nearest),
                    format!("the estimate asks for {} with an escort", distance(*asked)),
                    fix_if("Lead the path farther out."),
                ),
            )
        }
        What::HoseShort { drawn, hose } => (
            "hose",
            says(
                format!("{first} is longer than the hose"),
                distance(*drawn),
                format!("the estimate has {} of hose", distance(*hose)),
                "Park nearer, or add a length.",
            ),
        ),
        What::HoseInCrowd => (
            "hose in crowd",
            says(
                format!("{first} runs through the crowd"),
                "",
                "people trip, and a charged line moves",
                "Lead it around the crowd.",
            ),
        ),
    }
}

fn which(rooms: &[Kind]) -> &'static str {
    match rooms {
        [only] => only.as_str(),
        _ => "the rooms",
    }
}

fn square_feet(area: f64) -> usize {
    format!("{:.0}", (area / (FOOT * FOOT)).max(0.0)).parse().unwrap_or(0)
}

fn words_for(number: u32) -> String {
    match number {
        2 => "Two".to_owned(),
        3 => "Three".to_owned(),
        4 => "Four".to_owned(),
        more => more.to_string(),
    }
}

/// As the beginning of a sentence.
fn list(names: &[String]) -> String {
    capital(&words::and(names))
}
