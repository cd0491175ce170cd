//! Someone who isn't in People yet: typed in the form that needs them, and added by the same
//! write as the form.

use super::{Find, Line, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::people::{self, Details, Person, fold, phone_digits};
use crate::web::conflict::Conflict;
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes, Three};
use crate::web::words;
use axum::extract::{FromRequest, Request};
use axum::response::Response;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// At most this many people are compared with a new one by name, and by email.
const MOST_ALIKE: usize = 500;
/// What `new_who` holds if it is none of them.
const NOBODY: &str = "new";
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

/// Who it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Settled {
    Person {
        id: i64,
        /// What to say about someone who was typed. Starts with a space, or is empty.
        said: String,
    },
    /// They may be one of these. Nothing was saved, and the page has to ask.
    Unsure(Vec<Line>),
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

/// Whom a form means, before anything is saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Recognized {
    Known(Box<Person>),
    /// Nobody in People.
    New,
    /// They may be one of these, and only whoever typed it knows.
    Unsure(Vec<Line>),
    /// Someone who was erased or merged in the meantime.
    Gone,
}

/// Finds whom a form means. Someone with the same email or the same name as a new person may
/// be the same. With the same name and the same email or phone, they are.
///
/// # Errors
/// The store's.
pub async fn recognize(db: &mut SqliteConnection, whom: &Whom) -> Result<Recognized> {
    let new = match whom {
        Whom::Known(id) => {
            let person = people::find(db, *id).await?;
            return Ok(person.map_or(Recognized::Gone, |person| Recognized::Known(Box::new(person))));
        }
        Whom::New(new) => new,
    };
    let mut alike = alike(db, &new.details).await?;
    if let Some(place) = alike.iter().position(|person| person.id.to_string() == new.who) {
        return Ok(Recognized::Known(Box::new(alike.swap_remove(place))));
    }
    if alike.is_empty() || new.who == NOBODY {
        return Ok(Recognized::New);
    }
    let same: Vec<usize> = (0..alike.len()).filter(|place| is_same(&alike[*place].details, &new.details)).collect();
    Ok(match same.as_slice() {
        [place] => Recognized::Known(Box::new(alike.swap_remove(*place))),
        _ => Recognized::Unsure(alike.iter().map(line).collect()),
    })
}

/// What will be known about whom a form means, before anything is saved; none if they are
/// gone.
///
/// # Errors
/// The store's.
pub async fn known_about(db: &mut SqliteConnection, whom: &Whom) -> Result<Option<Details>> {
    Ok(match (recognize(db, whom).await?, whom) {
        (Recognized::Known(person), Whom::New(new)) => Some(completed(&person.details, &new.details)),
        (Recognized::Known(person), Whom::Known(_)) => Some(person.details),
        (Recognized::New | Recognized::Unsure(_), Whom::New(new)) => Some(new.details.clone()),
        (Recognized::Gone, _) | (Recognized::New | Recognized::Unsure(_), Whom::Known(_)) => None,
    })
}

/// Who it is: someone in People, or someone who is added now. Whoever is in People already
/// gets the phone, the email, and the rest that weren't known yet.
///
/// # Errors
/// The store's.
pub async fn settle(tx: &mut Tx, actor: Actor, whom: &Whom, now: OffsetDateTime) -> Result<Settled> {
    let new = match whom {
        Whom::Known(id) => return Ok(Settled::Person { id: *id, said: String::new() }),
        Whom::New(new) => &new.details,
    };
    Ok(match recognize(tx, whom).await? {
        Recognized::New | Recognized::Gone => {
            let id = people::add(tx, actor, new, now).await?;
            Settled::Person { id, said: format!(" {} was added to People.", new.name) }
        }
        Recognized::Known(person) => {
            let details = completed(&person.details, new);
            if details != person.details {
                people::change(tx, actor, person.id, &details, person.version, now).await?;
            }
            Settled::Person { id: person.id, said: was_known(&person.details, new) }
        }
        Recognized::Unsure(known) => Settled::Unsure(known),
    })
}

/// The people with this name or email, by name.
async fn alike(db: &mut SqliteConnection, new: &Details) -> Result<Vec<Person>> {
    let mut ids = Vec::new();
    for words in [&new.name, &new.mail].into_iter().filter(|words| !words.is_empty()) {
        let find = Find { find: words.clone(), ..Find::default() };
        ids.extend(store::matching(db, &find, &[], 0, MOST_ALIKE).await?);
    }
    // The search finds the words anywhere, and more than these.
    let found = people::some(db, &ids).await?;
    Ok(found.into_iter().filter(|person| has_name(&person.details, new) || has_mail(&person.details, new)).collect())
}

fn is_same(known: &Details, new: &Details) -> bool {
    let phone = phone_digits(&new.phone);
    let has_phone = !phone.is_empty() && phone == phone_digits(&known.phone);
    has_name(known, new) && (has_mail(known, new) || has_phone)
}

fn has_name(known: &Details, new: &Details) -> bool {
    fold(&known.name) == fold(&new.name)
}

fn has_mail(known: &Details, new: &Details) -> bool {
    !new.mail.is_empty() && known.mail.eq_ignore_ascii_case(&new.mail)
}

/// What was known, with what wasn't.
fn completed(known: &Details, new: &Details) -> Details {
    let or = |known: &String, new: &String| if known.is_empty() { new.clone() } else { known.clone() };
    Details {
        phone: or(&known.phone, &new.phone),
        mail: or(&known.mail, &new.mail),
        organization: or(&known.organization, &new.organization),
        office: or(&known.office, &new.office),
        jurisdiction: or(&known.jurisdiction, &new.jurisdiction),
        ..known.clone()
    }
}

/// That someone was in People already, and what stays as it was there.
fn was_known(known: &Details, new: &Details) -> String {
    let mut said = format!(" {} was in People already.", known.name);
    let is_same_phone = phone_digits(&known.phone) == phone_digits(&new.phone);
    for (what, is_same, known, new) in [
        ("phone", is_same_phone, words::phone(&known.phone), &new.phone),
        ("email", known.mail.eq_ignore_ascii_case(&new.mail), known.mail.clone(), &new.mail),
        ("organization", known.organization == new.organization, known.organization.clone(), &new.organization),
        ("office", known.office == new.office, known.office.clone(), &new.office),
    ] {
        if !is_same && !known.is_empty() && !new.is_empty() {
            said = format!("{said} Their {what} there is still {known}.");
        }
    }
    said
}

/// Someone to choose, with everything that tells them from others. Only people who may
/// change the contact records see it.
fn line(person: &Person) -> Line {
    let details = &person.details;
    let parts = [person.place(), details.mail.clone(), words::phone(&details.phone)];
    let detail = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ");
    Line { id: person.id, name: details.name.clone(), detail }
}

#[cfg(test)]
mod tests;
