//! Which office of a department's list somebody holds, from what is written
//! about them: "U.S. Rep.", "Congresswoman", "Chief of the Fire Department".
//!
//! The offices are those of the common order of precedence; the forms of each
//! are common practice in American letters and newspapers, with no source
//! behind them. What has two meanings, as "Senator" has, is decided by the
//! jurisdiction or not at all: nobody is placed by a guess.

mod forms;

use forms::FORMS;
pub use forms::STATES;

/// An office as everybody knows it, whatever a department calls it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Usual {
    Governor,
    UsSenator,
    UsRepresentative,
    LieutenantGovernor,
    StateOfficer,
    StateSenator,
    StateRepresentative,
    CountyExecutive,
    Commissioner,
    Sheriff,
    Mayor,
    CouncilPresident,
    CouncilMember,
    SchoolBoardMember,
    Superintendent,
    FireChief,
    PoliceChief,
    CityManager,
    DepartmentHead,
}

/// What a text says about an office.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning {
    One(Usual),
    Either(Usual, Usual),
    Unknown,
}

/// Where a text belongs in a list of offices, by places in that list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// In this place.
    At(usize),
    /// It isn't in the list, or it can be more than one of it. These are the
    /// nearest, the nearest first.
    Perhaps(Vec<usize>),
}

