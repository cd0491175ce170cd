//! Someone who said yes to a position can't work another one at the same hours, so the
//! other open questions to them can be closed. The education officer decides that: an
//! answer by itself closes nothing.

use super::found::{self, back_to};
use super::noted::{self, By};
use super::statement::{Known, Statement};
use super::{AS_ALTERNATE, Ask, Hours, Kind, Request, Said, Sender, Sending, changes, deputy, hours, store};
use crate::accounts::Officer;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail;
use crate::people;
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/replies/{request}/close-others", post(close_others))
        .route("/events/{id}/replies/reopen", post(reopen))
}

/// A yes, and the open questions to the same person for hours that it takes.
#[derive(Debug)]
pub(super) struct Settled {
    pub by: Request,
    pub others: Vec<Request>,
}

/// All of an event, each question to close with one of the answers that take its hours.
pub(super) fn all(requests: &[Request]) -> Vec<Settled> {
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
pub(super) fn others<'a>(by: &Request, requests: &'a [Request]) -> Vec<&'a Request> {
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
pub(super) fn replaced_by<'a>(request: &Request, requests: &'a [Request]) -> Option<&'a Request> {
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

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Back {
    back: String,
}

async fn close_others(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, request)): Path<(i64, i64)>,
    Form(form): Form<Back>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, request) = found::question(&app, id, request).await?;
    let person = people::find(&mut *app.db.read().acquire().await?, request.person_id).await?;
    let who = found::name(person.as_ref());
    let (actor, to) = (visit.user.actor(), back_to(&form.back, id, request.id));
    let close = app.db.write(move |tx| Box::pin(async move { close_in(tx, actor, (id, request.id), now).await }));
    let (closed, outdated) = close.await?;
    let stays = match outdated {
        0 => String::new(),
        many => {
            let stay = words::count(many, "question stays", "questions stay");
            format!(" {stay} open, because {who} has out-of-date details. Update them first.")
        }
    };
    if closed.is_empty() {
        let said = format!("Nothing to close: there are no other open questions for the same hours.{stays}");
        return Ok(flash::redirect(&format!("/events/{id}/replies"), &said));
    }
    let count = words::count(closed.len(), "other question", "other questions");
    let said = format!("Closed {count} to {who} for the same hours. No one gets an email about that.{stays}");
    let mut fields: Vec<(String, String)> = vec![("back".to_owned(), form.back)];
    fields.extend(closed.iter().map(|id| ("request".to_owned(), id.to_string())));
    let undo = Undo { action: format!("/events/{id}/replies/reopen"), fields };
    Ok(flash::redirect_with_undo(&to, &said, &undo))
}

/// Closes the other questions, as they are by now. Returns the numbers of those closed, and
/// how many stay open because the person has out-of-date details.
async fn close_in(
    tx: &mut Tx,
    actor: Actor,
    (event_id, request): (i64, i64),
    now: OffsetDateTime,
) -> Result<(Vec<i64>, usize)> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    let Some(by) = store::of_request_in(tx, request).await? else { return Ok((Vec::new(), 0)) };
    let requests = store::to_person(tx, event_id, by.person_id).await?;
    let (mut closed, mut outdated) = (Vec::new(), 0);
    for other in others(&by, &requests) {
        if close(tx, actor, (&event, other), now).await? {
            closed.push(other.id);
        } else {
            outdated += 1;
        }
    }
    Ok((closed, outdated))
}

/// Withdraws a question without an email: "we no longer need you" would be wrong for someone
/// who just said yes to the same hours, and the question's link says that we no longer need
/// the answer. False if something else has changed that they don't know yet.
async fn close(tx: &mut Tx, actor: Actor, (event, request): (&Event, &Request), now: OffsetDateTime) -> Result<bool> {
    let noted = noted::statement_of(tx, request.id).await?;
    let known = Known::of(event, request.clone(), noted).statement;
    if known.is_outdated(&Statement::of(event, request)) || !store::withdraw(tx, actor, request, now).await? {
        return Ok(false);
    }
    if has_heard(tx, request).await? {
        note_as_known(tx, actor, (event, request.id), known, now).await?;
    }
    Ok(true)
}

/// Did the question reach them, or did they answer it?
async fn has_heard(tx: &mut Tx, request: &Request) -> Result<bool> {
    Ok(!mail::was_only_waiting(tx, request.id).await? || request.asks.iter().any(|ask| ask.last().is_some()))
}

