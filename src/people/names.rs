//! Names in their parts: which part is the surname, how lists show and sort people, and how
//! letters begin.

use super::{Details, fold};
use crate::calc::offices;

/// Words before a name: "Chief Ortiz" has no given name.
const TITLES: &[&str] = &[
    "mr",
    "mrs",
    "ms",
    "miss",
    "mx",
    "dr",
    "prof",
    "professor",
    "rev",
    "reverend",
    "fr",
    "father",
    "sister",
    "brother",
    "pastor",
    "rabbi",
    "imam",
    "hon",
    "honorable",
    "judge",
    "justice",
    "chief",
    "capt",
    "captain",
    "lt",
    "lieutenant",
    "sgt",
    "sergeant",
    "cpl",
    "maj",
    "major",
    "col",
    "colonel",
    "gen",
    "general",
    "officer",
    "deputy",
    "sheriff",
    "marshal",
    "mayor",
    "gov",
    "governor",
    "sen",
    "senator",
    "rep",
    "commissioner",
    "coach",
    "principal",
];

/// Words that may begin a surname: "Van Buren" may be someone's whole surname, or Van's full
/// name.
const PARTICLES: &[&str] = &[
    "de", "del", "della", "di", "da", "dos", "du", "la", "le", "van", "von", "der", "den", "ter", "el", "bin", "ibn",
    "mac", "mc", "st", "saint", "san", "santa", "the",
];

/// Words after a name.
const SUFFIXES: &[&str] =
    &["jr", "sr", "ii", "iii", "iv", "v", "md", "phd", "dds", "dvm", "esq", "cpa", "rn", "emt", "ret"];

/// Words that end the name of a place to call, not of a person: "News Desk".
const PLACES: &[&str] = &[
    "desk",
    "office",
    "department",
    "dept",
    "district",
    "newsroom",
    "clerk",
    "team",
    "school",
    "center",
    "company",
    "inc",
    "llc",
];

/// Between the surname and the rest in the text that lists are sorted by. It sorts after
/// the end of a line, so that "Ortiz" alone is first, and before a space, so that "Ortiz,
/// Zoe" is before "Ortiz Lopez".
const BETWEEN: char = '\u{b}';

/// A word in the form of the lists above.
fn key(word: &str) -> String {
    word.replace(['.', ','], "").to_ascii_lowercase()
}

fn is_one_of(list: &[&str], word: &str) -> bool {
    list.contains(&key(word).as_str())
}

/// "J." or "J".
fn is_initial(word: &str) -> bool {
    key(word).chars().count() == 1
}

fn is_given(word: &str) -> bool {
    !is_one_of(TITLES, word) && !is_one_of(PARTICLES, word)
}

fn is_surname(word: &str) -> bool {
    !is_initial(word) && !is_one_of(SUFFIXES, word) && !is_one_of(PLACES, word)
}

/// One word of letters.
fn is_plain(word: &str) -> bool {
    let is_other = |c: char| c.is_whitespace() || c.is_ascii_digit() || ",;:/&@()\"".contains(c);
    !key(word).is_empty() && !word.contains(is_other)
}

/// A full name as given name and surname. Only a name of two plain words is split: in "Maria
/// de la Cruz" or "Ray Ortiz Jr." only the person knows where the surname begins. Any other
/// name stays whole, as a given name.
///
/// Migration 0093 splits the names of older stores by the same rule.
#[must_use]
pub fn split(name: &str) -> (&str, &str) {
    match name.split_once(' ') {
        Some((given, surname)) if is_plain(given) && is_plain(surname) && is_given(given) && is_surname(surname) => {
            (given, surname)
        }
        _ => (name, ""),
    }
}

/// The full name. One of the parts may be empty.
#[must_use]
pub fn joined(given: &str, surname: &str) -> String {
    match (given, surname) {
        (one, "") | ("", one) => one.to_owned(),
        (given, surname) => format!("{given} {surname}"),
    }
}

/// The given name and surname of someone whose full name, its parts, and form of address
/// are in a file; any of them may be empty. The parts count. The full name can add to the
/// given name, as "Ray J. Ortiz" does to "Ray". A full name that begins with the surname
/// stays whole.
#[must_use]
pub fn agreed<'a>(name: &'a str, given: &'a str, surname: &'a str, form: &str) -> (&'a str, &'a str) {
    match (name, given, surname) {
        (_, "", "") => return split(name),
        ("", _, _) => return (given, surname),
        (_, _, "") => return (name, ""),
        _ => {}
    }
    // "Dr. Priya Okafor", whose given name is Priya and who is addressed as Dr.
    let without = name.strip_prefix(form).and_then(|rest| rest.strip_prefix(' '));
    let name = without.filter(|_| !name.starts_with(given)).unwrap_or(name);
    if let Some(shown) = name.strip_suffix(surname).and_then(|before| before.strip_suffix(' ')) {
        return (shown, surname);
    }
    if !given.is_empty() && name == joined(surname, given) { (name, "") } else { (given, surname) }
}