/// The text in small letters and digits, cut into words. "U.S." is one word,
/// and "Council-Member" two.
fn words(text: &str) -> Vec<String> {
    let plain = text.to_lowercase().replace(['.', '\'', '’'], "");
    let cut = plain.split(|c: char| !c.is_alphanumeric());
    cut.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// The same without the spaces, so that "Council Member" and "Councilmember"
/// are one.
fn joined(words: &[String]) -> String {
    words.concat()
}

fn form(words: &[String]) -> Option<Meaning> {
    let text = joined(words);
    FORMS.iter().find(|(form, _)| *form == text).map(|(_, means)| *means)
}

/// Words in which the name of a place begins.
const PLACES: [&str; 8] = ["city", "town", "village", "borough", "township", "county", "state", "commonwealth"];

impl Usual {
    /// Is whatever follows "of" the name of a place? The mayor of anything is a
    /// mayor; a commissioner of agriculture is none of a county.
    fn is_of_places(self) -> bool {
        matches!(
            self,
            Self::Governor
                | Self::LieutenantGovernor
                | Self::UsSenator
                | Self::UsRepresentative
                | Self::StateSenator
                | Self::StateRepresentative
                | Self::Mayor
                | Self::Sheriff
                | Self::CityManager
                | Self::CountyExecutive
        )
    }

    /// The office in whose place it goes if the list has none of its own.
    fn or_else(self) -> Option<Self> {
        match self {
            Self::CountyExecutive => Some(Self::Commissioner),
            Self::PoliceChief => Some(Self::DepartmentHead),
            _ => None,
        }
    }
}

fn is_place(words: &[String], jurisdiction: &[String]) -> bool {
    let Some(first) = words.first() else { return true };
    let text = joined(words);
    let known = |word: &str| words.iter().any(|other| other == word);
    PLACES.contains(&first.as_str())
        || ["county", "parish", "district", "ward"].into_iter().any(known)
        || STATES.iter().any(|(short, name)| text == *short || text == name.replace(' ', ""))
        || (!jurisdiction.is_empty() && joined(jurisdiction).contains(&text))
        || (first == "the" && words.len() > 1 && is_place(&words[1..], jurisdiction))
}

/// Words before which what is said of a place or a district begins: "Mayor of
/// Alder Bend", "State Senator, District 12".
const TAILS: [&str; 8] = ["of", "for", "from", "district", "ward", "precinct", "at", "in"];

/// What "Senator" and "Representative" mean where the jurisdiction tells.
fn by_jurisdiction(one: Usual, other: Usual, jurisdiction: &[String]) -> Meaning {
    let says = |words: &[&str]| jurisdiction.iter().any(|word| words.contains(&word.as_str()));
    let text = joined(jurisdiction);
    let is_state = STATES.iter().any(|(short, name)| text == *short || text.ends_with(&name.replace(' ', "")));
    if says(&["congressional", "congress", "us", "federal"]) || text.contains("unitedstates") {
        return Meaning::One(one);
    }
    if says(&["senate", "house", "assembly", "legislative", "legislature", "sd", "hd"]) {
        return Meaning::One(other);
    }
    // A senator of the United States has a state and no district.
    match one {
        Usual::UsSenator if says(&["district"]) => Meaning::One(other),
        Usual::UsSenator if is_state && !text.is_empty() => Meaning::One(one),
        _ => Meaning::Either(one, other),
    }
}

/// What is written about an office, and whether it was held once.
#[must_use]
pub fn read(text: &str, jurisdiction: &str) -> (Meaning, bool) {
    let jurisdiction = words(jurisdiction);
    // What follows a comma or stands in brackets says where.
    let head = text.split([',', '(', ';', '–', '—']).next().unwrap_or(text);
    let said_after: Vec<String> = words(text).into_iter().skip(words(head).len()).collect();
    let mut all = words(head);
    while all.first().is_some_and(|word| ["the", "honorable", "hon", "current"].contains(&word.as_str())) {
        all.remove(0);
    }
    let is_former = all.first().is_some_and(|word| ["former", "ex", "past", "retired"].contains(&word.as_str()));
    if is_former {
        all.remove(0);
    }
    // "Chief, Fire Department" is no place.
    let meaning = form(&words(text)).unwrap_or_else(|| of_words(&all, &jurisdiction));
    let meaning = match meaning {
        Meaning::Either(one, other) => {
            let told: Vec<String> = jurisdiction.iter().chain(&said_after).cloned().collect();
            by_jurisdiction(one, other, &told)
        }
        known => known,
    };
    (meaning, is_former)
}

fn of_words(all: &[String], jurisdiction: &[String]) -> Meaning {
    if let Some(meaning) = form(all) {
        return meaning;
    }
    // "Mayor of Alder Bend"
    for at in (1..all.len()).filter(|at| TAILS.contains(&all[*at].as_str())) {
        let is_word = !matches!(all[at].as_str(), "district" | "ward" | "precinct");
        let tail = &all[if is_word { at + 1 } else { at }..];
        let fits = match form(&all[..at]) {
            Some(Meaning::One(usual)) => usual.is_of_places() || is_place(tail, jurisdiction),
            Some(Meaning::Either(..)) => is_place(tail, jurisdiction),
            _ => false,
        };
        if fits {
            return match form(&all[..at]) {
                Some(Meaning::Either(one, other)) => by_jurisdiction(one, other, tail),
                known => known.unwrap_or(Meaning::Unknown),
            };
        }
    }
    // "Alder County Commissioner", "Iowa State Senator"
    for from in 1..all.len() {
        if let Some(meaning) = form(&all[from..])
            && is_place(&all[..from], jurisdiction)
        {
            return meaning;
        }
    }
    Meaning::Unknown
}

/// Where somebody belongs in a list of offices, by what is written about them.
///
/// ```
/// use burnday::calc::offices::{Found, find};
///
/// let list = ["United States representative", "State representative", "Mayor", "Visiting fire chief"];
/// assert_eq!(find(&list, "Congresswoman", ""), Found::At(0));
/// assert_eq!(find(&list, "Chief of the Fire Department", ""), Found::At(3));
/// assert_eq!(find(&list, "Rep.", ""), Found::Perhaps(vec![0, 1]));
/// ```
#[must_use]
pub fn find(list: &[&str], text: &str, jurisdiction: &str) -> Found {
    let wanted = joined(&words(text));
    if wanted.is_empty() {
        return Found::Perhaps(Vec::new());
    }
    if let Some(place) = list.iter().position(|name| joined(&words(name)) == wanted) {
        return Found::At(place);
    }
    let place_of = |usual: Usual| list.iter().position(|name| read(name, "").0 == Meaning::One(usual));
    match read(text, jurisdiction).0 {
        Meaning::One(usual) => match place_of(usual).or_else(|| place_of(usual.or_else()?)) {
            Some(place) => Found::At(place),
            None => Found::Perhaps(nearest(list, &wanted)),
        },
        Meaning::Either(one, other) => Found::Perhaps([one, other].into_iter().filter_map(place_of).collect()),
        Meaning::Unknown => Found::Perhaps(nearest(list, &wanted)),
    }
}

/// The one that is written most alike, by the names of the list and the forms
/// of each; none if nothing is like it.
fn nearest(list: &[&str], wanted: &str) -> Vec<usize> {
    let far = |text: &str| (distance(text, wanted), text.len());
    let names = list.iter().enumerate().map(|(place, name)| (far(&joined(&words(name))), place));
    let usual: Vec<Meaning> = list.iter().map(|name| read(name, "").0).collect();
    let forms = FORMS.iter().filter_map(|(text, means)| {
        let place = usual.iter().position(|other| other == means && *means != Meaning::Unknown)?;
        Some((far(text), place))
    });
    let best = names.chain(forms).min_by_key(|((far, long), place)| (*far, *long, *place));
    let near = best.filter(|((far, long), _)| far * 2 < wanted.chars().count().max(*long));
    near.map(|(_, place)| place).into_iter().collect()
}

/// How many letters have to be put in, taken out or changed (Levenshtein).
fn distance(one: &str, other: &str) -> usize {
    let other: Vec<char> = other.chars().collect();
    let mut row: Vec<usize> = (0..=other.len()).collect();
    for (above, a) in one.chars().enumerate() {
        let mut corner = row[0];
        row[0] = above + 1;
        for (at, b) in other.iter().enumerate() {
            let change = corner + usize::from(a != *b);
            corner = row[at + 1];
            row[at + 1] = change.min(corner + 1).min(row[at] + 1);
        }
    }
    row[other.len()]
}

#[cfg(test)]
mod tests;
