//! Finds the person someone means by a name and an email address, so nobody is added
//! twice or taken for someone else.

use crate::people::{Person, fold};

/// What someone typed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sought<'a> {
    pub name: &'a str,
    /// May be empty.
    pub mail: &'a str,
}

/// Who it may be.
#[derive(Debug)]
pub(super) enum Match<'a> {
    Nobody,
    One(&'a Person),
    /// Whoever typed it has to choose.
    Several(Vec<&'a Person>),
}

impl Sought<'_> {
    /// The person with the address and a similar name, or without an address the person
    /// with the name. If two people have the name, if the address belongs to someone with
    /// another name, or if the person has another address, whoever typed it has to choose.
    pub fn among<'a>(&self, people: &'a [Person]) -> Match<'a> {
        let is_reached =
            |person: &&Person| !self.mail.is_empty() && person.details.mail.eq_ignore_ascii_case(self.mail);
        let by_mail: Vec<&Person> = people.iter().filter(is_reached).collect();
        let by_name: Vec<&Person> =
            people.iter().filter(|person| is_same_name(&person.details.name, self.name)).collect();
        match by_mail.iter().filter(|person| is_like(&person.details.name, self.name)).collect::<Vec<_>>().as_slice() {
            [one] => return Match::One(one),
            [] if by_mail.is_empty() && by_name.is_empty() => return Match::Nobody,
            _ => {}
        }
        match (by_mail.as_slice(), by_name.as_slice()) {
            // One person has the name, and the address doesn't contradict it.
            ([], [one]) if self.mail.is_empty() || one.details.mail.is_empty() => Match::One(one),
            _ => {
                let mut all = by_mail;
                all.extend(
                    by_name
                        .into_iter()
                        .filter(|person| !all.iter().any(|known| known.id == person.id))
                        .collect::<Vec<_>>(),
                );
                Match::Several(all)
            }
        }
    }
}

fn is_same_name(one: &str, other: &str) -> bool {
    fold(one) == fold(other)
}

/// "A. Quick" and "Ada Quick": same surname and same first letter.
fn is_like(one: &str, other: &str) -> bool {
    let parts = |name: &str| {
        let folded = fold(name);
        let words: Vec<&str> = folded.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
        let first = words.first().and_then(|word| word.chars().next());
        (first, words.last().map(|word| (*word).to_owned()))
    };
    is_same_name(one, other) || parts(one) == parts(other)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::people::Details;

    fn person(id: i64, name: &str, mail: &str) -> Person {
        let details = Details { mail: mail.to_owned(), ..Details::of_name(name) };
        Person { id, details, refused: String::new(), version: 1 }
    }

    fn found(people: &[Person], name: &str, mail: &str) -> Vec<i64> {
        match (Sought { name, mail }).among(people) {
            Match::Nobody => vec![],
            Match::One(person) => vec![person.id],
            Match::Several(all) => [vec![0], all.iter().map(|person| person.id).collect()].concat(),
        }
    }

    /// Several matches start with 0.
    #[test]
    fn nobody_is_taken_for_someone_else() {
        let people = [
            person(1, "Ada Quick", "ada@example.org"),
            person(2, "Ben Hall", ""),
            person(3, "Cleo Ray", "desk@example.org"),
            person(4, "Dan Ito", "dan@example.org"),
            person(5, "Dan Ito", "dan.ito@example.org"),
        ];
        let cases: [(&str, &str, &[i64]); 11] = [
            ("Ada Quick", "ADA@example.org", &[1]),
            ("A. Quick", "ada@example.org", &[1]),
            ("ada quick", "", &[1]),
            ("Ada Quick", "another@example.org", &[0, 1]),
            ("Ben Hall", "ben@example.org", &[2]),
            ("Eve Moss", "desk@example.org", &[0, 3]),
            ("Dan Ito", "", &[0, 4, 5]),
            ("Dan Ito", "dan.ito@example.org", &[5]),
            ("Dan Ito", "third@example.org", &[0, 4, 5]),
            ("Eve Moss", "eve@example.org", &[]),
            ("Eve Moss", "", &[]),
        ];
        for (name, mail, wanted) in cases {
            assert_eq!(found(&people, name, mail), wanted, "{name} <{mail}>");
        }
    }
}