/// What a list is sorted by that knows full names only: by the surname where that is sure.
#[must_use]
pub fn sort_key(name: &str) -> String {
    Details::of_name(name).sorts_as()
}

/// A surname without "Jr." and the like, and these.
#[must_use]
pub fn without_suffix(surname: &str) -> (&str, &str) {
    let mut bare = surname;
    while let Some((before, last)) = bare.rsplit_once(' ')
        && is_one_of(SUFFIXES, last)
    {
        bare = before.trim_end();
    }
    let suffix = surname[bare.len()..].trim();
    if suffix.is_empty() { (surname, "") } else { (bare.trim_end_matches(','), suffix) }
}

impl Details {
    /// Someone of whom only these two are known. One may be empty.
    #[must_use]
    pub fn of_parts(given: &str, surname: &str) -> Self {
        Self { name: joined(given, surname), surname: surname.to_owned(), ..Self::nobody() }
    }

    /// The same with another full name. A surname that was known stays if the new name ends
    /// with it.
    #[must_use]
    pub fn renamed(self, name: &str) -> Self {
        let keeps = !self.surname.is_empty() && name.ends_with(&format!(" {}", self.surname));
        let surname = if keeps || name == self.name { self.surname } else { split(name).1.to_owned() };
        Self { name: name.to_owned(), surname, ..self }
    }

    /// The name without the surname; all of it if the surname isn't known.
    #[must_use]
    pub fn given_name(&self) -> &str {
        self.name.strip_suffix(self.surname.as_str()).map_or(self.name.as_str(), str::trim_end)
    }

    /// The name in a list: "Ortiz, Ray", or "Ortiz, Ray, Jr."
    #[must_use]
    pub fn listed(&self) -> String {
        let (surname, suffix) = without_suffix(&self.surname);
        let parts = [surname, self.given_name(), suffix].into_iter().filter(|part| !part.is_empty());
        parts.collect::<Vec<_>>().join(", ")
    }

    /// What lists are sorted by: the surname, then the rest, without accents and capitals.
    /// It has all words of the name, so that a search finds them in it.
    #[must_use]
    pub fn sorts_as(&self) -> String {
        let (surname, suffix) = without_suffix(&self.surname);
        if surname.is_empty() {
            return fold(&self.name);
        }
        fold(format!("{surname}{BETWEEN}{} {suffix}", self.given_name()).trim_end())
    }

    /// Does the name have several words, and nobody said which of them are the surname?
    #[must_use]
    pub fn lacks_surname(&self) -> bool {
        self.surname.is_empty() && self.name.split_whitespace().nth(1).is_some()
    }

    /// The name in an address block, and where it is mentioned first: "The Honorable
    /// Marguerite Vance" for elected officials.
    #[must_use]
    pub fn in_full(&self) -> String {
        let is_there = fold(&self.name).starts_with("the hon") || fold(&self.name).starts_with("hon. ");
        if !is_there && offices::is_honorable(&self.office, &self.jurisdiction) {
            format!("The Honorable {}", self.name)
        } else {
            self.name.clone()
        }
    }

    /// How a friendly message calls them: "Ray".
    #[must_use]
    pub fn called(&self) -> &str {
        let mut given = self.given_name();
        if self.surname.is_empty() {
            let first = given.split_whitespace().next().unwrap_or(given);
            return if is_given(first) && !given.contains(',') { first } else { given };
        }
        while let Some((before, last)) = given.rsplit_once(' ')
            && is_initial(last)
        {
            given = before.trim_end();
        }
        match given.split_once(' ') {
            _ if given.is_empty() => self.name.as_str(),
            Some((title, rest)) if is_one_of(TITLES, title) => rest.trim_start(),
            _ => given,
        }
    }

    /// How a formal letter begins: "Dear Mayor Vance:". What someone asked to be called goes
    /// before an official's title. With neither, it is the full name, since a guess at "Mr."
    /// or "Ms." may be wrong. Common practice, no source.
    #[must_use]
    pub fn salutation(&self) -> String {
        let asked = Some(self.address_form.as_str()).filter(|form| !form.is_empty());
        let Some(title) = asked.or_else(|| offices::spoken_title(&self.office, &self.jurisdiction)) else {
            return format!("Dear {}:", self.name);
        };
        let surname = without_suffix(&self.surname).0;
        let name = if surname.is_empty() { self.name.as_str() } else { surname };
        // "Chief Ortiz" may be all we know.
        if fold(name).starts_with(&format!("{} ", fold(title))) {
            return format!("Dear {name}:");
        }
        format!("Dear {title} {name}:")
    }

    /// The same for someone who holds an office, to whom every message is a formal letter;
    /// empty for anyone else, whom a message greets by name.
    #[must_use]
    pub fn dear_official(&self) -> String {
        if self.office.is_empty() { String::new() } else { self.salutation() }
    }
}

#[cfg(test)]
mod tests;
