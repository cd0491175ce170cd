//! The form about a person.

use crate::people::{Channel, Details};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// The longest name, in characters.
const MOST_NAME: usize = 100;

/// What the form sends, and what a row of a file is turned into.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct PersonForm {
    /// The whole name if they have only one, or nobody knows where the surname begins.
    pub given_name: String,
    pub surname: String,
    pub address_form: String,
    pub said: String,
    pub organization: String,
    pub office: String,
    pub jurisdiction: String,
    pub mail: String,
    pub phone: String,
    pub channel: String,
    pub notes: String,
    pub access_needs: String,
    pub no_mail: String,
    pub version: i64,
}

impl PersonForm {
    pub fn of(details: &Details, version: i64) -> Self {
        let (given_name, details) = (details.given_name().to_owned(), details.clone());
        Self {
            given_name,
            surname: details.surname,
            address_form: details.address_form,
            said: details.said,
            organization: details.organization,
            office: details.office,
            jurisdiction: details.jurisdiction,
            mail: details.mail,
            phone: details.phone,
            channel: details.channel.as_str().to_owned(),
            notes: details.notes,
            access_needs: details.access_needs,
            no_mail: if details.no_mail { "yes".to_owned() } else { String::new() },
            version,
        }
    }

    /// Checks what was typed.
    pub fn read(&self) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let named = self.named(&mut mistakes);
        let mut line = |field, text, most| mistakes.note(field, form::optional_line(text, most)).unwrap_or_default();
        let address_form = line("address_form", &self.address_form, 40);
        let said = line("said", &self.said, 100);
        let organization = line("organization", &self.organization, 100);
        let office = line("office", &self.office, 100);
        let jurisdiction = line("jurisdiction", &self.jurisdiction, 100);
        let mail = if self.mail.trim().is_empty() { Ok(String::new()) } else { form::mail(&self.mail) };
        let mail = mistakes.note("mail", mail).unwrap_or_default();
        let phone = mistakes.note("phone", form::phone(&self.phone)).unwrap_or_default();
        let channel = if self.channel.is_empty() { Ok(Channel::Mail) } else { self.channel.parse() };
        let channel = mistakes.note("channel", channel).unwrap_or(Channel::Mail);
        let notes = mistakes.note("notes", form::paragraph(&self.notes, 4_000)).unwrap_or_default();
        let access_needs = mistakes.note("access_needs", form::paragraph(&self.access_needs, 1_000));
        if !matches!(self.no_mail.as_str(), "" | "yes") {
            mistakes.add("no_mail", "Enter yes or no.");
        }
        let (Some(named), true) = (named, mistakes.is_empty()) else { return Err(mistakes) };
        let access_needs = access_needs.unwrap_or_default();
        let no_mail = self.no_mail == "yes";
        Ok(Details {
            address_form,
            said,
            organization,
            office,
            jurisdiction,
            mail,
            phone,
            channel,
            notes,
            access_needs,
            no_mail,
            ..named
        })
    }

    /// The name. One of its parts is enough.
    fn named(&self, mistakes: &mut Mistakes) -> Option<Details> {
        let given = mistakes.note("given_name", form::optional_name(&self.given_name, MOST_NAME));
        let surname = mistakes.note("surname", form::optional_name(&self.surname, MOST_NAME));
        let named = Details::of_parts(&given?, &surname?);
        match named.name.chars().count() {
            0 => mistakes.add("given_name", "Fill this in."),
            length if length > MOST_NAME => {
                let what = format!("The whole name has {length} characters. Shorten it to {MOST_NAME} or fewer.");
                mistakes.add("surname", what);
            }
            _ => {}
        }
        Some(named)
    }
}
