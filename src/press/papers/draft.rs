//! The first text of a paper, out of what is known. What isn't stands in square
//! brackets, so that nobody sends it unseen.

use super::PaperKind;
use crate::events::{Event, Format};
use crate::press::facts::Facts;
use crate::web::words;
use time::Date;

/// "Saturday 2 January 2027", as outlets have it.
pub(super) fn long_day(on: Date) -> String {
    format!("{} {} {} {}", on.weekday(), on.day(), on.month(), on.year())
}

fn or(known: &str, wanted: &str) -> String {
    if known.is_empty() { format!("[{wanted}]") } else { known.to_owned() }
}

/// Headline and text.
pub(super) fn draft(kind: PaperKind, event: &Event, department: &str, facts: &Facts) -> (String, String) {
    let what = match event.details.format {
        Format::OneAtATime => {
            "Two rooms, furnished alike, are set on fire one after the other: one without a home fire sprinkler, one \
             with."
        }
        Format::BothAtOnce => {
            "Two rooms, furnished alike, are set on fire at the same time: one without a home fire sprinkler, one with."
        }
    };
    match kind {
        PaperKind::Advisory => (
            "Two rooms burn so that families can see how fast it goes".to_owned(),
            advisory(what, event, department, facts),
        ),
        PaperKind::Release => {
            let headline = format!("{department} burns two rooms to show how little time a home fire leaves");
            (headline, release(what, event, department, facts))
        }
        PaperKind::AfterTheDay => {
            let headline = "Two rooms, two ends: what people saw at the live burn".to_owned();
            (headline, after_the_day(what, event, department, facts))
        }
    }
}

fn rain_line(event: &Event, facts: &Facts) -> String {
    let decision = or(&facts.decision, "when and where the decision is told");
    match event.details.rain_on {
        Some(on) => format!("{}. {decision}", long_day(on)),
        None => format!("None. {decision}"),
    }
}

fn contact_line(facts: &Facts) -> String {
    format!("{}, {}", or(&facts.contact, "contact name"), or(&facts.phone, "contact phone"))
}

fn advisory(what: &str, event: &Event, department: &str, facts: &Facts) -> String {
    let place = or(&event.details.site, "place");
    let lines = [
        ("WHAT", what.to_owned()),
        ("WHO", department.to_owned()),
        ("WHEN", format!("{}, {}", long_day(event.details.burn_on), words::clock(event.details.burn_time))),
        ("WHERE", place),
        ("WHY", or(&facts.why, "why it is worth a story")),
        ("RAIN DATE", rain_line(event, facts)),
        ("TO FILM", or(&facts.visuals, "what there is to see, with the expected minute: say about")),
        ("INTERVIEWS", or(&facts.interviews, "who speaks and when")),
        ("ARRIVAL", or(&facts.arrival, "arrival time, gate and parking")),
        ("PRESS AREA", or(&facts.area, "press area")),
        ("CLOTHING", or(&facts.clothing, "clothing")),
        ("POWER", or(&facts.power, "power and live trucks")),
        ("CONTACT", contact_line(facts)),
    ];
    lines.map(|(label, text)| format!("{label}: {text}")).join("\n\n")
}

fn release(what: &str, event: &Event, department: &str, facts: &Facts) -> String {
    let place = or(&event.details.site, "place");
    let mut parts = vec![
        format!(
            "On {} at {}, {department} burns two rooms in public at {place}. {what}",
            long_day(event.details.burn_on),
            words::clock(event.details.burn_time)
        ),
        or(&facts.why, "why it is worth a story"),
        "“[What the fire chief says, in one or two sentences],” said [name and title].".to_owned(),
    ];
    parts.extend(facts.messages.iter().cloned());
    parts.push(format!("Rain date: {}", rain_line(event, facts)));
    parts.push(format!("Contact: {}", contact_line(facts)));
    parts.join("\n\n")
}

fn after_the_day(what: &str, event: &Event, department: &str, facts: &Facts) -> String {
    let mut parts = vec![
        format!(
            "[How many] people watched on {} as {department} burned two rooms. {what}",
            long_day(event.details.burn_on)
        ),
        "In the room without a sprinkler everything burned after about [minutes and seconds]. In the other one the \
         sprinkler opened after about [minutes and seconds]."
            .to_owned(),
        "“[What somebody who watched said],” said [name].".to_owned(),
    ];
    parts.extend(facts.messages.iter().cloned());
    parts.push(format!("Contact: {}", contact_line(facts)));
    parts.join("\n\n")
}
