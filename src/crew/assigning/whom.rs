//! Assigning whomever a form means: someone in People, or someone new.

use super::place::{Placed, Placing, place};
use crate::crew::snapshot::CrewSnapshot;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::people::choosing::{self, Line, Recognized, Settled, Whom};
use time::OffsetDateTime;

/// What became of assigning whomever a form means.
pub(super) enum Assigned {
    Tried {
        placed: Placed,
        /// 0 for someone new who was refused, and so was not added to People.
        person_id: i64,
        /// What to say about someone who was typed.
        said: String,
    },
    /// They may be one of these.
    Unsure(Vec<Line>),
}

pub(super) async fn assign_whom(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (placing, whom): (&Placing, &Whom),
    now: OffsetDateTime,
) -> Result<Assigned> {
    let tried = |placed, person_id, said| Ok(Assigned::Tried { placed, person_id, said });
    let mut placing = placing.clone();
    if let Whom::New(_) = whom {
        placing.person_id = match choosing::recognize(tx, whom).await? {
            Recognized::Known(person) => {
                // Who may override a rule for them depends on who they are: the page asks again.
                placing.reason.clear();
                person.id
            }
            Recognized::Unsure(known) => return Ok(Assigned::Unsure(known)),
            Recognized::New | Recognized::Gone => 0,
        };
        // Nobody is added to People for a position that a rule keeps them from.
        if let Some(placed) = refused(tx, event, &placing).await? {
            return tried(placed, placing.person_id, String::new());
        }
    }
    let (person_id, said) = match choosing::settle(tx, actor, whom, now).await? {
        Settled::Person { id, said } => (id, said),
        Settled::Unsure(known) => return Ok(Assigned::Unsure(known)),
    };
    let placing = Placing { person_id, ..placing };
    tried(place(tx, actor, event, &placing, now).await?, person_id, said)
}

/// Why someone won't get a position, if a rule or nothing to assign them to keeps them from
/// it.
async fn refused(tx: &mut Tx, event: &Event, placing: &Placing) -> Result<Option<Placed>> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    let Some(post) = snapshot.post(placing.post_id) else { return Ok(Some(Placed::Gone)) };
    let rules = snapshot.against(post, placing.person_id, event.details.burn_on);
    Ok((!rules.is_empty() && placing.reason.is_empty()).then_some(Placed::Refused(rules)))
}
