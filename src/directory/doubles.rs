//! Who may be in the directory twice, and why. Nothing here merges anyone.

use crate::people::{Person, fold, phone_digits};
use std::collections::{HashMap, HashSet};
use std::hash::BuildHasher;

/// Two rows that may be the same person, by number, with the reasons.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    pub one: i64,
    pub other: i64,
    pub reasons: Vec<Reason>,
    weight: u32,
}

/// A sign that two rows are the same person, or that they aren't.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    SameMail,
    SamePhone,
    SameName,
    NamesAlike,
    SameOrganization,
    SameOffice,
    DifferentNames,
}

impl Reason {
    /// The word in a page's `data-` mark.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::SameMail => "same-mail",
            Self::SamePhone => "same-phone",
            Self::SameName => "same-name",
            Self::NamesAlike => "names-alike",
            Self::SameOrganization => "same-organization",
            Self::SameOffice => "same-office",
            Self::DifferentNames => "different-names",
        }
    }

    /// The reason as people read it.
    #[must_use]
    pub const fn says(self) -> &'static str {
        match self {
            Self::SameMail => "same email",
            Self::SamePhone => "same phone",
            Self::SameName => "same name",
            Self::NamesAlike => "similar names",
            Self::SameOrganization => "same organization",
            Self::SameOffice => "same office",
            Self::DifferentNames => "different names",
        }
    }
}

/// Names at least this similar (Jaro-Winkler) count if something else matches too.
const ALIKE: f64 = 0.92;
/// Names at least this similar count on their own.
const VERY_ALIKE: f64 = 0.96;
/// More rows than this with the same email or phone are an office or a family. They are
/// compared by name only.
const MANY: usize = 6;

/// In a group larger than this, only rows near each other in alphabetical order are compared.
const LARGE: usize = 200;
/// How many rows on: a list of placeholders must not take minutes.
const NEIGHBOURS: usize = 10;
/// How many words of a name are used.
const WORDS: usize = 6;
/// How often a row is compared at most.
const LOOKS: u32 = 300;
/// How many pairs to return, the likeliest.
pub const MOST_PAIRS: usize = 1_000;

/// A row, prepared for comparing.
struct Card {
    id: i64,
    /// The words of the name, in alphabetical order.
    words: Vec<String>,
    /// The same in one string.
    name: String,
    /// Which letters the name has, one bit each.
    letters: u32,
    organization: String,
    office: String,
    mail: String,
    phone: String,
}

