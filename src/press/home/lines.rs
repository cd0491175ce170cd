//! The outlets and releases of the front page.

use super::split::{Split, Urgency};
use crate::events::Event;
use crate::press::outlets::{Listing, Outlet};
use crate::press::papers::{Paper, PaperFacts, PaperLine};
use crate::press::snapshot::PressSnapshot;

/// An outlet on the list.
pub(super) struct ListLine {
    pub id: i64,
    pub name: String,
    pub beneath: String,
    pub state: &'static str,
    pub stands: &'static str,
    pub sign: &'static str,
    pub owner: String,
}

/// The outlets on the list: those nobody has contacted need someone.
pub(super) fn outlets(known: &PressSnapshot, event: &Event) -> Split<ListLine> {
    let lines = known.listed().map(|(listing, outlet)| list_line(known, listing, outlet, event));
    Split::of(lines, |line| if line.state == "open" { Urgency::Soon } else { Urgency::Nothing })
}

fn list_line(known: &PressSnapshot, listing: &Listing, outlet: &Outlet, event: &Event) -> ListLine {
    let status = known.status(outlet.id, event);
    let contacts = known.contacts.iter().filter(|contact| contact.outlet_id == outlet.id);
    let names: Vec<&str> = contacts.map(|contact| contact.name.as_str()).collect();
    let names = if names.is_empty() { "no contacts yet".to_owned() } else { names.join(", ") };
    ListLine {
        id: outlet.id,
        name: outlet.details.name.clone(),
        beneath: format!("{} · {names}", outlet.details.kind),
        state: status.as_str(),
        stands: status.says(),
        sign: status.sign(),
        owner: listing.owner.clone().unwrap_or_else(|| "no one responsible".to_owned()),
    }
}

/// The releases: one that is out of date is a problem, one that isn't approved or that no
/// one has yet is to finish.
pub(super) fn papers(written: &[Paper], known: &PressSnapshot, event: &Event, facts: &PaperFacts) -> Split<PaperLine> {
    let is_sent = |line: &PaperLine| {
        let newest = written.iter().find(|paper| paper.id == line.id).and_then(Paper::newest);
        let mut sent = known.entries.iter().filter(|entry| !entry.is_lost).filter_map(|entry| entry.version_id);
        newest.is_some_and(|version| sent.any(|id| id == version.id))
    };
    Split::of(written.iter().map(|paper| PaperLine::of(paper, event, facts)), |line| match line.state {
        "out of date" => Urgency::Now,
        "approved" if is_sent(line) => Urgency::Nothing,
        _ => Urgency::Soon,
    })
}
