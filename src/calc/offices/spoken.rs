//! The title that goes before an official's surname, as in "Mayor Vance", and who is called
//! "The Honorable". Common practice in American letters, no source.

use super::Meaning::{Either, One, Unknown};
use super::{TAILS, Usual, joined, read, words};

/// Titles that follow the words of the office: a part of it, without spaces, and the title.
const AS_WRITTEN: [(&str, &str); 26] = [
    ("councilmember", "Council Member"),
    ("councilman", "Councilman"),
    ("councilwoman", "Councilwoman"),
    ("councilor", "Councilor"),
    ("councillor", "Councillor"),
    ("alderman", "Alderman"),
    ("alderwoman", "Alderwoman"),
    ("alderperson", "Alderperson"),
    ("selectman", "Selectman"),
    ("selectwoman", "Selectwoman"),
    ("selectperson", "Selectperson"),
    ("congressman", "Congressman"),
    ("congresswoman", "Congresswoman"),
    ("assemblymember", "Assembly Member"),
    ("assemblyman", "Assemblyman"),
    ("assemblywoman", "Assemblywoman"),
    ("delegate", "Delegate"),
    ("supervisor", "Supervisor"),
    ("freeholder", "Freeholder"),
    ("trustee", "Trustee"),
    ("villagepresident", "President"),
    ("commission", "Commissioner"),
    ("countyexec", "County Executive"),
    ("attorneygeneral", "Attorney General"),
    ("secretaryofstate", "Secretary"),
    ("superintendent", "Superintendent"),
];

/// Whose chief is called "Chief" before the surname. A chief of staff isn't.
const CHIEFS: [&str; 7] = ["fire", "police", "battalion", "division", "district", "deputy", "assistant"];

impl Usual {
    /// The title before the surname; none if the office has no such title.
    fn spoken(self) -> Option<&'static str> {
        match self {
            Self::Governor => Some("Governor"),
            Self::LieutenantGovernor => Some("Lieutenant Governor"),
            Self::UsSenator | Self::StateSenator => Some("Senator"),
            Self::UsRepresentative | Self::StateRepresentative => Some("Representative"),
            Self::Commissioner => Some("Commissioner"),
            Self::Sheriff => Some("Sheriff"),
            Self::Mayor => Some("Mayor"),
            Self::CouncilPresident => Some("Council President"),
            Self::CouncilMember => Some("Council Member"),
            Self::Superintendent => Some("Superintendent"),
            Self::FireChief | Self::PoliceChief => Some("Chief"),
            Self::StateOfficer
            | Self::CountyExecutive
            | Self::SchoolBoardMember
            | Self::CityManager
            | Self::DepartmentHead => None,
        }
    }

    /// Elected to an office whose holder is "The Honorable". A sheriff is "Sheriff".
    fn is_honorable(self) -> bool {
        matches!(
            self,
            Self::Governor
                | Self::UsSenator
                | Self::UsRepresentative
                | Self::LieutenantGovernor
                | Self::StateOfficer
                | Self::StateSenator
                | Self::StateRepresentative
                | Self::CountyExecutive
                | Self::Commissioner
                | Self::Mayor
                | Self::CouncilPresident
                | Self::CouncilMember
        )
    }
}

/// The words of the title without the place after it, or "The Honorable" before it.
fn head(office: &str) -> Vec<String> {
    let head = office.split([',', '(', ';', '–', '—']).next().unwrap_or(office);
    let all = words(head).into_iter();
    all.skip_while(|word| ["the", "honorable", "hon", "current"].contains(&word.as_str())).collect()
}

fn is_judge(head: &[String]) -> bool {
    let is = |word: Option<&String>| word.is_some_and(|word| word == "judge");
    is(head.last()) || (is(head.first()) && head.get(1).is_some_and(|word| TAILS.contains(&word.as_str())))
}

fn is_chief(head: &[String]) -> bool {
    match head {
        [only] => only == "chief",
        [.., whose, last] => last == "chief" && CHIEFS.contains(&whose.as_str()),
        [] => false,
    }
}

/// The title that goes before someone's surname, from the office as written. None if the
/// office has no such title, is unknown, or isn't held any longer.
///
/// ```
/// use burnday::calc::offices::spoken_title;
///
/// assert_eq!(spoken_title("State Senator, District 12", ""), Some("Senator"));
/// assert_eq!(spoken_title("Mayor of Alder Bend", ""), Some("Mayor"));
/// assert_eq!(spoken_title("City manager", ""), None);
/// ```
#[must_use]
pub fn spoken_title(office: &str, jurisdiction: &str) -> Option<&'static str> {
    let (meaning, is_former) = read(office, jurisdiction);
    let head = head(office);
    if is_former {
        return None;
    }
    if is_judge(&head) {
        return Some("Judge");
    }
    if is_chief(&head) {
        return Some("Chief");
    }
    let text = joined(&head);
    let as_written = AS_WRITTEN.iter().find(|(part, _)| text.contains(part)).map(|(_, title)| *title);
    match meaning {
        // Both of the two are called the same.
        One(usual) | Either(usual, _) => as_written.or_else(|| usual.spoken()),
        Unknown => None,
    }
}

/// Is someone who holds or held this office called "The Honorable"?
#[must_use]
pub fn is_honorable(office: &str, jurisdiction: &str) -> bool {
    match read(office, jurisdiction).0 {
        One(usual) | Either(usual, _) => usual.is_honorable(),
        Unknown => is_judge(&head(office)),
    }
}

#[cfg(test)]
mod tests;
