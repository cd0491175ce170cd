//! Overrides from before rules had keys, when the rules were known by their words.

use super::book::Book;
use super::rules::{key_of_duties, key_of_hours, key_of_qualification};
use super::{Hours, Post, store};
use crate::calc::duties;
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::web::{form, words};

/// The words of the rules in [`duties::RULES`] as they were then, in the same order.
const RULES: [&str; 22] = [
    "Two posts of one duty in the same hours need two people.",
    "The safety officer holds no other duty.",
    "The incident commander holds nothing else during the burn; in a small department the burn boss may be the same \
     person.",
    "The burn boss holds nothing else; in a small department the incident commander may be the same person.",
    "The ignition officer is on the attack line of a different burn only.",
    "The ignition officer lights the fire and does nothing else meanwhile.",
    "The ignition line may become the attack line once the fire is lit, not before.",
    "Rapid intervention stands ready for the crew and does nothing else.",
    "Whoever stands by to give medical help is none of the crew.",
    "Whoever is on a line does nothing else meanwhile.",
    "Whoever is on a line does nothing else meanwhile.",
    "Whoever is on a line does nothing else meanwhile.",
    "A pump operator stays at the pump.",
    "The presenter stays at the microphone.",
    "A timekeeper watches one room and nothing else.",
    "The public information officer stays with the press.",
    "The assistant safety officer may watch the weather and does nothing else.",
    "The weather watcher may be the assistant safety officer and nothing else.",
    "Whoever keeps count of the crew stays at the board.",
    "Whoever minds lost children stays with them.",
    "A media escort stays with the press they escort.",
    "A crowd steward stays with the crowd.",
];

/// Stores the keys of the rules that an event's overrides have only in words. A rule that
/// isn't recognized gets none, so its override no longer counts.
///
/// # Errors
/// The store's.
pub async fn read_old_overrides(tx: &mut Tx, event: &Event) -> Result<()> {
    let book = Book::load(tx, event).await?;
    for one in &book.assigned {
        let (Some(decided), Some(post)) = (&one.all_the_same, book.post(one.post_id)) else { continue };
        if decided.keys.is_empty() {
            let keys: Vec<String> = decided.rules.iter().filter_map(|rule| key(&book, post, rule)).collect();
            store::put_override_keys(tx, one.id, &keys).await?;
        }
    }
    Ok(())
}

fn key(book: &Book, post: &Post, rule: &str) -> Option<String> {
    let rule = rule.strip_suffix('.')?;
    of_qualification(book, rule).or_else(|| of_hours(rule)).or_else(|| of_duties(book, post, rule))
}

/// "“Driver/operator” is needed and not recorded", "“Driver/operator” is needed and holds
/// until Mon 31 May 2027, not on Sat 5 Jun 2027".
fn of_qualification(book: &Book, rule: &str) -> Option<String> {
    let (name, lacks) = rule.strip_prefix('“')?.split_once("” is needed and ")?;
    let id = book.qualifications.iter().find(|one| one.name == name)?.id;
    if lacks == "not recorded" {
        return Some(key_of_qualification(id, None));
    }
    let (last, on) = lacks.strip_prefix("holds until ")?.split_once(", not on ")?;
    Some(key_of_qualification(id, Some((words::read_old_day(last)?, words::read_old_day(on)?))))
}

/// "Can be there 09:30 to 12:00 on Sat 5 Jun 2027; the post is 08:30 to 11:00".
fn of_hours(rule: &str) -> Option<String> {
    let (there, needed) = rule.strip_prefix("Can be there ")?.split_once("; the post is ")?;
    let (there, on) = there.split_once(" on ")?;
    Some(key_of_hours(words::read_old_day(on)?, hours(there)?, hours(needed)?))
}

/// "A pump operator stays at the pump. Also: Parking, 08:30 to 11:00".
fn of_duties(book: &Book, post: &Post, rule: &str) -> Option<String> {
    let (rule, other) = rule.split_once(" Also: ")?;
    let (name, there) = other.rsplit_once(", ")?;
    let there = hours(there)?;
    let is_other = |one: &&Post| one.id != post.id && one.details.name == name && one.details.hours == there;
    let other = book.posts.iter().find(is_other)?;
    let broken = duties::rule(post.details.duty, other.details.duty)?;
    let place = duties::RULES.iter().position(|one| one == broken)?;
    (RULES.get(place) == Some(&rule)).then(|| key_of_duties(post.details.duty, other))
}

/// "08:30 to 11:00", "18:00 to 01:00 the next day".
fn hours(text: &str) -> Option<Hours> {
    let (from, until) = text.split_once(" to ")?;
    let until = until.strip_suffix(" the next day").unwrap_or(until);
    Some(Hours::between(form::time_of_day(from).ok()?, form::time_of_day(until).ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, time};

    #[test]
    fn each_rule_has_its_old_words() {
        assert_eq!(RULES.len(), duties::RULES.len());
    }

    #[test]
    fn hours_are_read_from_their_old_words() {
        let (there, needed) = (Hours::between(time!(9:30), time!(12:00)), Hours::between(time!(18:00), time!(1:00)));
        let rule = "Can be there 09:30 to 12:00 on Sat 5 Jun 2027; the post is 18:00 to 01:00 the next day";
        assert_eq!(of_hours(rule), Some(key_of_hours(date!(2027 - 06 - 05), there, needed)));
        assert_eq!(of_hours("Can be there in the morning on Sat 5 Jun 2027; the post is 18:00 to 01:00"), None);
    }
}
