//! The demo's talk: the starter, with a line that the sprinkler interrupts and an objective that
//! no line teaches. All of it is invented.

use crate::calc::talk::{Audience, Part};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::talk::{self, Looks, Objective, TalkLine};
use time::macros::time;
use time::{Duration, OffsetDateTime};

/// Writes the talk.
pub(super) async fn fill(tx: &mut Tx, account: i64, event: &Event, now: OffsetDateTime) -> Result<()> {
    let (actor, today) = (Actor::Account(account), event.today(now));
    let at = event.details.zone.instant(today - Duration::days(4), time!(14:20)).unwrap_or(now).min(now);
    let text = str::to_owned;
    talk::start(tx, actor, event.id, event.details.format, at).await?;
    let alarm = talk::objectives(tx, event.id).await?.first().map(|objective| objective.id);
    let long = TalkLine {
        id: 0,
        part: Part::AlarmB,
        audience: Audience::Adults,
        speaker: text("presenter"),
        looks: Looks::RoomB,
        words: text(
            "The alarm tells you to get out, and that is all it can do. It can't fight the fire. So get out, stay out, \
             and let something else do the fighting. Keep your eyes on this room.",
        ),
        objective: alarm,
        version: 0,
    };
    talk::add_line(tx, actor, event.id, &long, at).await?;
    let untaught = Objective {
        text: text("People call for help from outside, and stay outside."),
        message: text("Get out first. Then call 911 from outside."),
        item: text(
            "Smoke fills your kitchen. When do you call for help? (a) Before leaving (b) From outside (c) When the fire \
             is out",
        ),
        ..Objective::default()
    };
    talk::add_objective(tx, actor, event.id, &untaught, at).await?;
    Ok(())
}