/// Notes that nothing needs to be told about a question as it is now, except for lines under
/// it that are no longer as someone knows them.
async fn note_as_known(
    tx: &mut Tx,
    actor: Actor,
    (event, id): (&Event, i64),
    known: Statement,
    now: OffsetDateTime,
) -> Result<()> {
    let Some(request) = store::of_request_in(tx, id).await? else { return Ok(()) };
    let truth = Statement::of(event, &request);
    let facts = if known.facts.is_empty() { truth.facts } else { known.facts };
    let known = Statement { facts, by_voice: known.by_voice, ..truth };
    noted::note_statement(tx, id, By::Assumed, &known, (actor, now))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Reopen {
    request: Vec<i64>,
    back: String,
}

async fn reopen(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<Reopen>,
) -> Result<Response> {
    let now = app.clock.now();
    found::event(&app, id).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let to = match form.request.as_slice() {
        [one] => back_to(&form.back, id, *one),
        _ => format!("/events/{id}/replies"),
    };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let sending = Sending { actor, sender: &sender, key: &key, now };
            reopen_all(tx, id, &form.request, sending).await
        })
    });
    let (opened, replaced) = write.await?;
    Ok(flash::redirect(&to, &reopened(opened, replaced)))
}

/// Opens these questions again, and counts those it opened and those it didn't because a
/// newer one took their place.
async fn reopen_all(tx: &mut Tx, event_id: i64, ids: &[i64], sending: Sending<'_>) -> Result<(usize, usize)> {
    let event = events::find_in(tx, event_id).await?.ok_or(Error::NotFound)?;
    let (mut opened, mut replaced) = (0, 0);
    for id in ids {
        let request = store::of_request_in(tx, *id).await?;
        let Some(request) = request.filter(|request| request.event_id == event_id) else { continue };
        let requests = store::to_person(tx, event_id, request.person_id).await?;
        if request.is_withdrawn && replaced_by(&request, &requests).is_some() {
            replaced += 1;
            continue;
        }
        opened += usize::from(open_again(tx, (&event, &request), sending).await?);
    }
    Ok((opened, replaced))
}

/// What reopening did, for the message at the top of the next page.
fn reopened(opened: usize, replaced: usize) -> String {
    let mut said = Vec::new();
    if opened > 0 {
        said.push(format!("{} open again.", words::count(opened, "question is", "questions are")));
    }
    if replaced > 0 {
        let stay = words::count(replaced, "question stays", "questions stay");
        said.push(format!("{stay} withdrawn, because a newer question asks the same. Withdraw the newer one first."));
    }
    if said.is_empty() {
        said.push("Nothing changed. The questions are open already.".to_owned());
    }
    said.join(" ")
}

