//! Which part of a name is the surname.

use super::words::{SUFFIXES, is_given, is_one_of, is_plain, is_surname};

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
