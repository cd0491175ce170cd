//! The form for a position.

use super::{Details, MOST_PLACES};
use crate::calc::duties::Duty;
use crate::crew::{Hours, Qualification};
use crate::web::conflict::Conflict;
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;

/// The lines of free text: name in the form, label, help.
pub const LINES: [(&str, &str, &str); 4] = [
    ("spot", "Where", "Example: at the second pump"),
    ("reports_to", "Reports to", ""),
    ("wear", "Wear", ""),
    ("bring", "Bring", ""),
];

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct PostForm {
    pub duty: String,
    pub name: String,
    pub needed: String,
    pub from: String,
    pub until: String,
    pub spot: String,
    pub reports_to: String,
    pub wear: String,
    pub bring: String,
    pub cautions: String,
    pub critical: String,
    pub needs: Vec<i64>,
    pub version: i64,
}

impl PostForm {
    #[must_use]
    pub fn of(details: &Details, version: i64) -> Self {
        let (from, until) = details.hours.clocks();
        Self {
            duty: details.duty.to_string(),
            name: details.name.clone(),
            needed: details.needed.to_string(),
            from: words::iso_time(from),
            until: words::iso_time(until),
            spot: details.spot.clone(),
            reports_to: details.reports_to.clone(),
            wear: details.wear.clone(),
            bring: details.bring.clone(),
            cautions: details.cautions.clone(),
            critical: if details.is_critical { "yes" } else { "" }.to_owned(),
            needs: details.needs.clone(),
            version,
        }
    }

    #[must_use]
    pub fn line(&self, name: &str) -> &str {
        match name {
            "spot" => &self.spot,
            "reports_to" => &self.reports_to,
            "wear" => &self.wear,
            _ => &self.bring,
        }
    }

    /// Reads the form. The crew can need this many more people.
    ///
    /// # Errors
    /// What is wrong, by field.
    pub fn read(&self, known: &[Qualification], left: u16) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let duty = mistakes.note("duty", self.duty.parse::<Duty>());
        let name = mistakes.note("name", form::line(&self.name, 80));
        let needed = mistakes.note("needed", form::number(&self.needed, 1_u16, 99));
        if needed.is_some_and(|needed| needed > left) {
            let most = words::grouped(usize::from(MOST_PLACES));
            mistakes.add(
                "needed",
                format!("A crew can have at most {most} people, and only {left} are left. Enter a smaller number."),
            );
        }
        let hours = Hours::read(&self.from, &self.until)
            .and_then(|hours| hours.ok_or("Enter when it starts and when it ends.".to_owned()));
        let hours = mistakes.note("from", hours);
        let mut text = |field, text: &str, most| mistakes.note(field, form::optional_line(text, most));
        let (spot, reports_to) = (text("spot", &self.spot, 120), text("reports_to", &self.reports_to, 80));
        let (wear, bring) = (text("wear", &self.wear, 150), text("bring", &self.bring, 150));
        let cautions = mistakes.note("cautions", form::paragraph(&self.cautions, 500));
        let mut needs = self.needs.clone();
        needs.sort_unstable();
        needs.dedup();
        if needs.iter().any(|id| known.iter().all(|one| one.id != *id)) {
            mistakes.add("needs", "One of these qualifications no longer exists. Choose again.");
        }
        match (duty, name.zip(needed), hours, spot.zip(reports_to), wear.zip(bring), cautions, mistakes.is_empty()) {
            (
                Some(duty),
                Some((name, needed)),
                Some(hours),
                Some((spot, reports_to)),
                Some((wear, bring)),
                Some(cautions),
                true,
            ) => {
                let is_critical = self.critical == "yes";
                Ok(Details { duty, name, needed, hours, spot, reports_to, wear, bring, cautions, is_critical, needs })
            }
            _ => Err(mistakes),
        }
    }

    /// Both versions, for whoever saved second.
    #[must_use]
    pub fn beside(&self, theirs: &Self, action: String, known: &[Qualification]) -> Conflict {
        let mut conflict = Conflict::new(&theirs.name, action, theirs.version);
        let duty =
            |form: &Self| form.duty.parse::<Duty>().map_or_else(|_| form.duty.clone(), |duty| duty.label().to_owned());
        conflict.silent("duty", &self.duty);
        conflict.compare("Duty", &duty(theirs), &duty(self));
        let fields = [
            ("name", "Name", &theirs.name, &self.name),
            ("needed", "Minimum number", &theirs.needed, &self.needed),
            ("from", "From", &theirs.from, &self.from),
            ("until", "To", &theirs.until, &self.until),
            ("spot", "Where", &theirs.spot, &self.spot),
            ("reports_to", "Reports to", &theirs.reports_to, &self.reports_to),
            ("wear", "Wear", &theirs.wear, &self.wear),
            ("bring", "Bring", &theirs.bring, &self.bring),
            ("cautions", "Instructions", &theirs.cautions, &self.cautions),
            ("critical", "Critical", &theirs.critical, &self.critical),
        ];
        for (name, label, theirs, mine) in fields {
            conflict.field(name, label, theirs, mine);
        }
        let names = |ids: &[i64]| {
            let name = |id: &i64| known.iter().find(|one| one.id == *id).map(|one| one.name.clone());
            ids.iter().filter_map(name).collect::<Vec<_>>().join(", ")
        };
        conflict.compare("Required qualifications", &names(&theirs.needs), &names(&self.needs));
        for id in &self.needs {
            conflict.silent("needs", &id.to_string());
        }
        conflict
    }
}
