//! What guests are called on pages, cards, and in letters.

use super::guest::Side;
use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use time::Date;

/// The name on a guest's line.
pub(super) fn headed(known: &GuestRecord) -> String {
    if known.called() == known.person.details.name { known.addressed() } else { known.called().to_owned() }
}

/// Office and jurisdiction, or a sponsor's contact and level.
pub(super) fn subtitle(snapshot: &GuestSnapshot, known: &GuestRecord) -> String {
    let details = &known.person.details;
    let mut parts = Vec::new();
    if known.called() != details.name {
        parts.push(details.name.clone());
    } else if !known.place().is_empty() {
        parts.push(known.place());
    }
    match known.guest.details.side {
        Side::Official => {}
        Side::Sponsor => parts.push(format!("sponsor, {}", snapshot.sponsor_level(known).unwrap_or("no level yet"))),
        Side::Partner => parts.push("partner".to_owned()),
    }
    parts.join(" · ")
}

/// "Nell Harrow, chief of staff"; empty without a deputy.
pub(super) fn deputy(known: &GuestRecord, on: Date) -> String {
    known.deputy(on).map(with_title).unwrap_or_default()
}

fn with_title((name, title): (String, String)) -> String {
    [name, title].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

/// "The Honorable Marguerite Vance, Mayor, City of Alder Bend", "Nell Harrow,
/// chief of staff, on behalf of The Honorable Yusra Halloran, State senator,
/// District 12".
pub(super) fn introduced(known: &GuestRecord, on: Date) -> String {
    let mut name = vec![known.addressed(), known.place()];
    if known.called() != known.person.details.name {
        name = vec![known.called().to_owned()];
    }
    name.retain(|part| !part.is_empty());
    let name = name.join(", ");
    let deputy = deputy(known, on);
    if deputy.is_empty() { name } else { format!("{deputy}, on behalf of {name}") }
}
