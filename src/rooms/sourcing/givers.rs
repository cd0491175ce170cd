//! Who might give something.

use super::needs::needs;
use crate::calc::pairs::folded;
use crate::error::Result;
use crate::events;
use crate::gifts::{self, Gift, GiftStatus};
use crate::guests::{self, Side};
use crate::people::{self, Person};
use crate::rooms::snapshot::RoomSnapshot;
use crate::state::App;
use std::collections::HashMap;
use std::fmt::Write;

/// Someone who might give something, and why, as marks and in words.
pub(super) struct Giver {
    pub person: Person,
    pub marks: Vec<&'static str>,
    pub why: String,
}

/// Everyone who might give something: people who gave such items before, other givers, then
/// sponsors.
pub(super) async fn givers(app: &App, snapshot: &RoomSnapshot) -> Result<Vec<Giver>> {
    let events = events::list(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let mut gifts: Vec<Gift> = Vec::new();
    for event in &events {
        gifts.extend(gifts::of_event(&mut db, event.id).await?);
    }
    let guests = guests::of_event(&mut db, snapshot.event.id).await?;
    let sponsors = guests.iter().filter(|guest| guest.details.side == Side::Sponsor).map(|guest| guest.person_id);
    let people: HashMap<i64, Person> =
        people::everyone(&mut db).await?.into_iter().map(|person| (person.id, person)).collect();
    drop(db);
    let wanted: Vec<String> = needs(snapshot).iter().map(|need| folded(need.what())).collect();
    let mut found: Vec<(u8, i64, &'static str, String)> = Vec::new();
    for gift in gifts.iter().filter(|gift| gift.details.status != GiftStatus::NotComing) {
        let what = gift.details.what.says();
        let is_such = wanted.iter().any(|wanted| folded(&what).contains(wanted.as_str()));
        let verb = if gift.is_received() { "gave" } else { "promised" };
        let mark = gift.details.status.state().as_str();
        found.push((u8::from(!is_such), gift.details.person_id, mark, format!("{verb} {what}")));
    }
    found.extend(sponsors.map(|person_id| (2, person_id, "sponsor", "sponsor of this event".to_owned())));
    found.sort_by_cached_key(|(rank, person_id, ..)| (*rank, people.get(person_id).map(Person::listing)));
    let mut all: Vec<Giver> = Vec::new();
    for (_, person_id, mark, why) in found {
        match (all.iter_mut().find(|known| known.person.id == person_id), people.get(&person_id)) {
            (Some(known), _) if !known.why.contains(&why) => {
                known.marks.push(mark);
                let _ = write!(known.why, "; {why}");
            }
            (None, Some(person)) => all.push(Giver { person: person.clone(), marks: vec![mark], why }),
            _ => {}
        }
    }
    Ok(all)
}
