//! Whom to ask to read a text.

use crate::people::{Details, Person};
use crate::press::matching::{Match, Sought};
use crate::press::papers::paper::Paper;
use crate::press::papers::refusals::{Refusal, Why};
use crate::web::form;
use serde::Deserialize;

#[derive(Debug, Deserialize, Default)]
#[serde(default)]
pub(in crate::press::papers) struct AskForm {
    pub reader: String,
    pub reader_mail: String,
}

/// Who is asked.
#[derive(Debug, Clone)]
pub(super) enum Reader {
    Known(Person),
    New(Details),
}

impl Reader {
    pub fn name(&self) -> &str {
        match self {
            Self::Known(person) => &person.details.name,
            Self::New(details) => &details.name,
        }
    }
}

impl AskForm {
    /// Whom it means among everyone we know, or why no one is asked.
    pub(super) fn read(&self, paper: &Paper, people: &[Person]) -> Result<Reader, Refusal> {
        let Ok(name) = form::name(&self.reader, 100) else {
            let says = "No one was asked. Type the name of the person who should read it.";
            return Err(Refusal::new(Why::NoName, says));
        };
        let Ok(mail) = form::mail(&self.reader_mail) else {
            let says = "No one was asked. Type an email address, like name@example.org.";
            return Err(Refusal::new(Why::NoMail, says));
        };
        match (Sought { name: &name, mail: &mail }).among(people) {
            Match::One(person) if person.id == paper.editor_person => {
                let says = "No one was asked. This person edited the text last, so choose someone else.";
                Err(Refusal::new(Why::OwnText, says))
            }
            Match::One(person) if person.details.mail.eq_ignore_ascii_case(&mail) => Ok(Reader::Known(person.clone())),
            Match::Nobody => Ok(Reader::New(Details { mail, ..Details::of_name(&name) })),
            Match::One(_) | Match::Several(_) => {
                let says = format!(
                    "No one was asked. People has someone named {name}, or with this address, under another address \
                     or name. Type both as they are in People."
                );
                Err(Refusal::new(Why::KnownOtherwise, says))
            }
        }
    }
}
