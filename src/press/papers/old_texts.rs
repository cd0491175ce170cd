//! Puts marks in texts from before there were any.

mod store;

use super::kind::PaperKind;
use super::marks::{Piece, pieces};
use super::old_words::as_then;
use super::paper_facts::PaperFacts;
use crate::db::Tx;
use crate::error::Result;
use crate::events;
use crate::press::facts::{self, Facts};
use time::OffsetDateTime;

/// Puts marks where a text still says, word for word, what it was made of. What
/// people wrote over stays, and is checked as words.
pub async fn mark_old_papers(tx: &mut Tx, department: &str, now: OffsetDateTime) -> Result<()> {
    for old in store::without_marks(tx).await? {
        let Some(event) = events::find_in(tx, old.event_id).await? else { continue };
        let known = facts::of_event(tx, old.event_id).await?;
        let facts = PaperFacts::of(&event.details, department, &known, now);
        let marked = with_marks(old.kind, &old.text, &known, &facts);
        store::put_marks(tx, &old, &marked, now).await?;
    }
    Ok(())
}

/// What a text began as before there were marks, paragraph by paragraph.
const BEGAN_AS: [(PaperKind, &[&str]); 3] = [
    (
        PaperKind::Advisory,
        &[
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
        ],
    ),
    (
        PaperKind::Release,
        &[
            "On {burn day} at {time}, {department} burns two rooms in public at {place}. {what happens}",
            "{why}",
            "“[What the fire chief says, in one or two sentences],” said [name and title].",
            "Rain date: {rain date}. {decision}",
            "Contact: {contact}, {contact phone}",
        ],
    ),
    (
        PaperKind::AfterTheDay,
        &[
            "[How many] people watched on {burn day} as {department} burned two rooms. {what happens}",
            "In the room without a sprinkler everything burned after about [minutes and seconds]. In the other one \
             the sprinkler opened after about [minutes and seconds].",
            "“[What somebody who watched said],” said [name].",
            "Contact: {contact}, {contact phone}",
        ],
    ),
];

fn first_paragraphs(kind: PaperKind) -> &'static [&'static str] {
    BEGAN_AS.iter().find(|(known, _)| *known == kind).map_or(&[], |(_, paragraphs)| paragraphs)
}

/// A text from before there were marks, with marks for what it was made of, where it
/// still agrees with the facts: paragraph by paragraph, each word for word or not at
/// all.
fn with_marks(kind: PaperKind, text: &str, known: &Facts, facts: &PaperFacts) -> String {
    let (then, templates) = (as_then(facts), first_paragraphs(kind));
    let messages = known.messages.join("\n\n");
    let has_messages = !messages.is_empty() && !text.contains('{') && text.contains(&messages);
    let text = if has_messages && kind != PaperKind::Advisory {
        text.replacen(&messages, "{messages}", 1)
    } else {
        text.to_owned()
    };
    let marked = |part: &str| {
        let template = templates.iter().find(|template| is_made_of(part, template, &then));
        template.map_or_else(|| part.to_owned(), |template| (*template).to_owned())
    };
    text.split("\n\n").map(marked).collect::<Vec<_>>().join("\n\n")
}

/// Is a paragraph this one with the facts in it, or with brackets for those that
/// weren't known?
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
    use super::super::testing::details;
    use super::*;
    use crate::events::{Details, Format};
    use time::macros::{date, datetime, time};

    fn facts(known: &Facts) -> PaperFacts {
        let details = Details {
            burn_on: date!(2027 - 01 - 02),
            burn_time: time!(13:00),
            rain_on: None,
            format: Format::BothAtOnce,
            ..details()
        };
        PaperFacts::of(&details, "Alder Bend Fire District", known, datetime!(2026-11-30 15:00 UTC))
    }

    #[test]
    fn an_old_text_gets_its_marks_and_reads_the_same() {
        let known = Facts {
            contact: "Jun Castellane".to_owned(),
            phone: "5555550118".to_owned(),
            messages: vec!["Get out early.".to_owned(), "Close doors.".to_owned()],
            ..Facts::default()
        };
        let (facts, then) = (facts(&known), as_then(&facts(&known)));
        for kind in [PaperKind::Advisory, PaperKind::Release, PaperKind::AfterTheDay] {
            let marked = first_paragraphs(kind).join("\n\n");
            let old = then.fill(&marked);
            assert_ne!(old, marked);
            assert_eq!(with_marks(kind, &old, &known, &facts), marked, "{kind}");
        }
        let with_messages = "Get out early.\n\nClose doors.\n\nContact: Jun Castellane, 5555550118";
        assert_eq!(
            with_marks(PaperKind::Release, with_messages, &known, &facts),
            "{messages}\n\nContact: {contact}, {contact phone}"
        );
        // Someone rewrote one line, and one has another day.
        let old = then.fill(&first_paragraphs(PaperKind::Advisory).join("\n\n"));
        assert!(old.contains("WHEN: Saturday 2 January 2027, 13:00"), "{old}");
        let mine = old.replace("WHERE: Fairground", "WHERE: The fairground, east lot");
        let mine = mine.replace("WHEN: Saturday 2 January", "WHEN: Saturday 9 January");
        let after = with_marks(PaperKind::Advisory, &mine, &known, &facts);
        assert!(after.contains("WHERE: The fairground, east lot"), "{after}");
        assert!(after.contains("WHEN: Saturday 9 January 2027, 13:00"), "{after}");
        assert!(after.contains("CONTACT: {contact}, {contact phone}"), "{after}");
        assert_eq!(then.fill(&after), mine, "nothing is lost");
    }
}
