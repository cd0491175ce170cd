//! Promises as gifts that the items come from.

use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::gifts::{self, Credit, GiftStatus, InName, Recognition, Returned, What};
use crate::people::{self, Person};
use crate::rooms::collecting::collected_by;
use crate::rooms::snapshot::RoomSnapshot;
use crate::rooms::store::{self, DonationRequest};
use crate::rooms::{Details, Source, ThingState};
use time::{Date, OffsetDateTime};

/// Turns a promise into a gift that the item comes from, or renews one that was taken back.
/// Returns the number of the gift.
pub(super) async fn promise(
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
pub(super) async fn take_back(
    tx: &mut Tx,
    event: &Event,
    donation: &DonationRequest,
    now: OffsetDateTime,
) -> Result<bool> {
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
