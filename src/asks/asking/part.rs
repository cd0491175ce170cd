//! What every page that asks people shows: the question's fields, and the emails as they
//! would go out.

use super::form::QuestionForm;
use crate::asks::{Request, Sender, letters};
use crate::error::Result;
use crate::events::Event;
use crate::mail::Letter;
use crate::people::Person;
use crate::web::form::Mistakes;
use crate::web::link;
use time::{Date, OffsetDateTime};

/// The part of a page that the macros in `macros/asking.html` show.
#[derive(Debug)]
pub struct AskingPart {
    pub form: QuestionForm,
    pub mistakes: Mistakes,
    /// The event's dates, as the page writes days. The second may be empty.
    pub burn_day: String,
    pub rain_day: String,
    pub previews: Vec<Preview>,
    /// The people to ask whom email doesn't reach.
    pub to_call: Vec<String>,
}

/// An email as it would go out.
#[derive(Debug)]
pub struct Preview {
    pub to: String,
    pub subject: String,
    pub text: String,
}

/// Someone to ask, and the questions they would get.
pub struct Recipient<'a> {
    pub person: &'a Person,
    /// The name on the list of people to call.
    pub called: String,
    pub questions: Vec<Request>,
}

impl Preview {
    /// A letter whose links aren't made yet.
    #[must_use]
    pub fn of(letter: &Letter) -> Self {
        Self {
            to: format!("{} <{}>", letter.to.name, letter.to.address),
            subject: letter.subject.clone(),
            text: link::without_links(&letter.body.text, "[their own link]"),
        }
    }
}

impl AskingPart {
    /// The form, with the event's dates written as given.
    #[must_use]
    pub fn of(form: QuestionForm, mistakes: Mistakes, event: &Event, day: impl Fn(Date) -> String) -> Self {
        Self {
            form,
            mistakes,
            burn_day: day(event.details.burn_on),
            rain_day: event.details.rain_on.map(day).unwrap_or_default(),
            previews: Vec::new(),
            to_call: Vec::new(),
        }
    }

    /// Adds the emails that these people would get, and who has to be called instead.
    ///
    /// # Errors
    /// When a letter can't be made.
    pub fn preview(
        &mut self,
        event: &Event,
        recipients: &[Recipient<'_>],
        sender: &Sender,
        now: OffsetDateTime,
    ) -> Result<()> {
        for recipient in recipients {
            if !recipient.person.has_mail() {
                self.to_call.push(recipient.called.clone());
                continue;
            }
            for question in &recipient.questions {
                let letter = letters::asking(event, question, recipient.person, sender, now)?;
                self.previews.push(Preview::of(&letter));
            }
        }
        Ok(())
    }

    /// Is there something to look at before anyone is asked?
    #[must_use]
    pub fn is_ready(&self) -> bool {
        !self.previews.is_empty() || !self.to_call.is_empty()
    }

    /// How many people or guests are ready to be asked.
    #[must_use]
    pub fn ready(&self) -> usize {
        self.previews.len() + self.to_call.len()
    }
}
