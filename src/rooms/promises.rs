//! Replies from people who were asked to give something. In the same write, a promise
//! becomes a gift and the item comes from it. A promise that is taken back stays under Gifts
//! as not coming.

use super::snapshot::RoomSnapshot;
use super::store::{self, DonationReply, DonationRequest};
use super::{Details, Source, ThingState, collected_by, routes};
use crate::accounts::Officer;
use crate::asks::{self, Confirm, Given, Offered, Said, Way};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::gifts::{self, Credit, GiftStatus, InName, Recognition, Returned, What};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use futures_util::future::BoxFuture;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/donation-requests/{request}", post(answer))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SaidForm {
    said: String,
    /// How they replied.
    way: String,
}

/// A reply that didn't come by link.
async fn answer(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, donation)): Path<(i64, i64)>,
    Form(form): Form<SaidForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    if !snapshot.donations.iter().any(|known| known.id == donation) {
        return Err(Error::NotFound);
    }
    let said = form.said.parse().ok().filter(|said| *said != DonationReply::Asked);
    let said = said.ok_or_else(|| Error::BadRequest("Choose one of the two buttons.".to_owned()))?;
    let way = form.way.parse().ok().filter(|way| *way != Way::Link).unwrap_or(Way::Phone);
    let (actor, event) = (visit.user.actor(), snapshot.event);
    let write =
        app.db.write(move |tx| Box::pin(async move { note(tx, actor, &event, (donation, said, way), now).await }));
    let flash = match (write.await?, said) {
        (false, _) => "Nothing was changed. A reply is already saved.",
        (true, DonationReply::Promised) => "Promise saved under Gifts. The item is now promised.",
        (true, _) => "Saved: they can't give it.",
    };
    Ok(flash::redirect(&format!("/events/{id}/rooms/shopping"), flash))
}

async fn note(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (donation, said, way): (i64, DonationReply, Way),
    now: OffsetDateTime,
) -> Result<bool> {
    let snapshot = RoomSnapshot::load(tx, event).await?;
    let known = snapshot.donations.iter().find(|known| known.id == donation && known.said == DonationReply::Asked);
    let Some(donation) = known else { return Ok(false) };
    let gift_id = if said == DonationReply::Promised {
        Some(promise(tx, actor, &snapshot, (donation, ""), now).await?)
    } else {
        None
    };
    store::answer_donation_request(tx, actor, (event.id, donation), (said, gift_id), now).await?;
    if let Some((request, _)) = donation.asked_with {
        note_in_ledger(tx, actor, event, (request, way), now).await?;
    }
    Ok(true)
}

/// The request counts as answered once they give some of it or none of it. Then no reminder
/// goes out.
async fn note_in_ledger(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (request, way): (i64, Way),
    now: OffsetDateTime,
) -> Result<()> {
    let donations = store::donations(&mut *tx, event.id).await?;
    let of_it = || donations.iter().filter(|donation| donation.asked_with.is_some_and(|(id, _)| id == request));
    let said = if of_it().any(|donation| donation.said == DonationReply::Promised) {
        Said::Yes
    } else if of_it().all(|donation| donation.said == DonationReply::No) {
        Said::No
    } else {
        return Ok(());
    };
    let Some(request) = asks::of_request_in(tx, request).await? else { return Ok(()) };
    for ask in request.live().filter(|ask| ask.stands().is_none_or(|answer| answer.said != said)) {
        let given =
            Given { evidence: "recorded on the Shopping and donations list".to_owned(), ..Given::of(said, way) };
        asks::answer(tx, actor, (event, &request), (ask.id, &given), Confirm::Not, now).await?;
    }
    Ok(())
}

/// What follows from a reply by link, in the same write. Whatever was recorded by hand or is
/// already on hand stays.
///
/// # Errors
/// The store's.
pub fn offered<'c>(tx: &'c mut Tx, offered: &'c Offered) -> BoxFuture<'c, Result<()>> {
    Box::pin(async move {
        let (event, now) = (&offered.event, offered.at);
        let snapshot = RoomSnapshot::load(tx, event).await?;
        let of_it = |donation: &&DonationRequest| donation.asked_with.is_some_and(|(id, _)| id == offered.request.id);
        for donation in snapshot.donations.iter().rev().filter(of_it) {
            let is_given =
                offered.said == Said::Yes && donation.asked_with.is_some_and(|(_, line)| offered.lines.contains(&line));
            let gift_id = if is_given {
                Some(promise(tx, Actor::Link, &snapshot, (donation, &notes(offered)), now).await?)
            } else if donation.said != DonationReply::Promised
                || (donation.by_link && take_back(tx, event, donation, now).await?)
            {
                donation.gift_id
            } else {
                continue;
            };
            let said = match offered.said {
                _ if is_given => DonationReply::Promised,
                Said::Maybe => DonationReply::Asked,
                Said::Yes | Said::No | Said::Deputy => DonationReply::No,
            };
            if said != donation.said {
                store::answer_donation_request(tx, Actor::Link, (event.id, donation), (said, gift_id), now).await?;
            }
        }
        Ok(())
    })
}

