//! The form for a permit or notice.

use super::fields::{optional, past};
use crate::calc::notice;
use crate::permit_records::{CountedWhen, DatesOnIt, DayKind, Details, Kind, Learned, Permit, Rule, RuleKind};
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;
use time::Date;

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct PermitForm {
    pub kind: String,
    pub title: String,
    pub task: String,
    pub authority: String,
    pub person: String,
    pub phone: String,
    pub mail: String,
    pub number: String,
    pub rule: String,
    pub days: String,
    pub basis: String,
    pub counted: String,
    pub delivery: String,
    pub dates: String,
    pub learned_by: String,
    pub learned_on: String,
    pub granted_on: String,
    pub expires_on: String,
    pub conditions: String,
    pub notes: String,
    pub version: i64,
}

/// A field of the form, for comparing two versions side by side.
pub(super) struct FormField {
    pub name: &'static str,
    pub label: &'static str,
    pub of: fn(&PermitForm) -> &String,
}

/// All fields except the task, which is shown by its title.
pub(super) const FORM: [FormField; 19] = [
    FormField { name: "kind", label: "Type", of: |form| &form.kind },
    FormField { name: "title", label: "Name", of: |form| &form.title },
    FormField { name: "authority", label: "Authority", of: |form| &form.authority },
    FormField { name: "person", label: "Contact there", of: |form| &form.person },
    FormField { name: "phone", label: "Phone", of: |form| &form.phone },
    FormField { name: "mail", label: "Email", of: |form| &form.mail },
    FormField { name: "number", label: "Number", of: |form| &form.number },
    FormField { name: "rule", label: "Notice rule", of: |form| &form.rule },
    FormField { name: "days", label: "Days before", of: |form| &form.days },
    FormField { name: "basis", label: "Working or calendar days", of: |form| &form.basis },
    FormField { name: "counted", label: "Counted from", of: |form| &form.counted },
    FormField { name: "delivery", label: "Days for delivery", of: |form| &form.delivery },
    FormField { name: "dates", label: "Dates on it", of: |form| &form.dates },
    FormField { name: "learned_by", label: "Asked by", of: |form| &form.learned_by },
    FormField { name: "learned_on", label: "Asked on", of: |form| &form.learned_on },
    FormField { name: "granted_on", label: "Granted on", of: |form| &form.granted_on },
    FormField { name: "expires_on", label: "Expires on", of: |form| &form.expires_on },
    FormField { name: "conditions", label: "Conditions", of: |form| &form.conditions },
    FormField { name: "notes", label: "Notes", of: |form| &form.notes },
];

impl PermitForm {
    /// What a field holds, by its name.
    pub fn value(&self, name: &str) -> String {
        let field = FORM.into_iter().find(|field| field.name == name);
        field.map(|field| (field.of)(self).clone()).unwrap_or_default()
    }

    /// An empty form, perhaps with the task.
    pub fn fresh(task: &str) -> Self {
        Self {
            kind: Kind::Permit.to_string(),
            task: task.to_owned(),
            rule: RuleKind::NotAsked.to_string(),
            ..Self::default()
        }
    }

    pub fn of(permit: &Permit) -> Self {
        let details = &permit.details;
        let day = |on: Option<Date>| on.map(words::iso).unwrap_or_default();
        let mut form = Self {
            kind: details.kind.to_string(),
            title: details.title.clone(),
            task: details.task_id.map(|id| id.to_string()).unwrap_or_default(),
            authority: details.authority.clone(),
            person: details.person.clone().unwrap_or_default(),
            phone: details.phone.clone(),
            mail: details.mail.clone(),
            number: details.number.clone(),
            rule: details.rule.kind().to_string(),
            granted_on: day(details.granted_on),
            expires_on: day(details.expires_on),
            conditions: details.conditions.clone(),
            notes: details.notes.clone(),
            version: permit.version,
            ..Self::default()
        };
        if let Some(learned) = details.rule.learned() {
            (form.learned_by, form.learned_on) = (learned.by.clone(), day(learned.on));
        }
        if let Rule::Days { rule, dates, .. } = &details.rule {
            form.days = rule.days.to_string();
            form.basis = DayKind::of(rule.basis).to_string();
            form.counted = CountedWhen::of(rule.counted).to_string();
            form.delivery = if rule.delivery == 0 { String::new() } else { rule.delivery.to_string() };
            form.dates = dates.to_string();
        }
        form
    }

