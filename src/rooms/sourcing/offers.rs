//! What follows from replies by link. In the same write, a promise becomes a gift and the item
//! comes from it. A promise that is taken back stays under Gifts as not coming.

use super::promising::{promise, take_back};
use crate::asks::{Offered, Said};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::rooms::snapshot::RoomSnapshot;
use crate::rooms::store::{self, DonationReply, DonationRequest};
use futures_util::future::BoxFuture;

/// What follows from a reply by link, in the same write. Whatever was recorded by hand or is
/// already on hand stays.
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
