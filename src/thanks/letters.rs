//! What a thank-you letter says.

use super::{Day, Reason};
use crate::asks::Sender;
use crate::events::Event;
use crate::web::words;

/// A letter without its greeting and signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Written {
    pub lead: String,
    /// The day and its figures: lines with a label and a text.
    pub facts: Vec<(String, String)>,
    /// The result of the day; may be empty.
    pub result: String,
    /// The keys of what it is for, for `data-` marks.
    pub keys: String,
}

/// Thanks for all of these, with the personal sentence and the day's figures.
pub(super) fn write(event: &Event, day: &Day, reasons: &[&Reason], sentence: &str) -> Written {
    let mut for_what: Vec<String> = Vec::new();
    for reason in reasons {
        let thanks = format!("for {}", reason.thanks);
        if !for_what.contains(&thanks) {
            for_what.push(thanks);
        }
    }
    let thanks = format!("Thank you {}.", words::and(&for_what));
    let lead = if sentence.is_empty() { thanks } else { format!("{thanks} {sentence}") };
    let on = words::Reader::Public.day(event.details.burn_on);
    let place = if event.details.site.is_empty() { on } else { format!("{on}, {}", event.details.site) };
    let mut facts = vec![("Live burn".to_owned(), place)];
    facts.extend(figures(day));
    Written { lead, facts, result: day.result.clone(), keys: keys(reasons) }
}

/// What someone is thanked for, by its keys: "gift/1 request/3".
pub(super) fn keys(reasons: &[&Reason]) -> String {
    reasons.iter().map(|reason| reason.key.as_str()).collect::<Vec<_>>().join(" ")
}

/// The figures that were entered, each with its unit.
pub(super) fn figures(day: &Day) -> Vec<(String, String)> {
    let after = |time: Option<u32>| time.map(|time| format!("{} after the first flame", spelled(time)));
    let flashover = after(day.flashover).map(|text| format!("{text}, in the room without a sprinkler"));
    let all = [
        ("Audience", day.came.map(|came| words::count(usize::try_from(came).unwrap_or(0), "person", "people"))),
        ("Smoke alarm", after(day.alarm)),
        ("Sprinkler", after(day.sprinkler)),
        ("Flashover", flashover),
    ];
    all.into_iter().filter_map(|(label, text)| Some((label.to_owned(), text?))).collect()
}

/// "48 seconds", "3 minutes 40 seconds".
fn spelled(all: u32) -> String {
    let count = |number: u32, one: &str, many: &str| words::count(usize::try_from(number).unwrap_or(0), one, many);
    let (minutes, seconds) = (count(all / 60, "minute", "minutes"), count(all % 60, "second", "seconds"));
    match (all / 60, all % 60) {
        (0, _) => seconds,
        (_, 0) => minutes,
        _ => format!("{minutes} {seconds}"),
    }
}

/// Who signs: the name below the letter.
pub(super) fn signature(day: &Day, sender: &Sender) -> String {
    match (day.signed_by.as_str(), day.signed_as.as_str()) {
        ("", _) if sender.title.is_empty() => sender.name.clone(),
        ("", _) => format!("{}, {}", sender.name, sender.title),
        (name, "") => name.to_owned(),
        (name, post) => format!("{name}, {post}"),
    }
}
