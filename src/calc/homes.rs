//! Is an official in their own jurisdiction where the department is? Decided from the
//! jurisdiction as people write it: "City of Alder Bend", "Alder Bend, Iowa", "Alder
//! County", "Iowa's 2nd congressional district".
//!
//! The office decides what its jurisdiction is compared with, so the mayor of a city
//! that shares our county's name is not at home here. Common practice, no source.

use super::offices::{STATES, Usual};

/// Where a department is. Any of these may be empty.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Home {
    /// The city.
    pub city: String,
    /// The county.
    pub county: String,
    /// The state.
    pub state: String,
    /// The district in the U.S. House.
    pub congress_district: String,
    /// The district in the state's senate.
    pub senate_district: String,
    /// The district in the state's house.
    pub house_district: String,
    /// Other towns, counties and districts that count as its own.
    pub others: Vec<String>,
}

/// The legislative chamber that a district belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Chamber {
    Congress,
    Senate,
    House,
}

/// What a text says about a place.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Place {
    kind: Kind,
    /// Without "city of" and "county", in lowercase, without spaces.
    name: String,
    /// The state after the comma, as in "Alder Bend, IA".
    state: Option<&'static str>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    City,
    County,
    State,
    District(Option<Chamber>),
    /// Not stated.
    Any,
}

fn words(text: &str) -> Vec<String> {
    let plain = text.to_lowercase().replace("'s", " ").replace("’s", " ").replace(['.', '\'', '’'], "");
    let cut = plain.split(|c: char| !c.is_alphanumeric());
    cut.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// A state's two letters, from its name or its letters.
fn state(words: &[String]) -> Option<&'static str> {
    let text = words.concat();
    let state = STATES.iter().find(|(short, name)| text == *short || text == name.replace(' ', ""));
    state.map(|(short, _)| *short)
}

/// A district's number, from "12", "12th", "02", or a word up to "tenth".
fn number(word: &str) -> Option<u32> {
    const ORDINALS: [&str; 10] =
        ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth"];
    let digits = word.trim_end_matches(|c: char| c.is_ascii_alphabetic());
    let ending = &word[digits.len()..];
    let place = ORDINALS.iter().position(|ordinal| *ordinal == word);
    let counted = place.and_then(|place| u32::try_from(place + 1).ok());
    counted.or_else(|| ["", "st", "nd", "rd", "th"].contains(&ending).then(|| digits.parse().ok()).flatten())
}

/// "District 12", "12th Senate District", "HD 31", "IA-02", "2".
fn district(text: &[String], is_one: bool) -> Option<(Option<Chamber>, u32)> {
    let says = |known: &[&str]| text.iter().any(|word| known.contains(&word.as_str()));
    let is_state_and_number =
        matches!(text, [first, second] if state(std::slice::from_ref(first)).is_some() && number(second).is_some());
    let chamber = if says(&["congressional", "congress", "us", "cd", "federal"]) || is_state_and_number {
        Some(Chamber::Congress)
    } else if says(&["senate", "sd", "senatorial"]) {
        Some(Chamber::Senate)
    } else if says(&["house", "hd", "assembly", "representative", "legislative"]) {
        Some(Chamber::House)
    } else {
        None
    };
    if !is_one && chamber.is_none() && !says(&["district"]) {
        return None;
    }
    text.iter().find_map(|word| number(word)).map(|number| (chamber, number))
}

/// A place without the number of its district or ward: "Alder County" from "Alder
/// County, District 2".
fn without_district(all: &[String]) -> Vec<String> {
    const NUMBERED: [&str; 3] = ["district", "ward", "precinct"];
    let is_numbered = all.iter().any(|word| NUMBERED.contains(&word.as_str()));
    let is_left = |word: &&String| {
        let is_part = NUMBERED.contains(&word.as_str()) || number(word).is_some();
        *word != "the" && !(is_numbered && is_part)
    };
    all.iter().filter(is_left).cloned().collect()
}

fn read(text: &str) -> Place {
    // The part after the comma, as in "Alder Bend, Iowa".
    let (before, after) = text.rsplit_once(',').unwrap_or((text, ""));
    let after = state(&words(after));
    let mut all = words(if after.is_some() { before } else { text });
    if let Some((chamber, number)) = district(&words(text), false) {
        let rest = without_district(&all);
        let of_state = state(&rest).or(after);
        if chamber.is_some() || rest.is_empty() || state(&rest).is_some() {
            let within = (1..=all.len().min(3)).flat_map(|long| all.windows(long)).find_map(state);
            return Place { kind: Kind::District(chamber), name: number.to_string(), state: of_state.or(within) };
        }
    }
    all = without_district(&all);
    let starts =
        |kinds: &[&str]| matches!(all.as_slice(), [kind, of, _, ..] if of == "of" && kinds.contains(&kind.as_str()));
    let (kind, rest) = if starts(&["city", "town", "village", "township", "borough"]) {
        (Kind::City, &all[2..])
    } else if starts(&["county", "parish"]) {
        (Kind::County, &all[2..])
    } else if starts(&["state", "commonwealth"]) {
        (Kind::State, &all[2..])
    } else {
        match all.split_last() {
            Some((last, rest)) if !rest.is_empty() && ["county", "parish"].contains(&last.as_str()) => {
                (Kind::County, rest)
            }
            _ => (Kind::Any, all.as_slice()),
        }
    };
    Place { kind, name: rest.concat(), state: after }
}

