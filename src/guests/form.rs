//! What is typed about a guest, and what it means.

use super::{Details, Gives, Habits, Level, Side};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// What is decided about a guest, as it is typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct GuestForm {
    pub side: String,
    pub level: String,
    pub office: String,
    pub sponsor_level: String,
    pub address: String,
    /// `yes`, `no`, or nothing if the jurisdiction tells it.
    pub in_own: String,
    pub since: String,
    pub former: String,
    pub chaser: String,
    pub minutes: String,
    pub gives: String,
    pub least: String,
    pub priority: String,
    pub microphone: String,
    pub met_by: String,
    pub seat: String,
    pub arrives: String,
    pub parking: String,
    pub clothing: String,
    pub press: String,
    pub also_comes: String,
    pub version: i64,
}

/// The fields that are a line of text: name, label, help.
pub(super) const LINES: [(&str, &str, &str); 8] = [
    ("microphone", "Microphone", "As in “hand-held, at the lectern”."),
    ("met_by", "Met at the door by", "Name and phone number."),
    ("seat", "Seat", "Which one, and next to whom."),
    ("arrives", "Arrives", "A time, as in 09:20. Without one it is 30 minutes before ignition."),
    ("parking", "Parking", ""),
    ("clothing", "Clothing", "Flat shoes, a warm coat."),
    ("press", "Press", "Who is expected, and whether they want to be asked."),
    ("also_comes", "Who else comes", "Companions have no place of their own in the order."),
];

/// Whether an office is in its own jurisdiction, to choose from.
pub(super) const OWN: [(&str, &str); 3] = [("", "by jurisdiction"), ("yes", "yes, by hand"), ("no", "no, by hand")];

/// Longest time for words of one's own, in minutes.
const MOST_MINUTES: f64 = 60.0;

/// "2", "1:30", or nothing.
pub(super) fn as_minutes(seconds: u32) -> String {
    match (seconds / 60, seconds % 60) {
        (0, 0) => String::new(),
        (minutes, 0) => minutes.to_string(),
        (minutes, rest) => format!("{minutes}:{rest:02}"),
    }
}

/// Minutes as they are typed, in seconds: "2", "1.5", "1:30", or nothing.
///
/// # Errors
/// What to tell the person who typed it.
pub(super) fn minutes(text: &str) -> Result<u32, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(0);
    }
    let wrong = || "Give minutes from 0 to 60, as in 2, 1.5 or 1:30.".to_owned();
    if let Some((minutes, rest)) = text.split_once(':') {
        let whole: u32 = form::number(minutes, 0, 59).map_err(|_| wrong())?;
        let rest: u32 = form::number(rest, 0, 59).map_err(|_| wrong())?;
        return Ok(whole * 60 + rest);
    }
    let minutes: f64 = text.parse().map_err(|_| wrong())?;
    if !(0.0..=MOST_MINUTES).contains(&minutes) {
        return Err(wrong());
    }
    // In range, so that nothing is cut off.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 3600")]
    Ok((minutes * 60.0).round() as u32)
}

/// A year or a day, or nothing.
fn since(text: &str) -> Result<String, String> {
    let text = text.trim();
    let is_year = text.len() == 4 && text.parse::<i32>().is_ok_and(|year| form::YEARS.contains(&year) || year > 1900);
    if text.is_empty() || is_year || form::day(text).is_ok() {
        Ok(text.to_owned())
    } else {
        Err("Give a year, as in 2019, or a day, as in 2019-01-15.".to_owned())
    }
}

impl GuestForm {
    pub fn of(details: &Details, version: i64) -> Self {
        let number = |id: Option<i64>| id.map(|id| id.to_string()).unwrap_or_default();
        Self {
            side: details.side.to_string(),
            level: details.level.to_string(),
            office: number(details.office),
            sponsor_level: number(details.sponsor_level),
            address: details.address.clone(),
            in_own: match details.in_own {
                Some(true) => "yes",
                Some(false) => "no",
                None => "",
            }
            .to_owned(),
            since: details.since.clone(),
            former: if details.is_former { "yes" } else { "" }.to_owned(),
            chaser: number(details.chaser),
            minutes: as_minutes(details.seconds),
            gives: details.gives.to_string(),
            least: as_minutes(details.least),
            priority: details.priority.to_string(),
            microphone: details.microphone.clone(),
            met_by: details.met_by.clone(),
            seat: details.seat.clone(),
            arrives: details.arrives.clone(),
            parking: details.parking.clone(),
            clothing: details.clothing.clone(),
            press: details.press.clone(),
            also_comes: details.also_comes.clone(),
            version,
        }
    }

