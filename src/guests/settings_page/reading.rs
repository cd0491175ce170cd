//! Reading the form for offices and levels.

use super::form::ListForm;
use crate::calc::calendar::Basis;
use crate::guests::settings::{GuestSettings, InvitationLead, LEVELS, Level, Office, SponsorLevel};
use crate::web::form::{self, Mistakes};
use std::collections::HashSet;

impl ListForm {
    pub(super) fn read(
        &self,
        old: &GuestSettings,
        signer: Result<Option<(i64, String)>, String>,
    ) -> Result<GuestSettings, Mistakes> {
        let mut mistakes = Mistakes::default();
        let offices = self.read_offices(old, &mut mistakes);
        let levels = self.read_levels(old, &mut mistakes);
        let leads = self.read_leads(&mut mistakes);
        let signer = mistakes.note("signer", signer).flatten();
        let rate = mistakes.note("rate", form::number(&self.rate, 60u32, 240));
        match (rate, mistakes.is_empty()) {
            (Some(rate), true) => Ok(GuestSettings {
                offices,
                levels,
                leads,
                home: old.home.clone(),
                signer,
                rate,
                version: self.version,
            }),
            _ => Err(mistakes),
        }
    }

    fn read_levels(&self, old: &GuestSettings, mistakes: &mut Mistakes) -> Vec<SponsorLevel> {
        let mut levels = Vec::new();
        for line in self.sponsors() {
            let Some(name) = mistakes.note("sponsor", form::optional_line(&line.name, 80)) else { continue };
            if name.is_empty() {
                continue;
            }
            let Some(place) = mistakes.note("sponsor", place(&line.place)) else { continue };
            let id = Some(line.id).filter(|id| old.levels.iter().any(|level| level.id == *id)).unwrap_or(0);
            levels.push((place, SponsorLevel { id, name }));
        }
        levels.sort_by_key(|(place, _)| *place);
        let levels: Vec<SponsorLevel> = levels.into_iter().map(|(_, level)| level).collect();
        if has_double(levels.iter().map(|level| (level.id, level.name.as_str()))) {
            mistakes.add("sponsor", "Two lines have the same name. Rename or clear one.");
        }
        levels
    }

    fn read_leads(&self, mistakes: &mut Mistakes) -> Vec<InvitationLead> {
        let mut leads = Vec::new();
        for (level, days, basis) in self.leads() {
            let level = mistakes.note("lead", level.parse::<Level>());
            let days = mistakes.note("lead", form::number(&days, 0u16, 400));
            if let (Some(level), Some(days)) = (level, days) {
                let basis = if basis == "working" { Basis::Working } else { Basis::Calendar };
                leads.push(InvitationLead { level, days, basis });
            }
        }
        leads.sort_by_key(|lead| lead.level);
        leads.dedup_by_key(|lead| lead.level);
        if leads.len() != LEVELS.len() {
            mistakes.add("lead", "Enter a number of days for each level.");
        }
        leads
    }

    fn read_offices(&self, old: &GuestSettings, mistakes: &mut Mistakes) -> Vec<Office> {
        let mut offices = Vec::new();
        for line in self.offices() {
            let Some(name) = mistakes.note("office", form::optional_line(&line.name, 80)) else { continue };
            if name.is_empty() {
                continue;
            }
            let place = mistakes.note("office", place(&line.place));
            let level = line.level.parse::<Level>().ok().filter(|level| *level != Level::Sponsor);
            let level = mistakes.note("office", level.ok_or("Choose a level for each office.".to_owned()));
            let address = mistakes.note("office", form::optional_line(&line.address, 40));
            let (Some(place), Some(level), Some(address)) = (place, level, address) else { continue };
            let id = Some(line.id).filter(|id| old.offices.iter().any(|office| office.id == *id)).unwrap_or(0);
            let (is_host, before_host) = (line.town == "host", line.town == "before");
            offices.push((place, Office { id, name, level, address, is_host, before_host }));
        }
        offices.sort_by_key(|(place, _)| *place);
        let offices: Vec<Office> = offices.into_iter().map(|(_, office)| office).collect();
        if offices.is_empty() {
            mistakes.add("office", "List at least one office.");
        }
        if has_double(offices.iter().map(|office| (office.id, office.name.as_str()))) {
            mistakes.add("office", "Two lines have the same name. Rename or clear one.");
        }
        offices
    }
}

/// A line without a number goes last.
fn place(text: &str) -> Result<u32, String> {
    if text.trim().is_empty() { Ok(u32::MAX) } else { form::number(text, 1, 999) }
}

/// Does a name or a row appear twice?
fn has_double<'a>(lines: impl Iterator<Item = (i64, &'a str)>) -> bool {
    let (mut names, mut ids) = (HashSet::new(), HashSet::new());
    lines.fold(false, |double, (id, name)| {
        let fresh = names.insert(name.to_lowercase()) && (id == 0 || ids.insert(id));
        double || !fresh
    })
}
