//! The first text of a paper: marks for what the event and the press facts tell,
//! and square brackets for what somebody must still find out.

use super::PaperKind;
use super::marks::{PaperFacts, Piece, pieces};
use crate::press::facts::Facts;

/// Headline and text.
pub(super) fn draft(kind: PaperKind, facts: &Facts) -> (String, String) {
    let (headline, parts) = match kind {
        PaperKind::Advisory => ("Two rooms burn so that families can see how fast it goes", advisory()),
        PaperKind::Release => {
            ("{department} burns two rooms to show how little time a home fire leaves", release(facts))
        }
        PaperKind::AfterTheDay => ("Two rooms, two ends: what people saw at the live burn", after_the_day(facts)),
    };
    (headline.to_owned(), parts.join("\n\n"))
}

fn owned(parts: &[&str]) -> Vec<String> {
    parts.iter().map(|part| (*part).to_owned()).collect()
}

fn advisory() -> Vec<String> {
    owned(&[
        "WHAT: {what happens}",
        "WHO: {department}",
        "WHEN: {burn day}, {time}",
        "WHERE: {place}",
        "WHY: {why}",
        "RAIN DATE: {rain date}. {decision}",
        "TO FILM: {what to film}",
        "INTERVIEWS: {interviews}",
        "ARRIVAL: {arrival}",
        "PRESS AREA: {press area}",
        "CLOTHING: {clothing}",
        "POWER: {power}",
        "CONTACT: {contact}, {contact phone}",
    ])
}

/// The messages, if there are any.
fn messages(facts: &Facts) -> &'static [&'static str] {
    if facts.messages.is_empty() { &[] } else { &["{messages}"] }
}

fn release(facts: &Facts) -> Vec<String> {
    let mut parts = owned(&[
        "On {burn day} at {time}, {department} burns two rooms in public at {place}. {what happens}",
        "{why}",
        "“[What the fire chief says, in one or two sentences],” said [name and title].",
    ]);
    parts.extend(owned(messages(facts)));
    parts.extend(owned(&["Rain date: {rain date}. {decision}", "Contact: {contact}, {contact phone}"]));
    parts
}

fn after_the_day(facts: &Facts) -> Vec<String> {
    let mut parts = owned(&[
        "[How many] people watched on {burn day} as {department} burned two rooms. {what happens}",
        "In the room without a sprinkler everything burned after about [minutes and seconds]. In the other one the \
         sprinkler opened after about [minutes and seconds].",
        "“[What somebody who watched said],” said [name].",
    ]);
    parts.extend(owned(messages(facts)));
    parts.push("Contact: {contact}, {contact phone}".to_owned());
    parts
}

/// A text from before there were marks, with marks for what it was made of, as
/// far as it still says the facts as they stand: paragraph by paragraph, each
/// word for word or not at all.
pub(super) fn with_marks(kind: PaperKind, text: &str, known: &Facts, facts: &PaperFacts) -> String {
    let (_, made) = draft(kind, &Facts { messages: Vec::new(), ..known.clone() });
    let templates: Vec<&str> = made.split("\n\n").collect();
    let messages = known.messages.join("\n\n");
    let has_messages = !messages.is_empty() && !text.contains('{') && text.contains(&messages);
    let text = if has_messages && kind != PaperKind::Advisory {
        text.replacen(&messages, "{messages}", 1)
    } else {
        text.to_owned()
    };
    let marked = |part: &str| {
        let template = templates.iter().find(|template| is_made_of(part, template, facts));
        template.map_or_else(|| part.to_owned(), |template| (*template).to_owned())
    };
    text.split("\n\n").map(marked).collect::<Vec<_>>().join("\n\n")
}

/// Is a paragraph this one with the facts in it, or with the places of those
/// that weren't known?
fn is_made_of(part: &str, template: &str, facts: &PaperFacts) -> bool {
    let mut rest = part.trim();
    for piece in pieces(template) {
        let next = match piece {
            Piece::Words(words) | Piece::Other(words) => rest.strip_prefix(words),
            Piece::Mark(mark) => facts.get(mark).and_then(|fact| {
                let unknown = || rest.starts_with('[').then(|| rest.split_once(']').map(|(_, next)| next)).flatten();
                rest.strip_prefix(fact.shown.as_str()).or_else(unknown)
            }),
        };
        let Some(next) = next else { return false };
        rest = next;
    }
    rest.is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::events::{Details, Format, Weekdays};
    use crate::zone::Zone;
    use time::Weekday;
    use time::macros::{date, time};

    fn facts(known: &Facts) -> PaperFacts {
        let details = Details {
            name: "Two Rooms".to_owned(),
            site: "Fairground".to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 01 - 02),
            burn_time: time!(10:00),
            rain_on: None,
            format: Format::BothAtOnce,
            audience: None,
            weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
        };
        PaperFacts::of(&details, "Alder Bend Fire District", known)
    }

    #[test]
    fn an_old_text_gets_its_marks_and_reads_the_same() {
        let known = Facts {
            contact: "Jun Castellane".to_owned(),
            phone: "555-0118".to_owned(),
            messages: vec!["Get out early.".to_owned(), "Close doors.".to_owned()],
            ..Facts::default()
        };
        let facts = facts(&known);
        for kind in [PaperKind::Advisory, PaperKind::Release, PaperKind::AfterTheDay] {
            let (_, marked) = draft(kind, &known);
            let old = facts.fill(&marked);
            assert_ne!(old, marked);
            assert_eq!(with_marks(kind, &old, &known, &facts), marked, "{kind}");
        }
        // One line was written anew, and one says another day.
        let (_, marked) = draft(PaperKind::Advisory, &known);
        let mine = facts.fill(&marked).replace("WHERE: Fairground", "WHERE: The fairground, east lot");
        let mine = mine.replace("WHEN: Saturday 2 January", "WHEN: Saturday 9 January");
        let after = with_marks(PaperKind::Advisory, &mine, &known, &facts);
        assert!(after.contains("WHERE: The fairground, east lot"), "{after}");
        assert!(after.contains("WHEN: Saturday 9 January 2027, 10:00"), "{after}");
        assert!(after.contains("CONTACT: {contact}, {contact phone}"), "{after}");
        assert_eq!(facts.fill(&after), mine, "nothing is lost");
    }
}
