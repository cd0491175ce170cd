//! The letter that tells one person what changed.

use crate::asks::letters::{self, Heading};
use crate::asks::sending::Parties;
use crate::asks::{Ask, Change, Request, Said, StatedDate, Statement, calendar, lines, live_burn};
use crate::error::Result;
use crate::events::Event;
use crate::mail::{Letter, Parts};
use crate::web::words::Reader;
use time::{Date, OffsetDateTime};

/// What changed about when and where, in sentences without their periods, and lines for
/// everything else.
fn told(changes: &[Change]) -> (Vec<String>, Vec<String>) {
    let mut others: Vec<&Change> = changes.iter().collect();
    let mut take = |label: &str| {
        let at = others.iter().position(|change| change.label == label)?;
        Some(others.remove(at))
    };
    let burn_day = take("Burn day").map(|change| match (change.was.as_str(), change.now.as_str()) {
        ("", now) => format!("The live burn is now on {now}"),
        (was, now) => format!("The live burn is now on {now}, not {was}"),
    });
    let rain_date = if burn_day.is_some() { None } else { take("Rain date") };
    let rain_date = rain_date.map(|change| match (change.was.as_str(), change.now.as_str()) {
        (was, "") => format!("The live burn no longer has a rain date. It was {was}"),
        ("", now) => format!("The live burn now has a rain date: {now}"),
        (was, now) => format!("The rain date for the live burn is now {now}, not {was}"),
    });
    let hour = take("First fire").map(|change| match (change.was.as_str(), change.now.as_str()) {
        ("", now) => format!("The first fire is at {now}"),
        (was, now) => format!("The first fire is now at {now}, not {was}"),
    });
    // For a crew position, "Where" is a spot on the site.
    let place = take("Site").or_else(|| take("Where"));
    let place = place.map(|change| match (change.was.as_str(), change.now.as_str()) {
        (was, "") => format!("The live burn is no longer at {was}. We will tell you the new place"),
        ("", now) => format!("The place is {now}"),
        (was, now) => format!("The place is now {now}, not {was}"),
    });
    let says = [burn_day, rain_date, hour, place].into_iter().flatten().collect();
    (says, others.into_iter().map(Change::says).collect())
}

/// What each date means for this reader.
fn for_them(request: &Request, known: &Statement, event: &Event) -> Vec<String> {
    let mut says = Vec::new();
    for ask in request.live() {
        let stands = ask.stands().map(|answer| (letters::standing(event, request, ask, answer), answer.said));
        says.push(match stands {
            Some((stands, Said::Yes)) => format!("{stands} That still counts. You don't need to do anything."),
            Some((stands, Said::No)) => format!("{stands} If that has changed, tell us."),
            Some((stands, Said::Maybe)) => stands,
            Some((stands, Said::Deputy)) => format!("{stands} That still counts."),
            None if was_yes(request, ask.for_on) => {
                let day = letters::day_of(event, ask);
                format!("You said yes to {day}, before the date changed. Please answer again: {}", request.question)
            }
            None if request.kind.takes_offer() => format!("Please answer: {}", request.question),
            None => {
                let day = letters::day_of(event, ask);
                // In a copy of the store, their yes may have been lost.
                let file = if known.entries.contains(&ask.id) {
                    " Until you answer, the attached file takes this day off your calendar."
                } else {
                    ""
                };
                format!("Please answer for {day}: {}{file}", request.question)
            }
        });
    }
    let is_gone = |date: &&StatedDate| request.live().all(|ask| ask.for_on != date.on && ask.id != date.ask);
    for date in known.yes().filter(is_gone) {
        let file =
            if known.entries.contains(&date.ask) { " The attached file takes it off your calendar." } else { "" };
        let day = Reader::Public.day(date.on);
        says.push(format!("Your yes to {day}, no longer counts because the date changed.{file}"));
    }
    if request.live().next().is_none() {
        says.push("We will ask you again if we need you on the new date.".to_owned());
    }
    says
}

/// Did they say yes to this date when it was the event's before?
fn was_yes(request: &Request, on: Date) -> bool {
    let before = request.asks.iter().filter(|ask| ask.is_lapsed && ask.for_on == on).max_by_key(|ask| ask.id);
    before.and_then(Ask::last).is_some_and(|answer| answer.said == Said::Yes)
}

/// Tells one person who knows how it was what changed.
pub(super) fn changed(
    event: &Event,
    request: &Request,
    known: &Statement,
    parties: Parties<'_>,
    now: OffsetDateTime,
) -> Result<Letter> {
    if request.is_withdrawn {
        return letters::withdrawing(event, request, known, parties, now);
    }
    let changes = known.changes(event, &Statement::of(event, request), Reader::Public);
    let (mut says, others) = told(&changes);
    let mut words = for_them(request, known, event);
    if !others.is_empty() {
        let begin = if says.is_empty() { "What changed" } else { "Also changed" };
        words.insert(0, format!("{begin}:\n{}", others.join("\n")));
    }
    if says.is_empty() {
        let name = &event.details.name;
        says.push(if others.is_empty() {
            format!("Here are your details for {name}")
        } else {
            format!("Some details have changed for {name}")
        });
    }
    let subject = says.first().cloned().unwrap_or_default();
    words.push(live_burn::about(&event.details));
    let is_asked = request.live().next().is_some();
    let open = request.live().any(|ask| ask.stands().is_none());
    let press = if open { "Answer" } else { "See or change your answer" };
    let lead = says.iter().map(|says| letters::sentence(says)).collect::<Vec<_>>().join(" ");
    let facts = lines::facts(event, request, Reader::Public);
    let after = if open { letters::answer_by(event, request) } else { letters::until(event, request) };
    let parts = Parts {
        lead: &lead,
        facts: &facts,
        words: &words,
        press: is_asked.then(|| (press, letters::press(request).1)),
        after: if is_asked { &after } else { "" },
        ..Parts::default()
    };
    let said: usize = request.asks.iter().map(|ask| ask.answers.len()).sum();
    let at = now.unix_timestamp();
    let dedup = format!("change/{}/{}/{}/{said}/{at}", request.id, event.facts_revision, request.version);
    let heading = Heading::notice(request, dedup, subject, now);
    let letter = letters::letter(heading, event, request, parties.person, parties.sender, &parts)?;
    let calendars = calendar::attachments(event, request, known, parties, now);
    // Someone may already be on the way.
    Ok(Letter { urgent: true, calendars, ..letter })
}
