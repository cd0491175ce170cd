//! The form for offices and levels, with one field value per line of each list.

use crate::guests::settings::{GuestSettings, basis};
use serde::Deserialize;

/// Empty lines at the end of a list, for new entries.
const SPARE: usize = 2;

/// The form, with one field value per line of each list.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct ListForm {
    pub office: Vec<i64>,
    pub office_place: Vec<String>,
    pub office_name: Vec<String>,
    pub office_level: Vec<String>,
    pub office_address: Vec<String>,
    /// `host`, `before` or nothing.
    pub office_town: Vec<String>,
    pub sponsor: Vec<i64>,
    pub sponsor_place: Vec<String>,
    pub sponsor_name: Vec<String>,
    pub lead_level: Vec<String>,
    pub lead_days: Vec<String>,
    pub lead_basis: Vec<String>,
    /// The name of the usual signer.
    pub signer: String,
    pub rate: String,
    pub version: i64,
}

/// How an office ranks in its holder's own town.
pub(super) const TOWN: [(&str, &str); 3] =
    [("", "keeps its rank"), ("host", "goes first, as the host"), ("before", "goes before the host")];

pub(super) struct OfficeLine {
    pub id: i64,
    pub place: String,
    pub name: String,
    pub level: String,
    pub address: String,
    pub town: String,
}

pub(super) struct SponsorLine {
    pub id: i64,
    pub place: String,
    pub name: String,
}

impl ListForm {
    pub fn of(settings: &GuestSettings) -> Self {
        let mut form = Self {
            signer: settings.signer.as_ref().map(|(_, name)| name.clone()).unwrap_or_default(),
            rate: settings.rate.to_string(),
            version: settings.version,
            ..Self::default()
        };
        for (place, office) in (1..).zip(&settings.offices) {
            let town = match (office.is_host, office.before_host) {
                (true, _) => "host",
                (_, true) => "before",
                _ => "",
            };
            form.put_office(office.id, &place.to_string(), &office.name, office.level.as_str(), &office.address, town);
        }
        for (place, level) in (1..).zip(&settings.levels) {
            form.sponsor.push(level.id);
            form.sponsor_place.push(place.to_string());
            form.sponsor_name.push(level.name.clone());
        }
        for _ in 0..SPARE {
            form.put_office(0, "", "", "local", "", "");
            form.sponsor.push(0);
            form.sponsor_place.push(String::new());
            form.sponsor_name.push(String::new());
        }
        for lead in &settings.leads {
            form.lead_level.push(lead.level.to_string());
            form.lead_days.push(lead.days.to_string());
            form.lead_basis.push(basis(lead.basis).to_owned());
        }
        form
    }

    fn put_office(&mut self, id: i64, place: &str, name: &str, level: &str, address: &str, town: &str) {
        self.office.push(id);
        self.office_place.push(place.to_owned());
        self.office_name.push(name.to_owned());
        self.office_level.push(level.to_owned());
        self.office_address.push(address.to_owned());
        self.office_town.push(town.to_owned());
    }

    pub fn offices(&self) -> Vec<OfficeLine> {
        let at = |list: &[String], place: usize| list.get(place).cloned().unwrap_or_default();
        let line = |(place, id): (usize, &i64)| OfficeLine {
            id: *id,
            place: at(&self.office_place, place),
            name: at(&self.office_name, place),
            level: at(&self.office_level, place),
            address: at(&self.office_address, place),
            town: at(&self.office_town, place),
        };
        self.office.iter().enumerate().map(line).collect()
    }

    pub fn sponsors(&self) -> Vec<SponsorLine> {
        let at = |list: &[String], place: usize| list.get(place).cloned().unwrap_or_default();
        let line = |(place, id): (usize, &i64)| SponsorLine {
            id: *id,
            place: at(&self.sponsor_place, place),
            name: at(&self.sponsor_name, place),
        };
        self.sponsor.iter().enumerate().map(line).collect()
    }

    pub fn leads(&self) -> Vec<(String, String, String)> {
        let lines = self.lead_level.iter().zip(&self.lead_days).zip(&self.lead_basis);
        lines.map(|((level, days), basis)| (level.clone(), days.clone(), basis.clone())).collect()
    }
}
