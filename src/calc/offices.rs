//! Which office on a department's list someone holds, from the title as written:
//! "U.S. Rep.", "Congresswoman", "Chief of the Fire Department".
//!
//! The offices are those of the common order of precedence. The forms of each are common
//! practice in American letters and newspapers, with no published source. A title with
//! two meanings, such as "Senator", is settled by the jurisdiction or not at all: no one
//! is placed by a guess.

mod forms;
mod spoken;
mod usual;

use forms::FORMS;

pub use forms::STATES;
pub use spoken::{is_honorable, spoken_title};
pub use usual::{Meaning, Usual};

/// Where a text belongs on a list of offices, by position on that list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// At this position.
    At(usize),
    /// It isn't on the list, or could be more than one office on it. These are the
    /// closest, the closest first.
    Perhaps(Vec<usize>),
}

/// The text in lowercase letters and digits, split into words. "U.S." is one word,
/// "Council-Member" two.
fn words(text: &str) -> Vec<String> {
    let plain = text.to_lowercase().replace(['.', '\'', '’'], "");
    let cut = plain.split(|c: char| !c.is_alphanumeric());
    cut.filter(|word| !word.is_empty()).map(str::to_owned).collect()
}

/// The same without spaces, so "Council Member" and "Councilmember" match.
fn joined(words: &[String]) -> String {
    words.concat()
}

fn form(words: &[String]) -> Option<Meaning> {
    let text = joined(words);
    FORMS.iter().find(|(form, _)| *form == text).map(|(_, means)| *means)
}

/// Words that begin the name of a place.
const PLACES: [&str; 8] = ["city", "town", "village", "borough", "township", "county", "state", "commonwealth"];

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

/// Words that begin a place or district after a title: "Mayor of Alder Bend", "State
/// Senator, District 12".
const TAILS: [&str; 8] = ["of", "for", "from", "district", "ward", "precinct", "at", "in"];

/// What "Senator" or "Representative" means, if the jurisdiction settles it.
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
    // A United States senator has a state and no district.
    match one {
        Usual::UsSenator if says(&["district"]) => Meaning::One(other),
        Usual::UsSenator if is_state && !text.is_empty() => Meaning::One(one),
        _ => Meaning::Either(one, other),
    }
}

/// Which office a title means, and whether the person is out of office.
#[must_use]
pub fn read(text: &str, jurisdiction: &str) -> (Meaning, bool) {
    let jurisdiction = words(jurisdiction);
    // The part after a comma or in parentheses says where.
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
    // In "Chief, Fire Department" it is no place.
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

/// Where someone belongs on a list of offices, by the title as written.
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

/// The office with the closest spelling, among the names on the list and the forms of
/// each; none if nothing is close.
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

/// How many letters must be added, removed or changed (Levenshtein).
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
