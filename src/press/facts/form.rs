//! The form of the press facts.

use super::{FIELDS, Facts, MOST_MESSAGES};
use crate::web::conflict::Conflict;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct FactsForm {
    contact: String,
    phone: String,
    mail: String,
    why: String,
    area: String,
    arrival: String,
    interviews: String,
    visuals: String,
    decision: String,
    clothing: String,
    power: String,
    messages: String,
    version: i64,
}

impl FactsForm {
    /// As it was typed.
    pub fn raw(self) -> (Facts, String) {
        let facts = Facts {
            contact: self.contact,
            phone: self.phone,
            mail: self.mail,
            in_people: None,
            why: self.why,
            area: self.area,
            arrival: self.arrival,
            interviews: self.interviews,
            visuals: self.visuals,
            decision: self.decision,
            clothing: self.clothing,
            power: self.power,
            messages: Vec::new(),
            taught: Vec::new(),
            version: self.version,
        };
        (facts, self.messages)
    }

    pub fn read(&self) -> Result<Facts, Mistakes> {
        let mut mistakes = Mistakes::default();
        let (mut facts, messages) = self.clone().raw();
        for field in &FIELDS {
            let typed = (field.of_mut)(&mut facts);
            *typed = mistakes.note(field.name, form::optional_line(typed, 300)).unwrap_or_default();
        }
        if let Some(Err(what)) = (!facts.mail.is_empty()).then(|| form::mail(&facts.mail)) {
            mistakes.add("mail", what);
        }
        let messages = mistakes.note("messages", form::paragraph(&messages, 1_500)).unwrap_or_default();
        let messages: Vec<String> =
            messages.lines().map(|line| line.trim().to_owned()).filter(|line| !line.is_empty()).collect();
        if messages.len() > MOST_MESSAGES {
            mistakes.add(
                "messages",
                format!("Give at most {MOST_MESSAGES} messages, one to a line. A story carries only a few."),
            );
        }
        if mistakes.is_empty() { Ok(Facts { messages, ..facts }) } else { Err(mistakes) }
    }
}

/// What someone else saved meanwhile, beside what was typed here.
pub(super) fn stale(theirs: &Facts, mine: &Facts, event_id: i64) -> Conflict {
    let action = format!("/events/{event_id}/press/facts");
    let mut conflict = Conflict::new("Facts and key messages", action, theirs.version);
    for field in &FIELDS {
        conflict.field(field.name, field.label, (field.of)(theirs), (field.of)(mine));
    }
    conflict.field("messages", "Key messages", &theirs.messages.join("\n"), &mine.messages.join("\n"));
    conflict
}
