//! A qualification someone holds, as pages show it.

use crate::accounts::{Private, User};
use crate::crew::Holding;
use crate::crew::snapshot::CrewSnapshot;
use crate::web::words::{self, Reader};
use time::Date;

/// A qualification someone holds, and whether it is valid on the event's dates.
pub(super) struct SkillLine {
    pub id: i64,
    pub name: String,
    pub evidence: String,
    pub until: String,
    /// Says that it expires before burn day or the rain date. Empty if it doesn't.
    pub expires: String,
    pub checked: String,
    pub is_checked: bool,
    /// On which day. Empty if it wasn't.
    pub checked_on: String,
    pub version: i64,
}

impl SkillLine {
    pub fn of(snapshot: &CrewSnapshot, holding: &Holding, user: &User, today: Date) -> Self {
        let details = &snapshot.event.details;
        let until = holding.kept.expires_on;
        let rain = details.rain_on.filter(|on| !holding.kept.holds_on(*on));
        let expires = match until {
            Some(last) if !holding.kept.holds_on(details.burn_on) => {
                format!("Expires {}, before burn day", Reader::App.near_day(last, today))
            }
            Some(last) if rain.is_some() => {
                format!("Expires {}, before the rain date", Reader::App.near_day(last, today))
            }
            _ => String::new(),
        };
        let name = snapshot.qualification(holding.kept.qualification_id).map(|one| one.name.clone());
        let checked = holding.checked.as_ref().map(|(by, at)| (by, details.zone.wall(*at).date()));
        let checked_on = checked.map(|(_, on)| words::iso(on)).unwrap_or_default();
        let checked = checked.map(|(by, on)| format!("checked by {by}, {}", Reader::App.near_day(on, today)));
        Self {
            id: holding.id,
            name: name.unwrap_or_default(),
            evidence: [holding.kept.evidence.as_str(), &holding.kept.issued_by]
                .map(|part| user.shown(Private::Certificates, part))
                .into_iter()
                .filter(|part| !part.is_empty())
                .collect::<Vec<_>>()
                .join(" · "),
            until: until.map_or("doesn't expire".to_owned(), |last| format!("valid through {}", Reader::App.day(last))),
            expires,
            is_checked: checked.is_some(),
            checked_on,
            version: holding.version,
            checked: checked.unwrap_or("not checked yet".to_owned()),
        }
    }
}
