//! Recording a reply with one press, during the call.

use super::answer_form::named_asks;
use super::answering::answer_all;
use super::found::{self, NOT_SAVED, back_to};
use super::{Ask, Confirm, Given, Request, Said, Sender, Way, same_hours, store};
use crate::accounts::Visit;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::words::{self, Reader};
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

/// What a button sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(super) struct Press {
    /// The number of the date's ask and the answer, or the numbers of two, as in `12 yes` and
    /// `12+13 yes`.
    pub say: String,
    /// Where to go afterward: see [`back_to`].
    pub back: String,
}

impl Press {
    /// The dates answered, and the answers. None if it isn't one of the buttons.
    fn read(&self, request: &Request) -> Option<Vec<(i64, Given)>> {
        let (which, said) = self.say.split_once(' ')?;
        let said = said.parse::<Said>().ok().filter(|said| matches!(said, Said::Yes | Said::No))?;
        let find = |number: String| {
            let id = number.parse::<i64>().ok()?;
            request.asks.iter().find(|ask| ask.id == id)
        };
        let asks: Option<Vec<&Ask>> = named_asks(which, request).into_iter().map(find).collect();
        let given: Vec<(i64, Given)> = asks?.into_iter().map(|ask| (ask.id, given(ask, said))).collect();
        (!given.is_empty()).then_some(given)
    }
}

/// An answer on the phone. With a yes, what they said before about how they will come stays.
fn given(ask: &Ask, said: Said) -> Given {
    let before = ask.stands().filter(|_| said == Said::Yes);
    Given {
        wants_to_speak: before.and_then(|before| before.wants_to_speak),
        access_needs: before.map(|before| before.access_needs.clone()).unwrap_or_default(),
        party: before.and_then(|before| before.party),
        there: before.and_then(|before| before.there),
        ..Given::of(said, Way::Phone)
    }
}

/// "said yes to Sat, Jan 9 and Sat, Jan 16".
fn says(request: &Request, given: &[(i64, Given)], event: &Event, now: OffsetDateTime) -> String {
    let said = given.first().map_or("", |(_, given)| given.said.label());
    let asks = request.asks.iter().filter(|ask| given.iter().any(|(id, _)| *id == ask.id));
    let days: Vec<String> = asks.map(|ask| Reader::App.near_day(ask.for_on, event.today(now))).collect();
    format!("said {said} to {}", days.join(" and "))
}

/// What to say once it is saved.
fn saved(
    request: &Request,
    given: &[(i64, Given)],
    event: &Event,
    person: Option<&Person>,
    now: OffsetDateTime,
) -> String {
    let mut said = format!("Saved: {} {}, by phone.", found::name(person), says(request, given, event, now));
    if person.is_some_and(Person::has_mail) {
        said += " They get a confirmation by email.";
        said += &mail::night_note(&event.details.zone, now);
    }
    said
}

/// Saves what a button says, as an answer on the phone.
pub(super) async fn press(
    app: &App,
    visit: &Visit,
    (event, request): (Event, Request),
    press: &Press,
    now: OffsetDateTime,
) -> Result<Response> {
    let to = back_to(&press.back, event.id, request.id);
    let Some(given) = press.read(&request) else {
        return Ok(flash::redirect(&to, "Nothing changed. Choose one of the buttons."));
    };
    let person = people::find(&mut *app.db.read().acquire().await?, request.person_id).await?;
    let said = saved(&request, &given, &event, person.as_ref(), now);
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let confirm = Confirm::InWriting(&sender, &key);
            save(tx, actor, (&event, request.id), &given, confirm, now).await
        })
    });
    let said = match write.await? {
        None => NOT_SAVED.to_owned(),
        Some(others) if others > 0 && visit.user.is_officer() => format!("{said}{}", offer(others)),
        Some(_) => said,
    };
    Ok(flash::redirect(&to, &said))
}

/// Saves all answers that the button names, or none if one of their dates is gone. Returns
/// how many other questions the answers leave to close.
async fn save(
    tx: &mut Tx,
    actor: Actor,
    (event, id): (&Event, i64),
    given: &[(i64, Given)],
    confirm: Confirm<'_>,
    now: OffsetDateTime,
) -> Result<Option<usize>> {
    let Some(request) = store::of_request_in(tx, id).await? else { return Ok(None) };
    let is_live = |id: i64| request.live().any(|ask| ask.id == id);
    if !given.iter().all(|(id, _)| is_live(*id)) {
        return Ok(None);
    }
    if !answer_all(tx, actor, (event, &request), given, confirm, now).await? {
        return Ok(None);
    }
    let requests = store::to_person(tx, event.id, request.person_id).await?;
    let by = requests.iter().find(|known| known.id == request.id);
    Ok(Some(by.map_or(0, |by| same_hours::others(by, &requests).len())))
}

/// What the page offers after a yes.
fn offer(others: usize) -> String {
    let them = if others == 1 { "it" } else { "them" };
    let open = words::count(others, "other open question is", "other open questions are");
    format!(" {open} for the same hours: you can close {them} below.")
}
