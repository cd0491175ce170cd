//! Where the department is, as typed at setup and in Settings.

use crate::calc::homes::Home;
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// The one-line fields: name, label, help.
pub const FIELDS: [(&str, &str, &str); 6] = [
    ("city", "City or town", "Like Alder Bend. Its mayor is introduced first."),
    ("county", "County", "Like Alder County."),
    ("state", "State", "Like Iowa or IA."),
    ("congress_district", "Congressional district", "Like 2. Optional."),
    ("senate_district", "State senate district", "Like 12. Optional."),
    ("house_district", "State house district", "Like 31. Optional."),
];

/// What someone typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct HomeForm {
    pub city: String,
    pub county: String,
    pub state: String,
    pub congress_district: String,
    pub senate_district: String,
    pub house_district: String,
    pub other_places: String,
}

impl HomeForm {
    #[must_use]
    pub fn of(home: &Home) -> Self {
        Self {
            city: home.city.clone(),
            county: home.county.clone(),
            state: home.state.clone(),
            congress_district: home.congress_district.clone(),
            senate_district: home.senate_district.clone(),
            house_district: home.house_district.clone(),
            other_places: home.others.join("\n"),
        }
    }

    /// The part about where the department is. It is open while that isn't known.
    #[must_use]
    pub fn place(&self, mistakes: &Mistakes) -> Fold {
        let filled = |name: &'static str| (name, !self.line(name).trim().is_empty());
        let part = Fold::of(FIELDS.map(|(name, ..)| filled(name)), mistakes, false);
        let is_known = [&self.city, &self.county, &self.state].iter().all(|text| !text.trim().is_empty());
        Fold { is_open: part.is_open || !is_known, ..part }
    }

    /// The part with the other places.
    #[must_use]
    pub fn others(&self, mistakes: &Mistakes) -> Fold {
        Fold::of([("other_places", !self.other_places.trim().is_empty())], mistakes, false)
    }

    #[must_use]
    pub fn line(&self, name: &str) -> &str {
        match name {
            "city" => &self.city,
            "county" => &self.county,
            "state" => &self.state,
            "congress_district" => &self.congress_district,
            "senate_district" => &self.senate_district,
            _ => &self.house_district,
        }
    }

    /// Reads the fields and notes what is wrong.
    pub fn read(&self, mistakes: &mut Mistakes) -> Option<Home> {
        let mut lines = Vec::new();
        for (name, ..) in FIELDS {
            lines.extend(mistakes.note(name, form::optional_line(self.line(name), 100)));
        }
        let others = mistakes.note("other_places", form::paragraph(&self.other_places, 2_000))?;
        let others = others.lines().map(str::trim).filter(|place| !place.is_empty()).map(str::to_owned).collect();
        let [city, county, state, congress_district, senate_district, house_district] =
            <[String; 6]>::try_from(lines).ok()?;
        Some(Home { city, county, state, congress_district, senate_district, house_district, others })
    }
}
