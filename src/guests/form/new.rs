//! The form for adding guests.

use super::one_of::one_of;
use crate::guests::guest::Side;
use crate::guests::settings::GuestSettings;
use crate::people::Details;
use crate::people::choosing::{Newcomer, Whom};
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// The form for adding guests, as typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(in crate::guests) struct NewForm {
    pub side: String,
    pub sponsor_level: String,
    pub responsible: String,
    /// People with a contact record.
    pub person: Vec<i64>,
    /// Someone new.
    pub name: String,
    pub office: String,
    pub jurisdiction: String,
    pub organization: String,
    pub mail: String,
    pub phone: String,
    /// Who it is, if they may be in People already: a number, or "new".
    pub new_who: String,
}

/// Guests to add, as read from the form.
#[derive(Debug, Clone)]
pub(in crate::guests) struct New {
    pub side: Side,
    pub sponsor_level: Option<i64>,
    pub responsible: Option<i64>,
    pub people: Vec<i64>,
    pub fresh: Option<Whom>,
}

impl NewForm {
    fn fresh(&self) -> [(&'static str, &str); 6] {
        [
            ("name", &self.name),
            ("office", &self.office),
            ("jurisdiction", &self.jurisdiction),
            ("organization", &self.organization),
            ("mail", &self.mail),
            ("phone", &self.phone),
        ]
    }

    /// The part for someone new. `is_again` says that someone sent the form and sees it
    /// again.
    pub fn part(&self, mistakes: &Mistakes, is_again: bool) -> Fold {
        let fields = self.fresh().map(|(name, text)| (name, !text.trim().is_empty()));
        Fold::of(fields.into_iter().chain([("new_who", false)]), mistakes, is_again)
    }

    pub fn read(&self, settings: &GuestSettings, candidates: &[i64]) -> Result<New, Mistakes> {
        let mut mistakes = Mistakes::default();
        let side = mistakes.note("side", self.side.parse::<Side>());
        let sponsor = one_of(&self.sponsor_level, settings.levels.iter().map(|level| level.id));
        let sponsor = mistakes.note("sponsor_level", sponsor.ok_or("Choose a level from the list.".to_owned()));
        let responsible = one_of(&self.responsible, candidates.iter().copied());
        let responsible =
            mistakes.note("responsible", responsible.ok_or("Choose someone who has an account.".to_owned()));
        let name = mistakes.note("name", form::optional_name(&self.name, 100)).unwrap_or_default();
        let office = mistakes.note("office", form::optional_line(&self.office, 100)).unwrap_or_default();
        let jurisdiction = mistakes.note("jurisdiction", form::optional_line(&self.jurisdiction, 100));
        let organization = mistakes.note("organization", form::optional_line(&self.organization, 100));
        let mail = if self.mail.trim().is_empty() { Ok(String::new()) } else { form::mail(&self.mail) };
        let mail = mistakes.note("mail", mail);
        let phone = mistakes.note("phone", form::phone(&self.phone)).unwrap_or_default();
        if name.is_empty() && self.fresh().iter().any(|(_, text)| !text.trim().is_empty()) {
            mistakes.add("name", "Enter a name too.");
        } else if self.person.is_empty() && name.is_empty() {
            mistakes.add("person", "Choose at least one person, or enter someone new.");
        }
        let rest = jurisdiction.zip(organization).zip(mail);
        match (side, sponsor.zip(responsible), rest, mistakes.is_empty()) {
            (Some(side), Some((sponsor_level, responsible)), Some(((jurisdiction, organization), mail)), true) => {
                let details = Details { organization, office, jurisdiction, mail, phone, ..Details::of_name(&name) };
                let who = self.new_who.clone();
                let fresh = (!name.is_empty()).then(|| Whom::New(Box::new(Newcomer { details, who })));
                let sponsor_level = sponsor_level.filter(|_| side == Side::Sponsor);
                Ok(New { side, sponsor_level, responsible, people: self.person.clone(), fresh })
            }
            _ => Err(mistakes),
        }
    }
}
