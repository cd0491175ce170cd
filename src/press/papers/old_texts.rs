//! Texts from before there were marks, and from before dates were written the
//! American way ("Saturday 2 January 2027", "13:00").

use super::marks::{BURN_DAY, Fact, PHONE, PaperFacts, Piece, RAIN_DATE, TIME, WHAT_HAPPENS, pieces};
use super::{PaperKind, store};
use crate::db::Tx;
use crate::error::Result;
use crate::events;
use crate::press::facts::{self, Facts};
use crate::web::words;
use crate::zone::Zone;
use time::{Date, OffsetDateTime, Time};

/// Puts marks where a text still says, word for word, what it was made of. What
/// people wrote over stays, and is checked as words.
///
/// # Errors
/// The store's.
pub async fn mark_old_papers(tx: &mut Tx, department: &str, now: OffsetDateTime) -> Result<()> {
    for (event_id, id, kind, text) in store::without_marks(tx).await? {
        let Some(event) = events::find_in(tx, event_id).await? else { continue };
        let known = facts::of_event(tx, event_id).await?;
        let facts = PaperFacts::of(&event.details, department, &known, now);
        let marked = with_marks(kind, &text, &known, &facts);
        store::put_marks(tx, (event_id, id, kind), (&text, &marked), now).await?;
    }
    Ok(())
}

/// The facts as texts had them then.
pub(super) fn as_then(facts: &PaperFacts) -> PaperFacts {
    let shown = |fact: &Fact| match fact.mark {
        BURN_DAY => long_day(facts.burn_on),
        RAIN_DATE => facts.rain_on.map_or("None".to_owned(), long_day),
        TIME => fact.raw.clone(),
        WHAT_HAPPENS => format!("Two rooms, furnished alike, are set on fire {}", burned(&fact.raw)),
        PHONE if !fact.raw.is_empty() => fact.raw.clone(),
        _ => fact.shown.clone(),
    };
    let all = facts.all.iter().map(|fact| Fact { shown: shown(fact), ..fact.clone() }).collect();
    PaperFacts { all, ..facts.clone() }
}

fn long_day(on: Date) -> String {
    format!("{} {} {} {}", on.weekday(), on.day(), on.month(), on.year())
}

fn burned(format: &str) -> &'static str {
    if format == "one at a time" {
        "one after the other: one without a home fire sprinkler, one with."
    } else {
        "at the same time: one without a home fire sprinkler, one with."
    }
}

/// The requests to hold a text until then, as they were worded then.
pub(super) fn embargoes(on: Date, at: Time, zone: &Zone) -> [String; 2] {
    let offset = zone.instant(on, at).map(|instant| {
        let minutes = (zone.wall(instant).assume_utc() - instant).whole_minutes();
        let sign = if minutes < 0 { '-' } else { '+' };
        format!(" (UTC{sign}{:02}:{:02})", minutes.abs() / 60, minutes.abs() % 60)
    });
    let (weekday, month) = (on.weekday().to_string(), on.month().to_string());
    let day = format!("{} {} {} {}", &weekday[..3], on.day(), &month[..3], on.year());
    let (clock, offset) = (words::iso_time(at), offset.unwrap_or_default());
    [zone.plain().to_owned(), format!("time of {}", zone.name())]
        .map(|zone| format!("Please hold until {day}, {clock}, {zone}{offset}. This is a request."))
}

/// What a text began as, paragraph by paragraph.
fn first_text(kind: PaperKind) -> &'static [&'static str] {
    match kind {
        PaperKind::Advisory => &[
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
        PaperKind::Release => &[
            "On {burn day} at {time}, {department} burns two rooms in public at {place}. {what happens}",
            "{why}",
            "“[What the fire chief says, in one or two sentences],” said [name and title].",
            "Rain date: {rain date}. {decision}",
            "Contact: {contact}, {contact phone}",
        ],
        PaperKind::AfterTheDay => &[
            "[How many] people watched on {burn day} as {department} burned two rooms. {what happens}",
            "In the room without a sprinkler everything burned after about [minutes and seconds]. In the other one \
             the sprinkler opened after about [minutes and seconds].",
            "“[What somebody who watched said],” said [name].",
            "Contact: {contact}, {contact phone}",
        ],
    }
}

/// A text from before there were marks, with marks for what it was made of, where it
/// still agrees with the facts: paragraph by paragraph, each word for word or not at
/// all.
fn with_marks(kind: PaperKind, text: &str, known: &Facts, facts: &PaperFacts) -> String {
    let (then, templates) = (as_then(facts), first_text(kind));
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
    use super::*;
    use crate::events::{Details, Format, Weekdays};
    use time::Weekday;
    use time::macros::{date, datetime, time};

    fn facts(known: &Facts) -> PaperFacts {
        let details = Details {
            name: "Two Rooms".to_owned(),
            site: "Fairground".to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 01 - 02),
            burn_time: time!(13:00),
            rain_on: None,
            format: Format::BothAtOnce,
            audience: None,
            weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
            visitors: crate::events::VisitorFacts::default(),
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
            let marked = first_text(kind).join("\n\n");
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
        let old = then.fill(&first_text(PaperKind::Advisory).join("\n\n"));
        assert!(old.contains("WHEN: Saturday 2 January 2027, 13:00"), "{old}");
        let mine = old.replace("WHERE: Fairground", "WHERE: The fairground, east lot");
        let mine = mine.replace("WHEN: Saturday 2 January", "WHEN: Saturday 9 January");
        let after = with_marks(PaperKind::Advisory, &mine, &known, &facts);
        assert!(after.contains("WHERE: The fairground, east lot"), "{after}");
        assert!(after.contains("WHEN: Saturday 9 January 2027, 13:00"), "{after}");
        assert!(after.contains("CONTACT: {contact}, {contact phone}"), "{after}");
        assert_eq!(then.fill(&after), mine, "nothing is lost");
    }

    /// Chicago is six hours behind UTC in winter and five in summer.
    #[test]
    fn a_request_to_hold_is_known_again_in_its_old_words() {
        let zone = Zone::named("America/Chicago").unwrap();
        assert_eq!(
            embargoes(date!(2027 - 01 - 02), time!(12:00), &zone),
            [
                "Please hold until Sat 2 Jan 2027, 12:00, Central Time (UTC-06:00). This is a request.",
                "Please hold until Sat 2 Jan 2027, 12:00, time of America/Chicago (UTC-06:00). This is a request.",
            ]
        );
        assert!(embargoes(date!(2027 - 06 - 05), time!(12:00), &zone)[0].contains("(UTC-05:00)"));
    }
}
