//! The forms for qualifications.

use super::{Holding, Kept, Qualification};
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;

/// A qualification on the list.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct SkillForm {
    pub name: String,
    pub basis: String,
    pub counts_as: String,
    pub version: i64,
}

impl SkillForm {
    #[must_use]
    pub fn of(one: &Qualification) -> Self {
        Self {
            name: one.name.clone(),
            basis: one.basis.clone(),
            counts_as: one.counts_as.map(|id| id.to_string()).unwrap_or_default(),
            version: one.version,
        }
    }

    /// # Errors
    /// What is wrong, by field.
    pub fn read(&self, id: i64, known: &[Qualification]) -> Result<Qualification, Mistakes> {
        let mut mistakes = Mistakes::default();
        let name = mistakes.note("name", form::line(&self.name, 80));
        let basis = mistakes.note("basis", form::optional_line(&self.basis, 200));
        if let Some(name) = &name
            && known.iter().any(|one| one.id != id && one.name.to_lowercase() == name.to_lowercase())
        {
            mistakes.add("name", "There is already one with this name. Choose another name.");
        }
        let counts_as = if self.counts_as.is_empty() {
            None
        } else {
            let lesser = known.iter().find(|one| one.id.to_string() == self.counts_as);
            let fits = lesser.filter(|one| !super::with_lesser(one.id, known).contains(&id));
            let wrong =
                "Choose another one. This one no longer exists, or it already counts as the one you are editing.";
            mistakes.note("counts_as", fits.map(|one| one.id).ok_or(wrong.to_owned()))
        };
        match (name, basis, mistakes.is_empty()) {
            (Some(name), Some(basis), true) => Ok(Qualification { id, name, basis, counts_as, version: self.version }),
            _ => Err(mistakes),
        }
    }
}

/// A qualification someone holds.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct HoldingForm {
    pub qualification: String,
    pub evidence: String,
    pub issued_by: String,
    pub expires_on: String,
    pub version: i64,
}

impl HoldingForm {
    #[must_use]
    pub fn of(holding: &Holding) -> Self {
        Self {
            qualification: holding.kept.qualification_id.to_string(),
            evidence: holding.kept.evidence.clone(),
            issued_by: holding.kept.issued_by.clone(),
            expires_on: holding.kept.expires_on.map(words::iso).unwrap_or_default(),
            version: holding.version,
        }
    }

    /// The form as a page shows it again. A date field holds a date or nothing.
    #[must_use]
    pub fn shown(mut self) -> Self {
        if form::day(&self.expires_on).is_err() {
            self.expires_on.clear();
        }
        self
    }

    /// # Errors
    /// What is wrong, by field.
    pub fn read(&self, known: &[Qualification]) -> Result<Kept, Mistakes> {
        let mut mistakes = Mistakes::default();
        let one = known.iter().find(|one| one.id.to_string() == self.qualification).map(|one| one.id);
        let one = mistakes.note("qualification", one.ok_or("Choose a qualification.".to_owned()));
        let evidence = form::line(&self.evidence, 200).map_err(|_| {
            "Enter the proof, in 200 characters or less. Example: certificate 4471, copy in the folder".to_owned()
        });
        let evidence = mistakes.note("evidence", evidence);
        let issued_by = mistakes.note("issued_by", form::optional_line(&self.issued_by, 100));
        let expires_on =
            if self.expires_on.trim().is_empty() { Ok(None) } else { form::day(&self.expires_on).map(Some) };
        let expires_on = mistakes.note("expires_on", expires_on);
        match (one, evidence, issued_by, expires_on) {
            (Some(qualification_id), Some(evidence), Some(issued_by), Some(expires_on)) => {
                Ok(Kept { qualification_id, evidence, issued_by, expires_on })
            }
            _ => Err(mistakes),
        }
    }
}
