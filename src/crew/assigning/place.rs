//! Assigning someone to a position, unless that breaks a rule.

use crate::crew::snapshot::CrewSnapshot;
use crate::crew::{Violation, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::people;
use time::OffsetDateTime;

/// The result of assigning someone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Placed {
    Done {
        id: i64,
        /// The rules that are broken on the rain date only.
        rain: Vec<Violation>,
    },
    Already,
    /// The rules that are broken on burn day.
    Refused(Vec<Violation>),
    /// The position or the person no longer exists.
    Gone,
}

/// Someone to assign to a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placing {
    pub post_id: i64,
    pub person_id: i64,
    pub is_standby: bool,
    /// Why the rules are overridden. Empty to follow them.
    pub reason: String,
}

/// Assigns someone to a position unless that breaks a rule on burn day. A rule that is
/// broken on the rain date only leaves the position open on that date.
pub async fn place(tx: &mut Tx, actor: Actor, event: &Event, placing: &Placing, now: OffsetDateTime) -> Result<Placed> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    let Some(person) = people::find(tx, placing.person_id).await? else { return Ok(Placed::Gone) };
    let Some(post) = snapshot.post(placing.post_id) else { return Ok(Placed::Gone) };
    let burn = snapshot.against(post, person.id, event.details.burn_on);
    let mut rain = event.details.rain_on.map(|on| snapshot.against(post, person.id, on)).unwrap_or_default();
    rain.retain(|violation| !burn.contains(violation));
    if !burn.is_empty() && placing.reason.is_empty() {
        return Ok(Placed::Refused(burn));
    }
    let broken: Vec<Violation> = burn.iter().chain(&rain).cloned().collect();
    let rule_override = (!burn.is_empty()).then_some((broken.as_slice(), placing.reason.as_str()));
    let id = store::assign(tx, actor, post, &person, placing.is_standby, rule_override, now).await?;
    Ok(id.map_or(Placed::Already, |id| Placed::Done { id, rain: if burn.is_empty() { rain } else { Vec::new() } }))
}