/// Opens a withdrawn question again. Someone who never got it is asked. Someone who was told
/// that it is withdrawn is listed until told otherwise. False if it is open.
async fn open_again(tx: &mut Tx, (event, request): (&Event, &Request), sending: Sending<'_>) -> Result<bool> {
    let Sending { actor, key, now, .. } = sending;
    if !store::reopen(tx, actor, request, now).await? {
        return Ok(false);
    }
    deputy::tell(tx, event, request, key, now).await?;
    let called_off = format!("withdrawn/{}/", request.id);
    mail::cancel_by_key(tx, &called_off, "The question is open again.", now).await?;
    if !has_heard(tx, request).await? {
        let Some(request) = store::of_request_in(tx, request.id).await? else { return Ok(true) };
        let known = Known { request, statement: Statement::default(), is_assumed: false };
        changes::write_to(tx, &known, (event, false), sending).await?;
        return Ok(true);
    }
    let known = noted::statement_of(tx, request.id).await?.unwrap_or_default();
    if known.dates.is_empty() && !mail::may_have_gone(tx, &called_off).await? {
        note_as_known(tx, actor, (event, request.id), known, now).await?;
    }
    Ok(true)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::asks::{Answer, Way};
    use time::macros::{date, datetime, time};

    const BURN: Date = date!(2027 - 01 - 09);
    const RAIN: Date = date!(2027 - 01 - 16);

    fn request(id: i64, time: &str, asks: &[(Date, Option<Said>)]) -> Request {
        let ask = |(place, (on, said)): (usize, &(Date, Option<Said>))| Ask {
            id: id * 10 + i64::try_from(place).unwrap(),
            for_on: *on,
            date_revision: 1,
            is_lapsed: false,
            answers: said.iter().map(|said| answer(*said)).collect(),
        };
        Request {
            id,
            event_id: 1,
            person_id: 1,
            kind: Kind::Post,
            question: "Can you work the live burn?".to_owned(),
            facts: vec![("Time".to_owned(), time.to_owned())],
            words: String::new(),
            closes_at: datetime!(2027-01-01 20:00 UTC),
            asked_at: datetime!(2026-12-01 20:00 UTC),
            asked_by: None,
            is_withdrawn: false,
            link_number: 1,
            version: 1,
            asks: asks.iter().enumerate().map(ask).collect(),
        }
    }

    fn answer(said: Said) -> Answer {
        Answer {
            said,
            deputy: String::new(),
            deputy_title: String::new(),
            deputy_phone: String::new(),
            deputy_mail: String::new(),
            wants_to_speak: None,
            note: String::new(),
            access_needs: String::new(),
            party: None,
            there: None,
            way: Way::Phone,
            evidence: String::new(),
            at: datetime!(2026-12-02 20:00 UTC),
            recorded_by: None,
        }
    }

    #[test]
    fn a_yes_settles_open_questions_for_the_same_hours_and_no_others() {
        let gate = request(1, "07:00 to 13:00", &[(BURN, Some(Said::Yes))]);
        let open = |time: &str| request(2, time, &[(BURN, None)]);
        assert!(settles(&gate, &open("12:00 to 15:00")));
        for later in ["13:00 to 15:00", "morning", "12:00"] {
            assert!(!settles(&gate, &open(later)), "{later}");
        }
        let same = open("07:00 to 13:00");
        for (name, other) in [
            ("another person's", Request { person_id: 2, ..same.clone() }),
            ("another burn's", Request { event_id: 2, ..same.clone() }),
            ("of another kind", Request { kind: Kind::Help, ..same.clone() }),
            ("withdrawn", Request { is_withdrawn: true, ..same.clone() }),
            ("itself", gate.clone()),
            ("a promise", request(2, "07:00 to 13:00", &[(BURN, Some(Said::Yes))])),
            ("answered", request(2, "07:00 to 13:00", &[(BURN, Some(Said::No))])),
            ("open for another date", request(2, "07:00 to 13:00", &[(BURN, None), (RAIN, None)])),
            ("a promise for another date", request(2, "07:00 to 13:00", &[(BURN, None), (RAIN, Some(Said::Yes))])),
        ] {
            assert!(!settles(&gate, &other), "{name}");
        }
        let declined = request(2, "07:00 to 13:00", &[(BURN, None), (RAIN, Some(Said::No))]);
        assert!(settles(&gate, &declined));
        for said in [Said::No, Said::Maybe] {
            assert!(!settles(&request(1, "07:00 to 13:00", &[(BURN, Some(said))]), &same), "{said}");
        }
        assert!(!settles(&Request { is_withdrawn: true, ..gate.clone() }, &same));
    }

    #[test]
    fn a_yes_for_part_of_the_time_takes_only_that() {
        let mut gate = request(1, "07:00 to 13:00", &[(BURN, Some(Said::Yes))]);
        gate.asks[0].answers[0].there = Some(Hours::between(time!(7:00), time!(9:00)));
        assert!(!settles(&gate, &request(2, "10:00 to 12:00", &[(BURN, None)])));
        assert!(settles(&gate, &request(2, "08:00 to 12:00", &[(BURN, None)])));
    }

    #[test]
    fn an_alternate_takes_no_hours() {
        let line = |label: &str, text: &str| (label.to_owned(), text.to_owned());
        let mut gate = request(1, "07:00 to 13:00", &[(BURN, Some(Said::Yes))]);
        gate.facts.insert(0, line("Position", &format!("Gate{AS_ALTERNATE}")));
        let cars = request(2, "08:00 to 10:00", &[(BURN, None)]);
        assert!(!settles(&gate, &cars));
        gate.facts.extend([line("Position", "Parking"), line("Time", "13:00 to 15:00")]);
        assert!(!settles(&gate, &cars), "the other position is at other hours");
        gate.facts.extend([line("Position", "Water"), line("Time", "09:00 to 11:00")]);
        assert!(settles(&gate, &cars));
    }

    #[test]
    fn all_positions_of_a_question_must_be_taken() {
        let gate = request(1, "07:00 to 13:00", &[(BURN, Some(Said::Yes))]);
        let mut two = request(2, "08:00 to 09:00", &[(BURN, None)]);
        assert_eq!(all(&[gate.clone(), two.clone()]).len(), 1);
        two.facts.push(("Time".to_owned(), "14:00 to 15:00".to_owned()));
        assert!(all(&[gate, two]).is_empty());
    }
}