/// What kind of place an office's jurisdiction usually is.
fn kind_of(office: Usual) -> Kind {
    match office {
        Usual::Governor | Usual::LieutenantGovernor | Usual::UsSenator | Usual::StateOfficer => Kind::State,
        Usual::UsRepresentative => Kind::District(Some(Chamber::Congress)),
        Usual::StateSenator => Kind::District(Some(Chamber::Senate)),
        Usual::StateRepresentative => Kind::District(Some(Chamber::House)),
        Usual::CountyExecutive | Usual::Commissioner | Usual::Sheriff => Kind::County,
        Usual::Mayor | Usual::CouncilPresident | Usual::CouncilMember | Usual::CityManager => Kind::City,
        Usual::SchoolBoardMember
        | Usual::Superintendent
        | Usual::FireChief
        | Usual::PoliceChief
        | Usual::DepartmentHead => Kind::Any,
    }
}

impl Home {
    /// Which parts are missing that decide who is in their own jurisdiction: "city, state".
    #[must_use]
    pub fn lacks(&self) -> Vec<&'static str> {
        let facts = [("city or town", &self.city), ("county", &self.county), ("state", &self.state)];
        facts.iter().filter(|(_, fact)| fact.trim().is_empty()).map(|(name, _)| *name).collect()
    }

    /// Is nothing known?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Is someone with this office and jurisdiction in office here?
    #[must_use]
    pub fn has(&self, office: Option<Usual>, jurisdiction: &str) -> bool {
        let text = words(jurisdiction).concat();
        if text.is_empty() {
            return false;
        }
        if self.others.iter().any(|other| words(other).concat() == text) {
            return true;
        }
        let place = read(jurisdiction);
        let ours = state(&words(&self.state));
        if let (Some(theirs), Some(ours)) = (place.state, ours)
            && theirs != ours
        {
            return false;
        }
        let by_office = office.map_or(Kind::Any, kind_of);
        match (place.kind, by_office) {
            (Kind::District(said), by_office) => {
                let chamber = said.or(if let Kind::District(chamber) = by_office { chamber } else { None });
                self.has_district(chamber, &place.name)
            }
            // A district may be written as just its number.
            (Kind::Any, Kind::District(chamber)) => self.has_district(chamber, &place.name),
            (Kind::Any, Kind::Any) => {
                self.is_city(&place) || is_named(&self.county, &place.name) || self.is_state(&place.name)
            }
            // A commissioner "of the City of Alder Bend": what is written outweighs the
            // office.
            (Kind::City, _) | (Kind::Any, Kind::City) => self.is_city(&place),
            (Kind::County, _) | (Kind::Any, Kind::County) => is_named(&self.county, &place.name),
            (Kind::State, _) | (Kind::Any, Kind::State) => self.is_state(&place.name),
        }
    }

    fn is_city(&self, place: &Place) -> bool {
        let others = self.others.iter().map(|other| read(other));
        let is_other = others.filter(|other| other.kind == Kind::City).any(|other| other.name == place.name);
        is_named(&self.city, &place.name) || is_other
    }

    fn is_state(&self, name: &str) -> bool {
        let wanted = state(&[name.to_owned()]);
        is_named(&self.state, name) || (wanted.is_some() && wanted == state(&words(&self.state)))
    }

    fn has_district(&self, chamber: Option<Chamber>, wanted: &str) -> bool {
        let own = match chamber {
            Some(Chamber::Congress) => &self.congress_district,
            Some(Chamber::Senate) => &self.senate_district,
            Some(Chamber::House) => &self.house_district,
            // "District 12" of an unknown chamber.
            None => return false,
        };
        let own = district(&words(own), true).map(|(_, number)| number);
        own.is_some() && own == number(wanted)
    }
}

/// Is it the same name, whether written "Alder County" or "Alder"?
fn is_named(own: &str, name: &str) -> bool {
    !own.trim().is_empty() && !name.is_empty() && (read(own).name == name || words(own).concat() == name)
}

#[cfg(test)]
mod tests;
