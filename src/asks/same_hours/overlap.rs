//! Which questions ask about the same hours.

use crate::asks::{AS_ALTERNATE, Ask, Hours, Kind, Request, Said, hours};
use std::collections::HashMap;
use time::Date;

/// A yes, and the open questions to the same person for hours that it takes.
#[derive(Debug)]
pub(in crate::asks) struct Settled {
    pub by: Request,
    pub others: Vec<Request>,
}

/// All of an event, each question to close with one of the answers that take its hours.
pub(in crate::asks) fn all(requests: &[Request]) -> Vec<Settled> {
    let mut to: HashMap<i64, Vec<&Request>> = HashMap::new();
    for request in requests.iter().filter(|request| request.kind == Kind::Post && !request.is_withdrawn) {
        to.entry(request.person_id).or_default().push(request);
    }
    let mut all = Vec::new();
    for theirs in to.values().filter(|theirs| theirs.len() > 1) {
        let (sure, mut open): (Vec<&Request>, Vec<&Request>) =
            theirs.iter().copied().partition(|request| has_yes(request));
        for by in sure {
            let (others, rest): (Vec<&Request>, Vec<&Request>) = open.into_iter().partition(|other| settles(by, other));
            if !others.is_empty() {
                all.push(Settled { by: by.clone(), others: others.into_iter().cloned().collect() });
            }
            open = rest;
        }
    }
    all.sort_by_key(|settled| settled.by.id);
    all
}

/// Of these questions, the open ones for hours that this one takes.
pub(in crate::asks) fn others<'a>(by: &Request, requests: &'a [Request]) -> Vec<&'a Request> {
    requests.iter().filter(|other| settles(by, other)).collect()
}

fn has_yes(request: &Request) -> bool {
    request.live().filter_map(Ask::stands).any(|answer| answer.said == Said::Yes)
}

/// Does a yes to the one question leave nothing to ask in the other? It must take the hours
/// of every date that is still open there, and the other must hold no promise.
fn settles(by: &Request, other: &Request) -> bool {
    let are_alike = by.kind == Kind::Post && other.kind == Kind::Post && by.person_id == other.person_id;
    if !are_alike || by.event_id != other.event_id || by.id == other.id || by.is_withdrawn || other.is_withdrawn {
        return false;
    }
    let is_open = |ask: &Ask| ask.stands().is_none();
    let leaves_nothing = |ask: &Ask| match ask.stands() {
        None => takes(by, ask.for_on, other),
        Some(answer) => answer.said == Said::No,
    };
    other.live().any(is_open) && other.live().all(leaves_nothing)
}

/// Does a yes to the one question take all the hours of the other on a date? Only if both
/// state their hours. An alternate keeps the hours free unless called in.
fn takes(by: &Request, on: Date, other: &Request) -> bool {
    let Some(answer) = by.stands_for(on).filter(|answer| answer.said == Said::Yes) else { return false };
    let sure = without_alternates(&by.facts);
    let (Some(ours), Some(theirs)) = (hours::stated(&sure), hours::stated(&other.facts)) else { return false };
    // Someone may have said yes to a part of the time.
    let part = |hours: Hours| answer.there.map_or(Some(hours), |there| hours.common(there));
    let taken: Vec<Hours> = ours.into_iter().filter_map(part).collect();
    theirs.iter().all(|hours| taken.iter().any(|taken| taken.common(*hours).is_some()))
}

/// The lines under a question without those of positions that they take only as an alternate.
fn without_alternates(facts: &[(String, String)]) -> Vec<(String, String)> {
    let mut is_alternate = false;
    let mut lines = facts.to_vec();
    lines.retain(|(label, text)| {
        if label == POSITION {
            is_alternate = text.ends_with(AS_ALTERNATE);
        }
        !is_alternate
    });
    lines
}

/// The line that begins a position under a question.
const POSITION: &str = "Position";

/// The newer question that took this one's place. With two open, someone would be asked the
/// same thing twice.
pub(in crate::asks) fn replaced_by<'a>(request: &Request, requests: &'a [Request]) -> Option<&'a Request> {
    let is_same = |other: &&Request| {
        let about = subjects(other);
        let says_the_same = other.question == request.question || (other.kind == Kind::Post && !about.is_empty());
        other.kind == request.kind && about == subjects(request) && says_the_same
    };
    let is_newer = |other: &&Request| {
        let are_theirs = (other.event_id, other.person_id) == (request.event_id, request.person_id);
        are_theirs && other.id > request.id && !other.is_withdrawn
    };
    requests.iter().filter(is_newer).find(is_same)
}

/// The positions or items that a question is about.
fn subjects(request: &Request) -> Vec<&str> {
    let named = request.facts.iter().filter(|(label, _)| label == POSITION || label == "Item");
    named.map(|(_, text)| text.as_str()).collect()
}

#[cfg(test)]
mod tests;
