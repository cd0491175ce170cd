//! The form that adds a contact, and whom it means.

use crate::people::Person;
use crate::press::matching::{Match, Sought};
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(in crate::press::outlets) struct ContactForm {
    pub person: String,
    pub part: String,
    pub phone: String,
    pub mail: String,
    /// The number of the person, or "new".
    pub who: String,
}

/// Someone it may be.
#[derive(Debug)]
pub(in crate::press::outlets) struct Namesake {
    pub id: i64,
    pub name: String,
    pub beneath: String,
}

impl Namesake {
    fn of(person: &Person) -> Self {
        let details = &person.details;
        let parts = [person.place(), details.mail.clone(), words::phone(&details.phone)];
        let beneath = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ");
        Self { id: person.id, name: details.name.clone(), beneath }
    }
}

/// What was typed, once it makes sense.
#[derive(Debug, Clone)]
pub(super) struct Typed {
    pub name: String,
    pub part: String,
    pub phone: String,
    pub mail: String,
}

/// Who becomes the contact.
#[derive(Debug, Clone)]
pub(super) enum Whom {
    Known(Box<Person>),
    New,
}

impl ContactForm {
    fn read(&self) -> Result<Typed, Mistakes> {
        let mut mistakes = Mistakes::default();
        let name = mistakes.note("person", form::name(&self.person, 100));
        let part = mistakes.note("part", form::optional_line(&self.part, 100));
        let phone = mistakes.note("phone", form::optional_line(&self.phone, 40));
        let mail = if self.mail.trim().is_empty() { Ok(String::new()) } else { form::mail(&self.mail) };
        let mail = mistakes.note("mail", mail);
        match (name, part, phone, mail) {
            (Some(name), Some(part), Some(phone), Some(mail)) => Ok(Typed { name, part, phone, mail }),
            _ => Err(mistakes),
        }
    }

    /// Who it is, or those to choose from.
    fn whom(&self, typed: &Typed, people: &[Person]) -> Result<Whom, Vec<Namesake>> {
        match (Sought { name: &typed.name, mail: &typed.mail }).among(people) {
            Match::Nobody => Ok(Whom::New),
            Match::One(person) => Ok(Whom::Known(Box::new(person.clone()))),
            Match::Several(_) if self.who == "new" => Ok(Whom::New),
            Match::Several(all) => match all.iter().find(|person| person.id.to_string() == self.who) {
                Some(person) => Ok(Whom::Known(Box::new((*person).clone()))),
                None => Err(all.into_iter().map(Namesake::of).collect()),
            },
        }
    }
}

/// What someone typed to add a contact, and why no one was added.
#[derive(Default)]
pub(in crate::press::outlets) struct Attempt {
    pub form: ContactForm,
    pub mistakes: Mistakes,
    /// People it may be.
    pub namesakes: Vec<Namesake>,
}

impl ContactForm {
    /// What was typed and who it is, or the form as it is shown again.
    pub(super) fn settled(self, people: &[Person]) -> Result<(Typed, Whom), Box<Attempt>> {
        let typed = match self.read() {
            Ok(typed) => typed,
            Err(mistakes) => return Err(Box::new(Attempt { form: self, mistakes, namesakes: Vec::new() })),
        };
        self.whom(&typed, people).map(|whom| (typed, whom)).map_err(|namesakes| {
            let mut mistakes = Mistakes::default();
            mistakes.add("who", "You have someone with this name or email already. Choose who it is.");
            Box::new(Attempt { form: self, mistakes, namesakes })
        })
    }
}