    pub fn line(&self, name: &str) -> &str {
        match name {
            "microphone" => &self.microphone,
            "met_by" => &self.met_by,
            "seat" => &self.seat,
            "arrives" => &self.arrives,
            "parking" => &self.parking,
            "clothing" => &self.clothing,
            "press" => &self.press,
            _ => &self.also_comes,
        }
    }

    /// Reads it; `chasers` are the people who may be named.
    pub fn read(&self, habits: &Habits, chasers: &[i64]) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let side = mistakes.note("side", self.side.parse::<Side>());
        let office = one_of(&self.office, habits.offices.iter().map(|office| office.id));
        let office = mistakes.note("office", office.ok_or("Choose an office of the list.".to_owned()));
        let sponsor = one_of(&self.sponsor_level, habits.levels.iter().map(|level| level.id));
        let sponsor = mistakes.note("sponsor_level", sponsor.ok_or("Choose a level of the list.".to_owned()));
        let chaser = one_of(&self.chaser, chasers.iter().copied());
        let chaser = mistakes.note("chaser", chaser.ok_or("Choose somebody who signs in here.".to_owned()));
        let level = mistakes.note("level", self.level.parse::<Level>());
        if let (Some(side), Some(level)) = (side, level)
            && (side == Side::Official) == (level == Level::Sponsor)
        {
            mistakes.add("level", "Sponsors and partners have the level “sponsor”, officials another one.");
        }
        let since = mistakes.note("since", since(&self.since));
        let seconds = mistakes.note("minutes", minutes(&self.minutes));
        let gives = mistakes.note("gives", self.gives.parse::<Gives>());
        let least = mistakes.note("least", minutes(&self.least));
        let priority = mistakes.note("priority", form::number(&self.priority, 1u8, 9));
        let address = mistakes.note("address", form::optional_line(&self.address, 40));
        let mut lines = Vec::new();
        for (name, ..) in LINES {
            let read = form::optional_line(self.line(name), 200);
            let read = if name == "arrives" { read.and_then(arrives) } else { read };
            lines.extend(mistakes.note(name, read));
        }
        let numbers = seconds.zip(least).zip(priority.zip(gives));
        let texts = since.zip(address).zip(<[String; 8]>::try_from(lines).ok());
        let chosen = side.zip(level).zip(office.zip(sponsor)).zip(chaser);
        match (numbers, texts, chosen, mistakes.is_empty()) {
            (
                Some(((seconds, least), (priority, gives))),
                Some(((since, address), [microphone, met_by, seat, arrives, parking, clothing, press, also_comes])),
                Some((((side, level), (office, sponsor_level)), chaser)),
                true,
            ) => Ok(Details {
                side,
                level,
                office: office.filter(|_| side == Side::Official),
                sponsor_level: sponsor_level.filter(|_| side == Side::Sponsor),
                address,
                in_own: match self.in_own.as_str() {
                    "yes" => Some(true),
                    "no" => Some(false),
                    _ => None,
                },
                since,
                is_former: self.former == "yes",
                chaser,
                seconds,
                gives,
                least: least.min(seconds),
                priority,
                microphone,
                met_by,
                seat,
                arrives,
                parking,
                clothing,
                press,
                also_comes,
            }),
            _ => Err(mistakes),
        }
    }
}

fn arrives(text: String) -> Result<String, String> {
    if text.is_empty() { Ok(text) } else { form::time_of_day(&text).map(crate::web::words::clock) }
}

