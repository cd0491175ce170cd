//! Someone who isn't in People yet, typed in the form that needs them.

use super::chooser::Line;
use super::find::Find;
use crate::error::{Error, Result};
use crate::people::person::Details;
use crate::web::conflict::Conflict;
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes, Three};
use axum::extract::{FromRequest, Request};
use axum::response::Response;
use serde::Deserialize;
use serde::de::DeserializeOwned;

/// What `new_who` holds if it is none of them.
pub(super) const NOBODY: &str = "new";
const WHO: &str = "new_who";

/// What the part "Add a new person" of a form sends.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(default)]
pub struct NewPerson {
    pub new_name: String,
    pub new_phone: String,
    pub new_mail: String,
    pub new_organization: String,
    /// Who it is, if they may be in People already: a number, or "new".
    pub new_who: String,
}

/// Whom a form means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Whom {
    /// The number of someone in People.
    Known(i64),
    New(Box<Newcomer>),
}

/// Someone to add, unless they are in People already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Newcomer {
    pub details: Details,
    /// What was chosen when the page asked who it is; may be empty.
    pub who: String,
}

impl NewPerson {
    fn fields(&self) -> [(&'static str, &str); 4] {
        [
            ("new_name", &self.new_name),
            ("new_phone", &self.new_phone),
            ("new_mail", &self.new_mail),
            ("new_organization", &self.new_organization),
        ]
    }

    /// Sends it along with a choice between two versions.
    pub fn keep(&self, conflict: &mut Conflict) {
        for (name, text) in self.fields().into_iter().chain([(WHO, self.new_who.as_str())]) {
            conflict.silent(name, text);
        }
    }

    /// Was nobody typed?
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.fields().iter().all(|(_, text)| text.trim().is_empty())
    }

    /// Refuses someone new from anyone who may not change the contact records. Their pages
    /// don't have the fields.
    ///
    /// # Errors
    /// [`Error::Forbidden`].
    pub fn only_if(&self, keeps_people: bool) -> Result<()> {
        if keeps_people || self.is_empty() {
            return Ok(());
        }
        Err(Error::Forbidden(
            "Only the education officer and the information officer can add people. Ask one of them, or go back.",
        ))
    }

    /// Whom the form means: the person chosen in this field, or the one who was typed.
    /// `missing` says what to do if it is neither.
    pub fn whom(&self, field: &'static str, chosen: &str, missing: &str, mistakes: &mut Mistakes) -> Option<Whom> {
        let chosen = chosen.trim();
        if self.is_empty() {
            return mistakes.note(field, chosen.parse().map_err(|_| missing.to_owned())).map(Whom::Known);
        }
        let details = self.read(mistakes);
        if !chosen.is_empty() {
            mistakes.add("new_name", "You chose someone and also entered someone new. Clear one of them.");
            return None;
        }
        details.map(|details| Whom::New(Box::new(Newcomer { details, who: self.new_who.clone() })))
    }

    fn read(&self, mistakes: &mut Mistakes) -> Option<Details> {
        let name = mistakes.note("new_name", form::name(&self.new_name, 100));
        let phone = mistakes.note("new_phone", form::phone(&self.new_phone));
        let mail = if self.new_mail.trim().is_empty() { Ok(String::new()) } else { form::mail(&self.new_mail) };
        let mail = mistakes.note("new_mail", mail);
        let organization = mistakes.note("new_organization", form::optional_line(&self.new_organization, 100));
        let (name, phone, mail, organization) = (name?, phone?, mail?, organization?);
        Some(Details { organization, mail, phone, ..Details::of_name(&name) })
    }
}

/// The part of a page in which someone new is typed.
#[derive(Debug, Default)]
pub struct Adding {
    pub person: NewPerson,
    /// People they may be.
    pub known: Vec<Line>,
    pub part: Fold,
}

impl Adding {
    /// The part as it is shown. `is_again` says that someone sent the form and sees it again.
    #[must_use]
    pub fn of(person: NewPerson, known: Vec<Line>, mistakes: &Mistakes, is_again: bool) -> Self {
        let fields = person.fields().map(|(name, text)| (name, !text.trim().is_empty()));
        let part = Fold::of(fields.into_iter().chain([(WHO, false)]), mistakes, is_again);
        Self { person, known, part }
    }
}

/// A form with a person in it, as it was sent: its own fields, the search for the person,
/// and someone new.
#[derive(Debug)]
pub struct WithPerson<F> {
    pub form: F,
    pub find: Find,
    pub new: NewPerson,
    /// People the new one may be.
    pub known: Vec<Line>,
    pub mistakes: Mistakes,
}

impl<F> WithPerson<F> {
    /// A form that nobody has sent yet.
    #[must_use]
    pub fn fresh(form: F) -> Self {
        Self::sent(form, Find::default(), NewPerson::default())
    }

    fn sent(form: F, find: Find, new: NewPerson) -> Self {
        Self { form, find, new, known: Vec::new(), mistakes: Mistakes::default() }
    }

    /// The same with what is wrong in it.
    #[must_use]
    pub fn refused(self, mistakes: Mistakes) -> Self {
        Self { mistakes, ..self }
    }

    /// The same, asking which of these people the new one is.
    #[must_use]
    pub fn unsure(self, known: Vec<Line>) -> Self {
        Self { known, mistakes: who_is_it(), ..self }
    }

    /// Does whoever sent it see it again?
    #[must_use]
    pub fn is_again(&self) -> bool {
        !self.mistakes.is_empty() || self.find.is_looking()
    }

    /// The part for someone new.
    #[must_use]
    pub fn adding(&self) -> Adding {
        Adding::of(self.new.clone(), self.known.clone(), &self.mistakes, self.is_again())
    }
}

impl<S: Send + Sync, F: DeserializeOwned + Send> FromRequest<S> for WithPerson<F> {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        let Three(form, find, new) = Three::<F, Find, NewPerson>::from_request(request, state).await?;
        Ok(Self::sent(form, find, new))
    }
}

/// That the page has to ask who someone is.
#[must_use]
pub fn who_is_it() -> Mistakes {
    let mut mistakes = Mistakes::default();
    mistakes.add(WHO, "You have someone with this name or email already. Choose who it is.");
    mistakes
}

#[cfg(test)]
mod tests;
