//! The form about a person.

use crate::people::{Channel, Details};
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

/// What the form sends, and what a row of a file is turned into.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct PersonForm {
    pub name: String,
    pub said: String,
    pub organisation: String,
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
        let details = details.clone();
        Self {
            name: details.name,
            said: details.said,
            organisation: details.organisation,
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
        let name = mistakes.note("name", form::name(&self.name, 100));
        let mut line = |field, text, most| mistakes.note(field, form::optional_line(text, most)).unwrap_or_default();
        let said = line("said", &self.said, 100);
        let organisation = line("organisation", &self.organisation, 100);
        let office = line("office", &self.office, 100);
        let jurisdiction = line("jurisdiction", &self.jurisdiction, 100);
        let mail = if self.mail.trim().is_empty() { Ok(String::new()) } else { form::mail(&self.mail) };
        let mail = mistakes.note("mail", mail).unwrap_or_default();
        let phone = mistakes.note("phone", phone(&self.phone)).unwrap_or_default();
        let channel = if self.channel.is_empty() { Ok(Channel::Mail) } else { self.channel.parse() };
        let channel = mistakes.note("channel", channel).unwrap_or(Channel::Mail);
        let notes = mistakes.note("notes", form::paragraph(&self.notes, 4_000)).unwrap_or_default();
        let access_needs = mistakes.note("access_needs", form::paragraph(&self.access_needs, 1_000));
        if !matches!(self.no_mail.as_str(), "" | "yes") {
            mistakes.add("no_mail", "Enter yes or no.");
        }
        let (Some(name), true) = (name, mistakes.is_empty()) else { return Err(mistakes) };
        let access_needs = access_needs.unwrap_or_default();
        let no_mail = self.no_mail == "yes";
        Ok(Details {
            name,
            said,
            organisation,
            office,
            jurisdiction,
            mail,
            phone,
            channel,
            notes,
            access_needs,
            no_mail,
        })
    }
}

/// A phone number, written any way, with or without an extension.
fn phone(text: &str) -> Result<String, String> {
    let phone = form::optional_line(text, 40)?;
    let digits = phone.chars().filter(char::is_ascii_digit).count();
    if phone.is_empty() || digits >= 3 { Ok(phone) } else { Err("Enter a phone number, like 555-0117.".to_owned()) }
}