/// What they wrote, for whoever picks it up.
fn notes(offered: &Offered) -> String {
    let fetch = if offered.fetch.is_empty() { String::new() } else { format!("Pickup: {}", offered.fetch) };
    let parts = [offered.what.as_str(), &fetch];
    parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("\n")
}

/// Turns a promise into a gift that the item comes from, or renews one that was taken back.
/// Returns the number of the gift.
async fn promise(
    tx: &mut Tx,
    actor: Actor,
    snapshot: &RoomSnapshot,
    (donation, notes): (&DonationRequest, &str),
    now: OffsetDateTime,
) -> Result<i64> {
    let (event, today) = (&snapshot.event, snapshot.event.today(now));
    if let Some(gift) = donation.gift_id.and_then(|id| snapshot.gifts.get(&id)) {
        // Keep whatever someone has written on it since.
        if gift.details.status != GiftStatus::NotComing && gift.details.notes == notes {
            return Ok(gift.id);
        }
        let is_back = gift.details.status == GiftStatus::NotComing;
        let status = if is_back { GiftStatus::Promised } else { gift.details.status.clone() };
        let details = gifts::Details { status, notes: added(&gift.details.notes, notes), ..gift.details.clone() };
        gifts::save(tx, actor, (event.id, gift.id), &details, gift.version, now).await?;
        return Ok(gift.id);
    }
    let person = people::find(tx, donation.new.person_id).await?.ok_or(Error::NotFound)?;
    let details = gifts::Details { notes: notes.to_owned(), ..gift(event, donation, &person, today) };
    let id = gifts::add(tx, actor, event.id, &details, now).await?;
    if let Some(thing) = donation.new.thing_id.and_then(|id| snapshot.find(id)) {
        let (quantity, source, by_whom) = (donation.new.quantity, Source::Gift, giver(&person));
        let coming =
            |details: Details| Details { source, gift_id: Some(id), by_whom, state: ThingState::Promised, ..details };
        if donation.new.is_like {
            let like = coming(Details { quantity, ..thing.details.like() });
            store::add(tx, actor, event.id, &like, now).await?;
        } else {
            let details = coming(thing.details.clone());
            store::save(tx, actor, (event.id, thing.id), &details, thing.version, now).await?;
        }
    }
    Ok(id)
}

/// The old words followed by the new ones, unless they already contain them.
fn added(old: &str, new: &str) -> String {
    if new.is_empty() || old.contains(new) {
        return old.to_owned();
    }
    [old, new].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join("\n")
}

/// The gift isn't coming, so the item is needed again. False if it is already here.
async fn take_back(tx: &mut Tx, event: &Event, donation: &DonationRequest, now: OffsetDateTime) -> Result<bool> {
    let Some(id) = donation.gift_id else { return Ok(true) };
    let Some(gift) = gifts::find(tx, event.id, id).await? else { return Ok(true) };
    if gift.is_received() {
        return Ok(false);
    }
    if gift.details.status == GiftStatus::Promised {
        let details = gifts::Details { status: GiftStatus::NotComing, ..gift.details.clone() };
        gifts::save(tx, Actor::Link, (event.id, id), &details, gift.version, now).await?;
    }
    Ok(true)
}

fn giver(person: &Person) -> String {
    let details = &person.details;
    if details.organization.is_empty() { details.name.clone() } else { details.organization.clone() }
}

/// The promise as a gift.
fn gift(event: &Event, donation: &DonationRequest, person: &Person, today: Date) -> gifts::Details {
    let by = collected_by(event.details.burn_on);
    gifts::Details {
        person_id: person.id,
        in_name: if person.details.organization.is_empty() { InName::Person } else { InName::Organization },
        what: What::Goods {
            description: donation.new.what.clone(),
            quantity: donation.new.quantity.to_string(),
            value: None,
        },
        promised_on: today,
        promised_by: Some(if by < today { event.details.burn_on.max(today) } else { by }),
        status: GiftStatus::Promised,
        returned: Returned::Unsaid,
        credit: Credit {
            recognition: Recognition::Open,
            credited_as: String::new(),
            agreed_by: String::new(),
            agreed_on: None,
            logo: String::new(),
        },
        notes: String::new(),
    }
}
