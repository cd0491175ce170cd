//! A row, prepared for comparing.

use crate::people::{Person, fold, phone_digits};

/// How many words of a name are used.
const WORDS: usize = 6;

/// A row, prepared for comparing.
pub(super) struct Card {
    pub id: i64,
    /// The words of the name, in alphabetical order.
    pub words: Vec<String>,
    /// The same in one string.
    pub name: String,
    /// Which letters the name has, one bit each.
    pub letters: u32,
    pub organization: String,
    pub office: String,
    pub mail: String,
    pub phone: String,
}

impl Card {
    pub fn of(person: &Person) -> Self {
        let details = &person.details;
        let words = words(&details.name);
        let office = if details.office.is_empty() {
            String::new()
        } else {
            fold(&format!("{}, {}", details.office, details.jurisdiction))
        };
        Self {
            id: person.id,
            letters: words
                .iter()
                .flat_map(|word| word.chars())
                .fold(0, |bits, letter| bits | 1 << (letter as u32 % 32)),
            name: words.join(" "),
            words,
            organization: fold(&details.organization),
            office,
            mail: details.mail.to_lowercase(),
            phone: phone_digits(&details.phone),
        }
    }
}

/// The words of a name without titles: "Okafor, Dr. Priya" has the same as "Priya Okafor".
fn words(name: &str) -> Vec<String> {
    const TITLES: [&str; 14] =
        ["mr", "mrs", "ms", "mx", "dr", "prof", "hon", "rev", "sr", "jr", "capt", "chief", "lt", "sgt"];
    let folded = fold(name).replace('\'', "");
    let all = folded.split(|letter: char| !letter.is_alphanumeric()).filter(|word| !word.is_empty());
    let (mut titles, mut words): (Vec<String>, Vec<String>) =
        all.map(str::to_owned).partition(|word| TITLES.contains(&word.as_str()));
    if words.is_empty() {
        words.append(&mut titles);
    }
    words.truncate(WORDS);
    words.sort();
    words
}
