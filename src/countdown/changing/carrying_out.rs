//! Changing the event and telling everyone, in one write.

use crate::accounts::Visit;
use crate::asks::{self, Count, Sender, Sending};
use crate::closed_days;
use crate::countdown::hooks::Following;
use crate::countdown::moves::Moves;
use crate::countdown::{Outlook, store};
use crate::db::Tx;
use crate::error::Result;
use crate::events::{self, Details, Event, Refused};
use crate::mail;
use crate::state::App;
use std::sync::Arc;
use time::OffsetDateTime;

/// What the officer decided about a change.
#[derive(Debug, Clone)]
pub(in crate::countdown) struct Decided {
    pub details: Details,
    /// People are asked about dates they haven't been asked about yet.
    pub again: bool,
    /// Other times that day move along with first ignition.
    pub moves_times: bool,
    /// IDs of done tasks to do again.
    pub redo: Vec<i64>,
}

/// Changes the event and tells everyone who was told the old facts. It is all one
/// write, so nothing outdated goes out.
pub(in crate::countdown) async fn carry_out(
    app: &App,
    moves: &Moves,
    visit: &Visit,
    old: &Event,
    decided: Decided,
    now: OffsetDateTime,
) -> Result<Result<Count, Refused>> {
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let new = old.changed(&decided.details);
    let tasks = store::of_event(app.db.read(), old.id).await?;
    let calendar = closed_days::calendar(app).await?;
    let closings = Outlook::of(tasks, Arc::clone(&calendar), new.details.burn_on, new.today(now))?.closings();
    let mut events = events::list(app.db.read()).await?;
    events.retain(|event| event.id != old.id);
    events.push(new.clone());
    let (actor, key, old, moves) = (visit.user.actor(), app.link_key.clone(), old.clone(), moves.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let before = asks::before_change(tx, &old).await?;
            if let Err(refused) = events::change(tx, actor, &old, &new, now).await? {
                return Ok(Err(refused));
            }
            asks::lapse(tx, &old, &new, now).await?;
            store::reset(tx, actor, old.id, &decided.redo, now).await?;
            if new.facts_revision == old.facts_revision {
                return Ok(Ok(Count::default()));
            }
            withdraw(tx, &old, &new, now).await?;
            let moves_times = decided.moves_times;
            let (old, new, events, calendar) = (&old, &new, &events, &calendar);
            let following = Following { actor, old, new, moves_times, events, calendar, now };
            moves.follow(tx, following).await?;
            let closes_at = |kind| closings.last(kind, new, now);
            let sending = Sending { actor, sender: &sender, key: &key, now };
            Ok(Ok(asks::tell_changes(tx, (&before, new), decided.again, closes_at, sending).await?))
        })
    });
    write.await
}

/// Withdraws what is waiting to be sent with the old facts.
async fn withdraw(tx: &mut Tx, old: &Event, new: &Event, now: OffsetDateTime) -> Result<()> {
    let why = "The event's date or details changed.";
    if old.details.differs_only_for_visitors(&new.details) {
        // Whoever is told these facts gets a newer letter, and all others their own.
        mail::keep_for_event(tx, old.id, new.facts_revision, why, now).await?;
    } else {
        mail::cancel_for_event(tx, old.id, new.facts_revision, why, now).await?;
    }
    Ok(())
}