/// None if something was chosen that isn't there; nothing is fine.
#[expect(clippy::option_option, reason = "nothing chosen is not the same as chosen wrong")]
fn one_of(text: &str, mut known: impl Iterator<Item = i64>) -> Option<Option<i64>> {
    if text.is_empty() {
        return Some(None);
    }
    let id = text.parse().ok()?;
    known.any(|other| other == id).then_some(Some(id))
}

/// What is typed to add guests.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct NewForm {
    pub side: String,
    pub sponsor_level: String,
    pub chaser: String,
    /// People who are known.
    pub person: Vec<i64>,
    /// Somebody who isn't.
    pub name: String,
    pub office: String,
    pub jurisdiction: String,
    pub organisation: String,
    pub mail: String,
}

/// Guests to add, read.
#[derive(Debug, Clone)]
pub(super) struct New {
    pub side: Side,
    pub sponsor_level: Option<i64>,
    pub chaser: Option<i64>,
    pub people: Vec<i64>,
    pub fresh: Option<crate::people::Details>,
}

impl NewForm {
    pub fn read(&self, habits: &Habits, chasers: &[i64]) -> Result<New, Mistakes> {
        let mut mistakes = Mistakes::default();
        let side = mistakes.note("side", self.side.parse::<Side>());
        let sponsor = one_of(&self.sponsor_level, habits.levels.iter().map(|level| level.id));
        let sponsor = mistakes.note("sponsor_level", sponsor.ok_or("Choose a level of the list.".to_owned()));
        let chaser = one_of(&self.chaser, chasers.iter().copied());
        let chaser = mistakes.note("chaser", chaser.ok_or("Choose somebody who signs in here.".to_owned()));
        let name = mistakes.note("name", form::optional_name(&self.name, 100)).unwrap_or_default();
        let office = mistakes.note("office", form::optional_line(&self.office, 100)).unwrap_or_default();
        let jurisdiction = mistakes.note("jurisdiction", form::optional_line(&self.jurisdiction, 100));
        let organisation = mistakes.note("organisation", form::optional_line(&self.organisation, 100));
        let mail = if self.mail.trim().is_empty() { Ok(String::new()) } else { form::mail(&self.mail) };
        let mail = mistakes.note("mail", mail);
        if self.person.is_empty() && name.is_empty() {
            mistakes.add("person", "Tick at least one person, or type the name of somebody new.");
        }
        if name.is_empty() && [&self.office, &self.jurisdiction, &self.mail].iter().any(|text| !text.trim().is_empty())
        {
            mistakes.add("name", "Give the name too.");
        }
        let rest = jurisdiction.zip(organisation).zip(mail);
        match (side, sponsor.zip(chaser), rest, mistakes.is_empty()) {
            (Some(side), Some((sponsor_level, chaser)), Some(((jurisdiction, organisation), mail)), true) => {
                let fresh = (!name.is_empty()).then(|| crate::people::Details {
                    organisation,
                    office,
                    jurisdiction,
                    mail,
                    ..crate::people::Details::of_name(&name)
                });
                let sponsor_level = sponsor_level.filter(|_| side == Side::Sponsor);
                Ok(New { side, sponsor_level, chaser, people: self.person.clone(), fresh })
            }
            _ => Err(mistakes),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn minutes_are_read_as_people_write_them() {
        assert_eq!(minutes(" 2 "), Ok(120));
        assert_eq!(minutes("1.5"), Ok(90));
        assert_eq!(minutes(""), Ok(0));
        assert!(minutes("-1").is_err() && minutes("61").is_err() && minutes("NaN").is_err() && minutes("two").is_err());
        assert_eq!(minutes("0:10"), Ok(10));
        assert!(minutes("1:60").is_err() && minutes("1:").is_err() && minutes(":30").is_err());
        for seconds in [0, 10, 90, 120, 3599] {
            assert_eq!(minutes(&as_minutes(seconds)), Ok(seconds));
        }
    }

    #[test]
    fn time_in_office_is_a_year_or_a_day() {
        for fine in ["", "2019", "2019-01-15", "1989"] {
            assert_eq!(since(fine), Ok(fine.to_owned()));
        }
        for wrong in ["19", "long", "2019-13-01", "20190"] {
            assert!(since(wrong).is_err(), "{wrong}");
        }
    }
}