    /// What was typed, checked.
    pub fn read(&self, today: Date) -> Result<Details, Mistakes> {
        let mut mistakes = Mistakes::default();
        let kind = mistakes.note("kind", self.kind.parse());
        let title = mistakes.note("title", form::line(&self.title, 120));
        let task_id =
            optional(&self.task, |text| text.parse().map_err(|_| "Choose the task from the list.".to_owned()));
        let task_id = mistakes.note("task", task_id);
        let person = mistakes.note("person", form::optional_name(&self.person, 100));
        let text = |text: &str, most| form::optional_line(text, most);
        let authority = mistakes.note("authority", text(&self.authority, 120));
        let phone = mistakes.note("phone", text(&self.phone, 40));
        let mail = mistakes.note("mail", optional(&self.mail, form::mail));
        let number = mistakes.note("number", text(&self.number, 60));
        let rule = self.rule(today, &mut mistakes);
        let granted_on = mistakes.note("granted_on", optional(&self.granted_on, |text| past(text, today)));
        let expires_on = mistakes.note("expires_on", optional(&self.expires_on, form::day));
        if let (Some(Some(granted)), Some(Some(expires))) = (granted_on, expires_on)
            && expires < granted
        {
            mistakes.add("expires_on", "This is before the day it was granted.");
        }
        let conditions = mistakes.note("conditions", form::paragraph(&self.conditions, 4_000));
        let notes = mistakes.note("notes", form::paragraph(&self.notes, 4_000));
        if !mistakes.is_empty() {
            return Err(mistakes);
        }
        let whole = || {
            Some(Details {
                kind: kind?,
                title: title?,
                task_id: task_id?,
                authority: authority?,
                person: person.filter(|name| !name.is_empty()),
                phone: phone?,
                mail: mail?.unwrap_or_default(),
                number: number?,
                rule: rule?,
                granted_on: granted_on?,
                expires_on: expires_on?,
                conditions: conditions?,
                notes: notes?,
            })
        };
        whole().ok_or(mistakes)
    }

    fn rule(&self, today: Date, mistakes: &mut Mistakes) -> Option<Rule> {
        let kind = mistakes.note("rule", self.rule.parse::<RuleKind>())?;
        if kind != RuleKind::Days && !self.days.trim().is_empty() {
            let required = RuleKind::Days.label();
            mistakes
                .add("rule", format!("You entered a number of days below. Choose “{required}”, or clear that field."));
        }
        if kind == RuleKind::NotAsked {
            return Some(Rule::NotAsked);
        }
        let by = mistakes.note("learned_by", form::line(&self.learned_by, 100));
        let on = mistakes.note("learned_on", past(&self.learned_on, today));
        if kind == RuleKind::None {
            return Some(Rule::None(Learned { by: by?, on: Some(on?) }));
        }
        let days = mistakes.note("days", form::number(&self.days, 0, 400));
        let basis = mistakes.note("basis", self.basis.parse::<DayKind>());
        let counted = mistakes.note("counted", self.counted.parse::<CountedWhen>());
        let delivery = match self.delivery.trim() {
            "" => Ok(0),
            text => form::number(text, 0, 60),
        };
        let delivery = mistakes.note("delivery", delivery);
        if counted == Some(CountedWhen::Sent) && delivery.is_some_and(|days| days > 0) {
            mistakes.add("delivery", "Delivery only matters if the day they receive it counts. Clear this field.");
        }
        let dates = mistakes.note("dates", self.dates.parse::<DatesOnIt>());
        let rule =
            notice::Rule { days: days?, basis: basis?.basis(), counted: counted?.counted(), delivery: delivery? };
        Some(Rule::Days { rule, dates: dates?, learned: Learned { by: by?, on: Some(on?) } })
    }
}

#[cfg(test)]
mod tests;
