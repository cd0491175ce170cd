//! Replies that didn't come by link, recorded by hand.

use super::promising::promise;
use crate::accounts::Officer;
use crate::asks::{self, Confirm, Given, Said, Way};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::rooms::page::snapshot;
use crate::rooms::snapshot::RoomSnapshot;
use crate::rooms::store::{self, DonationReply};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct SaidForm {
    said: String,
    /// How they replied.
    way: String,
}

pub(super) async fn answer(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, donation)): Path<(i64, i64)>,
    Form(form): Form<SaidForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    if !snapshot.donations.iter().any(|known| known.id == donation) {
        return Err(Error::NotFound);
    }
    let said = form.said.parse().ok().filter(|said| *said != DonationReply::Asked);
    let said = said.ok_or_else(|| Error::BadRequest("Choose one of the two buttons.".to_owned()))?;
    let way = form.way.parse().ok().filter(|way| *way != Way::Link).unwrap_or(Way::Phone);
    let (actor, event) = (visit.user.actor(), snapshot.event);
    let reply = Reply { donation, said, way };
    let write = app.db.write(move |tx| Box::pin(async move { note(tx, actor, &event, reply, now).await }));
    let flash = match (write.await?, said) {
        (false, _) => "Nothing was changed. A reply is already saved.",
        (true, DonationReply::Promised) => "Promise saved under Gifts. The item is now promised.",
        (true, _) => "Saved: they can't give it.",
    };
    Ok(flash::redirect(&format!("/events/{id}/rooms/shopping"), flash))
}

/// What someone said about a donation request, and how.
#[derive(Debug, Clone, Copy)]
struct Reply {
    donation: i64,
    said: DonationReply,
    way: Way,
}

async fn note(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    Reply { donation, said, way }: Reply,
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
