//! Changes to one thing about a guest: the place, the last call, the arrival, the check-in, the
//! signer.

use super::guests::of_event;
use super::journaled::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use crate::guests::guest::{Day, Guest};
use crate::web::form;
use crate::web::words::Reader;
use serde_json::json;
use time::{Date, OffsetDateTime};

/// Sets a guest's place by hand with its reason, or with `none` lets the rules decide.
pub async fn set_place(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    place: Option<(usize, &str)>,
    now: OffsetDateTime,
) -> Result<()> {
    let number = place.map(|(place, _)| i64::try_from(place)).transpose()?;
    let reason = place.map(|(_, reason)| reason).unwrap_or_default();
    sqlx::query!(
        "update guest set place = ?, place_reason = ?, version = version + 1 where id = ?",
        number,
        reason,
        guest.id
    )
    .execute(&mut **tx)
    .await?;
    let before = guest.place.as_ref().map(|(place, reason)| json!({"place": place, "reason": reason}));
    let after = place.map(|(place, reason)| json!({"place": place, "reason": reason}));
    record(tx, now, Entry { before, after, ..entry(actor, "placed", (guest.event_id, guest.id), name) });
    Ok(())
}

/// Saves that someone called an office.
pub async fn rang(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    on: Date,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("update guest set chased_on = ? where id = ?", on, guest.id).execute(&mut **tx).await?;
    let after = Some(json!({"on": Reader::App.day(on)}));
    record(tx, now, Entry { after, ..entry(actor, "rang about", (guest.event_id, guest.id), name) });
    Ok(())
}

/// Moves the arrival times of an event's guests by this many minutes, within the day.
/// Guests without one follow the first fire anyway.
pub(in crate::guests) async fn move_arrivals(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    later: i64,
    now: OffsetDateTime,
) -> Result<()> {
    for guest in of_event(tx, event.id).await? {
        let Ok(at) = form::time_of_day(&guest.details.arrives) else { continue };
        let minutes = i64::from(at.hour()) * 60 + i64::from(at.minute());
        let minutes = (minutes + later).clamp(0, 24 * 60 - 1);
        let arrives = format!("{:02}:{:02}", minutes / 60, minutes % 60);
        sqlx::query!("update guest set arrives = ?, version = version + 1 where id = ?", arrives, guest.id)
            .execute(&mut **tx)
            .await?;
        let journaled = |at: &str| Some(json!({ "arrives": at }));
        let entry = entry(actor, "changed", (event.id, guest.id), "a guest");
        record(tx, now, Entry { before: journaled(&guest.details.arrives), after: journaled(&arrives), ..entry });
    }
    Ok(())
}

/// Saves the check-in on burn day: who is here, and which deputy came.
pub async fn tick(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    new: &Day,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!(
        "update guest set day_on = ?, is_here = ?, day_deputy = ?, day_deputy_title = ?, day_deputy_phone = ?,
                          day_deputy_mail = ?
         where id = ?",
        new.on,
        new.is_here,
        new.deputy,
        new.deputy_title,
        new.deputy_phone,
        new.deputy_mail,
        guest.id
    )
    .execute(&mut **tx)
    .await?;
    let tell = |day: &Day| {
        let here = day.is_here.map(|here| if here { "yes" } else { "no" });
        json!({"here": here, "deputy": day.deputy, "deputy's title": day.deputy_title})
    };
    let (before, after) = (Some(tell(&guest.day)), Some(tell(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "saw", (guest.event_id, guest.id), name) });
    Ok(())
}

/// Sets who signs a guest's invitation; with `none` the sender does.
pub(in crate::guests) async fn set_signer(
    tx: &mut Tx,
    actor: Actor,
    (guest, name): (&Guest, &str),
    signer: Option<(i64, &str)>,
    now: OffsetDateTime,
) -> Result<()> {
    let id = signer.map(|(id, _)| id);
    if id == guest.signer_id {
        return Ok(());
    }
    sqlx::query!("update guest set signer_id = ? where id = ?", id, guest.id).execute(&mut **tx).await?;
    let after = Some(json!({"signed by": signer.map(|(_, name)| name)}));
    record(tx, now, Entry { after, ..entry(actor, "chose who signs to", (guest.event_id, guest.id), name) });
    Ok(())
}
