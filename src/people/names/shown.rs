//! How lists show and sort names, and how letters begin.

use super::parts::{joined, split, without_suffix};
use super::words::{TITLES, is_given, is_initial, is_one_of};
use crate::calc::letters::fold;
use crate::calc::offices;
use crate::people::person::Details;

/// Between the surname and the rest in the text that lists are sorted by. It sorts after
/// the end of a line, so that "Ortiz" alone is first, and before a space, so that "Ortiz,
/// Zoe" is before "Ortiz Lopez".
const BETWEEN: char = '\u{b}';

impl Details {
    /// Someone of whom only the name is known, with the surname if it is sure.
    #[must_use]
    pub fn of_name(name: &str) -> Self {
        let (given, surname) = split(name);
        Self::of_parts(given, surname)
    }

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

/// What a list is sorted by that knows full names only: by the surname where that is sure.
#[must_use]
pub fn sort_key(name: &str) -> String {
    Details::of_name(name).sorts_as()
}
