//! Who has a version that is out of date.

use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::press::papers::changes::Change;
use crate::press::papers::event_papers::EventPapers;
use crate::press::papers::holders::{self, Holder};
use crate::press::papers::paper::Paper;
use crate::press::papers::paper_facts::PaperFacts;
use crate::press::papers::version::Version;
use time::OffsetDateTime;

/// Someone with a version that is out of date.
pub(in crate::press::papers) struct Outdated {
    pub holder: Holder,
    /// What has changed since.
    pub changes: Vec<Change>,
}

/// Who has such a version of a release.
pub(in crate::press::papers) fn outdated(
    holders: &[Holder],
    paper: &Paper,
    event: &Event,
    facts: &PaperFacts,
) -> Vec<Outdated> {
    let changes = |holder: &Holder| {
        let version = paper.versions.iter().find(|version| version.id == holder.version_id);
        version.map(|version| version.changes(event, facts)).unwrap_or_default()
    };
    let theirs = holders.iter().filter(|holder| holder.paper_id == paper.id);
    let all = theirs.map(|holder| Outdated { holder: holder.clone(), changes: changes(holder) });
    all.filter(|one| !one.changes.is_empty()).collect()
}

/// The same, read in a write; none if the newest version is out of date itself.
pub(super) async fn outdated_in(
    tx: &mut Tx,
    (event_id, department): (i64, &str),
    version: &Version,
    now: OffsetDateTime,
) -> Result<Option<(Event, Vec<Outdated>)>> {
    let known = EventPapers::load(tx, event_id, department, now).await?;
    let Some(known) = known.filter(|known| known.is_true(version)) else { return Ok(None) };
    let holders = holders::of_event(tx, event_id).await?;
    let paper = known.paper(version.paper_id);
    let found = paper.map(|paper| outdated(&holders, paper, &known.event, &known.facts)).unwrap_or_default();
    Ok(Some((known.event, found)))
}
