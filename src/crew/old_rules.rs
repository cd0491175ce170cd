//! Overrides from before rules had keys, when the rules were known by their words.

use super::rules::{key_of_duties, key_of_hours, key_of_qualification};
use super::snapshot::CrewSnapshot;
use super::{Assignment, Hours, Post, store};
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

/// Stores the keys of the rules that an event's overrides have in old words. A rule that
/// isn't recognized gets none, so its override no longer counts. Keys that are there stay:
/// the first version with keys found some of them, but not all.
pub async fn read_old_overrides(tx: &mut Tx, event: &Event) -> Result<()> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    for one in &snapshot.assigned {
        let (Some(decided), Some(post)) = (&one.rule_override, snapshot.post(one.post_id)) else { continue };
        let mut all = decided.keys.clone();
        for key in decided.rules.iter().flat_map(|rule| keys(&snapshot, (one, post), rule)) {
            if !all.contains(&key) {
                all.push(key);
            }
        }
        if all != decided.keys {
            store::put_override_keys(tx, one.id, &all).await?;
        }
    }
    Ok(())
}

fn keys(snapshot: &CrewSnapshot, in_post: (&Assignment, &Post), rule: &str) -> Vec<String> {
    let Some(rule) = rule.strip_suffix('.') else { return Vec::new() };
    let key = of_qualification(snapshot, rule).or_else(|| of_hours(rule));
    key.map_or_else(|| of_duties(snapshot, in_post, rule), |key| vec![key])
}

/// "“Driver/operator” is needed and not recorded", "“Driver/operator” is needed and holds
/// until Mon 31 May 2027, not on Sat 5 Jun 2027".
fn of_qualification(snapshot: &CrewSnapshot, rule: &str) -> Option<String> {
    let (name, lacks) = rule.strip_prefix('“')?.split_once("” is needed and ")?;
    let id = snapshot.qualifications.iter().find(|one| one.name == name)?.id;
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

/// "A pump operator stays at the pump. Also: Parking, 08:30 to 11:00". The other position is
/// one of theirs. If they have several of that name and at those hours, the words were about
/// each of them.
fn of_duties(snapshot: &CrewSnapshot, (one, post): (&Assignment, &Post), rule: &str) -> Vec<String> {
    let Some((rule, name, there)) = read_duties(rule) else { return Vec::new() };
    let is_it = |other: &Post| {
        let broken = duties::rule(post.details.duty, other.details.duty);
        let place = broken.and_then(|broken| duties::RULES.iter().position(|known| known == broken));
        let is_rule = place.and_then(|place| RULES.get(place)) == Some(&rule);
        other.id != post.id && other.details.name == name && other.details.hours == there && is_rule
    };
    let theirs = snapshot.posts_of(one.person_id).into_iter().map(|(_, other)| other);
    theirs.filter(|other| is_it(other)).map(|other| key_of_duties(post.details.duty, other)).collect()
}

/// The rule, and the name and the hours of the other position.
fn read_duties(rule: &str) -> Option<(&str, &str, Hours)> {
    let (rule, other) = rule.split_once(" Also: ")?;
    let (name, there) = other.rsplit_once(", ")?;
    Some((rule, name, hours(there)?))
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