impl Card {
    fn of(person: &Person) -> Self {
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

/// How similar two names are; none if they aren't.
fn likeness(one: &Card, other: &Card) -> Option<f64> {
    if one.words == other.words {
        return Some(1.0);
    }
    if one.words.len() == other.words.len() && could_be_alike(one, other) {
        let likeness = strsim::jaro_winkler(&one.name, &other.name);
        // "Priya Okafor" isn't "Priya Okonkwo", even though they start the same: every word
        // must match one of the other name.
        let each = || one.words.iter().zip(&other.words).all(|(a, b)| strsim::jaro_winkler(a, b) >= 0.85);
        if likeness >= ALIKE && each() {
            return Some(likeness);
        }
    }
    initials(&one.words, &other.words).then_some(ALIKE)
}

/// Two typos change at most four letters. Counting letters is a hundred times faster than
/// comparing.
fn could_be_alike(one: &Card, other: &Card) -> bool {
    (one.letters ^ other.letters).count_ones() <= 4 && one.name.len().abs_diff(other.name.len()) <= 4
}

/// Do the names match if initials count? "P. Okafor" and "Priya Okafor", "Priya N. Okafor" and
/// "Priya Okafor": at least one whole word in common, and no word that conflicts.
fn initials(one: &[String], other: &[String]) -> bool {
    let has_initial = |words: &[String]| words.iter().any(|word| word.len() == 1);
    if one.len() == other.len() && !has_initial(one) && !has_initial(other) {
        return false;
    }
    let (few, many) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    let mut left: Vec<&String> = many.iter().collect();
    let mut rest = Vec::new();
    for word in few {
        match left.iter().position(|other| *other == word) {
            Some(place) => drop(left.remove(place)),
            None => rest.push(word),
        }
    }
    let common = few.len() - rest.len();
    let common_long = few.iter().any(|word| word.chars().count() > 1 && many.contains(word));
    for word in &rest {
        let begins = |other: &&String| {
            let (short, long) = if word.len() <= other.len() {
                (word.as_str(), other.as_str())
            } else {
                (other.as_str(), word.as_str())
            };
            short.chars().count() == 1 && long.starts_with(short)
        };
        match left.iter().position(begins) {
            Some(place) => drop(left.remove(place)),
            None => return false,
        }
    }
    // A word left over may be a middle name, but only if two others match.
    common_long
        && (left.is_empty()
            || (left.iter().all(|word| word.chars().count() == 1) && few.len() >= 2 && common >= 1)
            || common >= 2)
}

/// The pairs, the likeliest first, without those someone marked as two people. None if
/// `is_stopped` says so. The time grows only in proportion to the rows, whatever they hold:
/// each row is compared at most 300 times, small groups first, since what few rows have in
/// common says the most.
#[must_use]
pub fn pairs<S: BuildHasher>(
    people: &[Person],
    two: &HashSet<(i64, i64), S>,
    is_stopped: impl Fn() -> bool,
) -> Option<Vec<Pair>> {
    search(people, two, is_stopped).map(|(found, _)| found)
}

/// The same, with how many comparisons it took.
fn search<S: BuildHasher>(
    people: &[Person],
    two: &HashSet<(i64, i64), S>,
    is_stopped: impl Fn() -> bool,
) -> Option<(Vec<Pair>, u32)> {
    let cards: Vec<Card> = people.iter().map(Card::of).collect();
    let mut seen = HashSet::new();
    let mut looks = vec![0_u32; cards.len()];
    let mut found = Vec::new();
    for mut group in groups(&cards) {
        let near = near(group.len());
        if near < group.len() {
            group.sort_by(|one, other| cards[*one].name.cmp(&cards[*other].name));
        }
        for (place, one) in group.iter().enumerate() {
            if place % 64 == 0 && is_stopped() {
                return None;
            }
            for other in group[place + 1..].iter().take(near) {
                if looks[*one] >= LOOKS || looks[*other] >= LOOKS {
                    continue;
                }
                looks[*one] += 1;
                looks[*other] += 1;
                let (one, other) = (&cards[*one], &cards[*other]);
                let key = (one.id.min(other.id), one.id.max(other.id));
                let fresh = |_: &(Vec<Reason>, u32)| key.0 != key.1 && !two.contains(&key) && seen.insert(key);
                if let Some((reasons, weight)) = compare(one, other).filter(fresh) {
                    found.push(Pair { one: key.0, other: key.1, reasons, weight });
                }
            }
        }
        if found.len() > 2 * MOST_PAIRS {
            likeliest(&mut found);
        }
    }
    likeliest(&mut found);
    Some((found, looks.iter().sum::<u32>() / 2))
}

fn likeliest(found: &mut Vec<Pair>) {
    found.sort_by_key(|pair| (std::cmp::Reverse(pair.weight), pair.one, pair.other));
    found.truncate(MOST_PAIRS);
}

/// How many of the rows after it a row is compared with, in a group of this size.
fn near(group: usize) -> usize {
    if group > LARGE { NEIGHBOURS } else { group }
}

/// Rows that have something in common. Comparing every row with every other would take
/// minutes for ten thousand.
fn groups(cards: &[Card]) -> Vec<Vec<usize>> {
    let mut named: HashMap<String, Vec<usize>> = HashMap::new();
    let mut reached: HashMap<String, Vec<usize>> = HashMap::new();
    for (place, card) in cards.iter().enumerate() {
        for key in name_keys(card) {
            named.entry(key).or_default().push(place);
        }
        if !card.mail.is_empty() {
            reached.entry(format!("m{}", card.mail)).or_default().push(place);
        }
        if card.phone.len() >= 7 {
            reached.entry(format!("p{}", card.phone)).or_default().push(place);
        }
    }
    let few = reached.into_values().filter(|group| group.len() <= MANY);
    let mut all: Vec<Vec<usize>> = few.chain(named.into_values()).filter(|group| group.len() > 1).collect();
    // In the same order every time, whatever order the maps have.
    all.sort_by(|one, other| (one.len(), one).cmp(&(other.len(), other)));
    all
}

fn name_keys(card: &Card) -> HashSet<String> {
    let begin = |word: &str, letters: usize| word.chars().take(letters).collect::<String>();
    // The first letters of all words, in case each word has a typo.
    let mut keys = HashSet::from([card.words.iter().map(|word| begin(word, 3)).collect::<Vec<_>>().join("-")]);
    for (place, word) in card.words.iter().enumerate() {
        let others = card.words.iter().enumerate().filter(|(other, _)| *other != place);
        keys.extend(others.map(|(_, other)| format!("{word} {}", begin(other, 1))));
        if card.words.len() == 1 {
            keys.insert(word.clone());
        }
        if !card.organization.is_empty() && word.chars().count() > 1 {
            keys.insert(format!("{word} @{}", card.organization));
        }
    }
    keys
}

fn compare(one: &Card, other: &Card) -> Option<(Vec<Reason>, u32)> {
    let both = |a: &str, b: &str| !a.is_empty() && a == b;
    let differ = |a: &str, b: &str| !a.is_empty() && !b.is_empty() && a != b;
    let likeness = likeness(one, other);
    let mail = both(&one.mail, &other.mail);
    let phone = both(&one.phone, &other.phone) && one.phone.len() >= 7;
    let organization = both(&one.organization, &other.organization);
    let office = both(&one.office, &other.office);
    let something = mail || phone || organization || office;
    let against = differ(&one.mail, &other.mail) || differ(&one.organization, &other.organization);
    let worth = match likeness {
        Some(1.0) => true,
        Some(likeness) => something || (likeness >= VERY_ALIKE && !against),
        None => mail || phone,
    };
    if !worth {
        return None;
    }
    let mut reasons = Vec::new();
    let mut weight = 0;
    let mut say = |holds: bool, reason, counts| {
        if holds {
            reasons.push(reason);
            weight += counts;
        }
    };
    say(mail, Reason::SameMail, 40);
    say(phone, Reason::SamePhone, 30);
    say(likeness == Some(1.0), Reason::SameName, 35);
    say(likeness.is_some_and(|likeness| likeness < 1.0), Reason::NamesAlike, 20);
    say(organization, Reason::SameOrganization, 10);
    say(office, Reason::SameOffice, 10);
    say(likeness.is_none(), Reason::DifferentNames, 0);
    Some((reasons, weight))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::people::Details;

    fn person(id: i64, name: &str, organization: &str, mail: &str, phone: &str) -> Person {
        let details = Details {
            organization: organization.to_owned(),
            mail: mail.to_owned(),
            phone: phone.to_owned(),
            ..Details::of_name(name)
        };
        Person { id, details, refused: String::new(), version: 1 }
    }

    fn found(people: &[Person]) -> Vec<String> {
        let pairs = pairs(people, &HashSet::new(), || false).unwrap();
        let reasons = |pair: &Pair| pair.reasons.iter().map(|reason| reason.as_str()).collect::<Vec<_>>().join(" ");
        pairs.iter().map(|pair| format!("{}-{} {}", pair.one, pair.other, reasons(pair))).collect()
    }

    #[test]
    fn one_person_in_different_spellings_is_found() {
        for other in [
            "Okafor, Priya",
            "PRIYA OKAFOR",
            "Dr. Priya Okafor",
            "P. Okafor",
            "Okafor P",
            "Prya Okafor",
            "Priya Okafar",
            "Priya N. Okafor",
            "Príya Okáfor",
        ] {
            let people = [
                person(1, "Priya Okafor", "Alder Bend Hardware", "", ""),
                person(2, other, "alder bend hardware", "", ""),
            ];
            assert_eq!(found(&people).len(), 1, "{other}");
        }
    }

    #[test]
    fn two_people_are_not_taken_for_one() {
        for (one, other) in [
            ("Priya Okafor", "Priya Okonkwo"),
            ("Ana Ruiz", "Ana Marsh"),
            ("Jun Castellane", "Jan Castel"),
            ("Dele Aldous", "Wren Ibarra"),
            ("P. Okafor", "Q. Okafor"),
            ("Ana", "Ana Ruiz"),
        ] {
            let people =
                [person(1, one, "Alder Bend Hardware", "", ""), person(2, other, "Alder Bend Hardware", "", "")];
            assert_eq!(found(&people), Vec::<String>::new(), "{one}, {other}");
        }
    }

    #[test]
    fn the_reason_is_named() {
        let people = [
            person(1, "Ana Ruiz", "", "ana@example.org", "(312) 555-0117"),
            person(2, "A. Ruiz", "", "", "+1 312 555 0117"),
            person(3, "Odette Marsh", "", "ANA@example.org", ""),
        ];
        assert_eq!(found(&people), ["1-2 same-phone names-alike", "1-3 same-mail different-names"]);
    }

    #[test]
    fn an_office_with_one_phone_is_not_full_of_duplicates() {
        let names =
            ["Ana Ruiz", "Odette Marsh", "Dele Aldous", "Wren Ibarra", "Jun Castellane", "Tomás Brandt", "Ivo Lund"];
        let people: Vec<Person> =
            (1..).zip(names).map(|(id, name)| person(id, name, "County", "desk@example.org", "555-0100")).collect();
        assert_eq!(found(&people), Vec::<String>::new());
    }

    #[test]
    fn a_pair_marked_as_two_people_is_not_shown_again() {
        let people = [person(1, "Ana Ruiz", "", "", ""), person(2, "Ana Ruiz", "", "", "")];
        assert_eq!(pairs(&people, &HashSet::new(), || false).unwrap().len(), 1);
        assert_eq!(pairs(&people, &HashSet::from([(1, 2)]), || false).unwrap(), []);
    }

    #[test]
    fn twenty_thousand_rows_need_few_comparisons() {
        let syllables = ["ba", "de", "ki", "lo", "mu", "ra", "se", "ti", "vo", "zu", "an", "el"];
        let word = |n: usize| [n, n / 12, n / 144].map(|n| syllables[n % 12]).concat();
        let mixed = |n: usize| format!("{} {}", word(n * 7 % 900), word(n * 13 % 1_400));
        let alike = |n: usize| format!("Person {n}");
        let same = |_: usize| "Guest".to_owned();
        // Twelve single letters, a few of them different in each.
        let letters = |n: usize| {
            let letter = |at: usize| char::from(b'a' + u8::try_from((at * 3 + n / (at + 1)) % 26).unwrap());
            (0..12).flat_map(|at| [letter(at), ' ']).collect::<String>()
        };
        for name in [&mixed as &dyn Fn(usize) -> String, &alike, &same, &letters] {
            let one = |n: usize| {
                let (organization, mail) = (format!("Organization {}", n % 300), format!("p{n}@example.org"));
                person(i64::try_from(n).unwrap(), &name(n), &organization, &mail, &format!("555-{n:05}"))
            };
            let people: Vec<Person> = (0..20_000).map(one).collect();
            let (_, compared) = search(&people, &HashSet::new(), || false).unwrap();
            // Every row with every other would be 200 million. The benchmark says how long this takes.
            assert!(compared <= 20_000 * LOOKS / 2, "{}: {compared}", name(1));
            assert_eq!(pairs(&people, &HashSet::new(), || true), None, "it stops when asked to");
        }
    }
}
