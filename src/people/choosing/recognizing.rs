//! Whether someone who was typed is in People already; otherwise they are added by the same
//! write as the form.

use super::adding::{NOBODY, Whom};
use super::chooser::Line;
use super::find::Find;
use super::store;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::people::{self, Details, Person, fold, phone_digits};
use crate::web::words;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// At most this many people are compared with a new one by name, and by email.
const MOST_ALIKE: usize = 500;

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

/// Finds whom a form means. Someone with the same email or the same name as a new person may
/// be the same. With the same name and the same email or phone, they are.
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
