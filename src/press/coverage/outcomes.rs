//! How far each outlet got, for the figures.

use crate::calc::coverage::Outlet;
use crate::press::day::PressVisit;
use crate::press::log::Outcome;
use crate::press::snapshot::PressSnapshot;
use std::collections::HashSet;
use time::OffsetDateTime;

impl PressSnapshot {
    /// When someone at an outlet first replied after `from`.
    fn first_reply(&self, outlet: i64, from: OffsetDateTime) -> Option<OffsetDateTime> {
        let entries =
            self.entries.iter().filter(|entry| entry.outlet_id == outlet && entry.outcome != Outcome::NoAnswer);
        let asked = self.asked(outlet);
        let answers =
            asked.iter().flat_map(|request| &request.asks).flat_map(|ask| &ask.answers).map(|answer| answer.at);
        entries.map(|entry| entry.at).chain(answers).filter(|at| *at >= from).min()
    }

    /// How far each outlet on the list or in the log got.
    pub(super) fn outlet_figures(&self) -> Vec<Outlet> {
        let listed = self.listings.iter().map(|listing| listing.outlet_id);
        let heard = self.entries.iter().map(|entry| entry.outlet_id);
        let ran = self.stories.iter().map(|story| story.outlet_id);
        let all: HashSet<i64> = listed.chain(heard).chain(ran).collect();
        let one = |outlet: i64| Outlet {
            approached: self.entries.iter().any(|entry| entry.outlet_id == outlet) || !self.asked(outlet).is_empty(),
            replied: self.first_reply(outlet, OffsetDateTime::UNIX_EPOCH).is_some(),
            came: self.came(outlet),
            ran: self.stories.iter().any(|story| story.outlet_id == outlet),
        };
        all.into_iter().map(one).collect()
    }

    fn came(&self, outlet: i64) -> bool {
        let people = self.people_of(outlet);
        let is_of = |visit: &&PressVisit| visit.outlet_id.map_or(people.contains(&visit.person_id), |id| id == outlet);
        self.visits.iter().filter(is_of).any(|visit| visit.arrived_at.is_some())
    }

    /// Hours from the first advisory to the first reply after it, for each
    /// outlet that replied.
    pub(super) fn hours_to_reply(&self) -> Vec<f64> {
        let mut hours = Vec::new();
        for outlet in &self.outlets {
            let advisories = self.entries.iter().filter(|entry| entry.outlet_id == outlet.id && entry.is_advisory);
            let Some(sent) = advisories.map(|entry| entry.at).min() else { continue };
            if let Some(replied) = self.first_reply(outlet.id, sent) {
                hours.push((replied - sent).as_seconds_f64() / 3_600.0);
            }
        }
        hours
    }
}
