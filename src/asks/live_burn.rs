//! What every question says about the event: what a live burn is, how this one goes, where
//! to park, and what to wear.

use super::Request;
use crate::events::{self, Details, Format, LIVE_BURN};

/// How long a live burn takes, in whole hours. Common practice, no source.
pub(super) const LASTS_HOURS: i64 = 2;

/// What a live burn is, for someone who has never seen one.
#[must_use]
pub fn about(details: &Details) -> String {
    says(&details.name, order(details.format), &LASTS_HOURS.to_string())
}

fn order(format: Format) -> &'static str {
    match format {
        Format::OneAtATime => "one after the other",
        Format::BothAtOnce => "at the same time",
    }
}

fn says(name: &str, order: &str, hours: &str) -> String {
    format!(
        "{name} is a live burn. {LIVE_BURN} They burn {order} in front of the public. It takes about {hours} hours."
    )
}

/// Statements store these sentences and compare them, so they keep the words that the first
/// of them were stored in. Readers get today's.
const STORED: [&str; 3] = [
    " is a live burn: firefighters burn two furnished rooms in front of the public, ",
    ". The rooms are alike, but only one has a fire sprinkler. It takes about ",
    " hours.",
];

/// The same as it is stored.
pub(super) fn stored(details: &Details) -> String {
    let [is, alike, hours] = STORED;
    format!("{}{is}{}{alike}{LASTS_HOURS}{hours}", details.name, order(details.format))
}

/// A stored text as people read it.
pub(super) fn read(stored: &str) -> String {
    let [is, alike, hours] = STORED;
    let parts = stored.strip_suffix(hours).and_then(|text| {
        let (name, text) = text.split_once(is)?;
        let (order, hours) = text.split_once(alike)?;
        Some((name, order, hours))
    });
    parts.map_or_else(|| stored.to_owned(), |(name, order, hours)| says(name, order, hours))
}

/// The event's address, place on the map, parking and clothing, as far as they are known.
/// Parking and clothing are for people who come, and a question's own lines about them
/// replace these.
pub(super) fn for_visitors(details: &Details, request: &Request) -> Vec<(String, String)> {
    let has_own = |label: &str| request.facts.iter().any(|(other, _)| other == label);
    let mut lines = details.visitors.lines();
    lines.retain(|(label, _)| match label.as_str() {
        // Of the press, the line about arrival says where to park.
        events::PARKING => request.kind.comes() && !has_own(events::PARKING) && !has_own("Arrival"),
        events::WEAR => request.kind.comes() && !has_own(events::WEAR),
        _ => true,
    });
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::asks::Kind;
    use crate::asks::calendar::tests::{event, request};
    use crate::events::VisitorFacts;

    /// A store in use has these words. With others, everyone would need an update.
    #[test]
    fn what_is_stored_stays_and_reads_in_todays_words() {
        let mut details = event().details;
        assert_eq!(
            stored(&details),
            "Two Rooms, One Spark is a live burn: firefighters burn two furnished rooms in front of the public, one \
             after the other. The rooms are alike, but only one has a fire sprinkler. It takes about 2 hours."
        );
        let before = read(&stored(&details));
        assert_eq!(before, about(&details));
        assert!(before.contains(LIVE_BURN) && before.starts_with(&details.name));
        details.format = Format::BothAtOnce;
        assert_eq!(read(&stored(&details)), about(&details));
        assert_ne!(before, about(&details));
        assert_eq!(read("Something else."), "Something else.");
    }

    #[test]
    fn a_question_says_where_to_park_and_what_to_wear_unless_its_own_lines_do() {
        let mut details = event().details;
        let asked = |kind: Kind, own: &str| {
            let facts = vec![(own.to_owned(), "their own".to_owned())];
            Request { kind, facts, ..request(Vec::new()) }
        };
        let labels = |details: &Details, kind: Kind, own: &str| {
            let lines = for_visitors(details, &asked(kind, own)).into_iter();
            lines.map(|(label, _)| label).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(labels(&details, Kind::Help, "Bring"), "", "nothing is known");
        details.visitors = VisitorFacts {
            address: "1200 Fairground Road".to_owned(),
            place: None,
            parking: "Field 1".to_owned(),
            clothing: "Closed shoes".to_owned(),
        };
        for (kind, own, says) in [
            (Kind::Help, "Bring", "Address Parking Wear"),
            (Kind::Post, "Wear", "Address Parking"),
            (Kind::Guest, "Parking", "Address Wear"),
            (Kind::Coverage, "Arrival", "Address Wear"),
            (Kind::Loan, "Item", "Address"),
            (Kind::Item, "Rug", "Address"),
        ] {
            assert_eq!(labels(&details, kind, own), says, "{kind:?} {own}");
        }
    }
}
