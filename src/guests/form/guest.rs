//! The form for a guest's settings.

use super::minutes::{as_minutes, minutes};
use super::one_of::one_of;
use crate::guests::guest::{Details, Side};
use crate::guests::program::parts::Gives;
use crate::guests::settings::{GuestSettings, Level};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// The settings of a guest, as typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(in crate::guests) struct GuestForm {
    pub side: String,
    pub level: String,
    pub office: String,
    pub sponsor_level: String,
    pub address: String,
    /// `yes`, `no`, or empty to decide by the jurisdiction.
    pub in_own: String,
    pub since: String,
    pub former: String,
    pub responsible: String,
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

/// The one-line text fields: name, label, help.
pub(in crate::guests) const LINES: [(&str, &str, &str); 8] = [
    ("microphone", "Microphone", "Such as “handheld, at the lectern.”"),
    ("met_by", "Met at the door by", "Name and phone."),
    ("seat", "Seat", "Which seat, and next to whom."),
    ("arrives", "Arrives", "Such as 09:20. If empty, 30 minutes before ignition."),
    ("parking", "Parking", ""),
    ("clothing", "Clothing", "Such as flat shoes and a warm coat."),
    ("press", "Press", "Who is expected, and whether the guest will take questions."),
    ("also_comes", "Who else is coming", "Companions have no place of their own in the order."),
];

/// Choices for whether an official is in their own jurisdiction.
pub(in crate::guests) const OWN: [(&str, &str); 3] =
    [("", "by jurisdiction"), ("yes", "yes, set by hand"), ("no", "no, set by hand")];

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
            responsible: number(details.responsible),
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

    /// What a field holds that may be folded away, by its name.
    pub fn value(&self, name: &str) -> &str {
        match name {
            "address" => &self.address,
            "in_own" => &self.in_own,
            "since" => &self.since,
            "former" => &self.former,
            "minutes" => &self.minutes,
            "gives" => &self.gives,
            "least" => &self.least,
            "priority" => &self.priority,
            name => self.line(name),
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

    /// Reads it; `candidates` are the people who can be responsible.
    pub fn read(&self, settings: &GuestSettings, candidates: &[i64]) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let side = mistakes.note("side", self.side.parse::<Side>());
        let office = one_of(&self.office, settings.offices.iter().map(|office| office.id));
        let office = mistakes.note("office", office.ok_or("Choose an office from the list.".to_owned()));
        let sponsor = one_of(&self.sponsor_level, settings.levels.iter().map(|level| level.id));
        let sponsor = mistakes.note("sponsor_level", sponsor.ok_or("Choose a level from the list.".to_owned()));
        let responsible = one_of(&self.responsible, candidates.iter().copied());
        let responsible =
            mistakes.note("responsible", responsible.ok_or("Choose someone who has an account.".to_owned()));
        let level = mistakes.note("level", self.level.parse::<Level>());
        if let (Some(side), Some(level)) = (side, level)
            && (side == Side::Official) == (level == Level::Sponsor)
        {
            mistakes.add("level", "Choose “sponsor” for sponsors and partners, and another level for officials.");
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
        let chosen = side.zip(level).zip(office.zip(sponsor)).zip(responsible);
        match (numbers, texts, chosen, mistakes.is_empty()) {
            (
                Some(((seconds, least), (priority, gives))),
                Some(((since, address), [microphone, met_by, seat, arrives, parking, clothing, press, also_comes])),
                Some((((side, level), (office, sponsor_level)), responsible)),
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
                responsible,
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

/// A year, a date, or empty.
fn since(text: &str) -> Result<String, String> {
    let text = text.trim();
    let is_year = text.len() == 4 && text.parse::<i32>().is_ok_and(|year| form::YEARS.contains(&year) || year > 1900);
    if text.is_empty() || is_year || form::day(text).is_ok() {
        Ok(text.to_owned())
    } else {
        Err("Enter a year, such as 2019, or a date, such as 1/15/2019.".to_owned())
    }
}

fn arrives(text: String) -> Result<String, String> {
    if text.is_empty() { Ok(text) } else { form::time_of_day(&text).map(crate::web::words::iso_time) }
}

#[cfg(test)]
mod tests {
    use super::*;

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
