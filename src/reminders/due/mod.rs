//! The reminders there are, worked out from what is known now.

mod keys;
mod loans;
mod questions;
mod tasks;
mod weeks;

use super::event_rule::EventRule;
use super::line::{About, Line};
use super::store::{self, Became};
use crate::accounts::{Account, Role};
use crate::asks::Request;
use crate::calc::calendar::Calendar;
use crate::calc::reminder::{By, Fate, Limits, Mail, Quiet, Reminder, fates, mails};
use crate::countdown::Outlook;
use crate::crew::CallSheets;
use crate::events::Event;
use crate::loans::Out;
use crate::people::Person;
use std::collections::{BTreeMap, HashMap, HashSet};
use time::{OffsetDateTime, PrimitiveDateTime};

/// Everything reminders are made from.
pub(super) struct Inputs<'a> {
    pub event: &'a Event,
    pub requests: &'a [Request],
    /// What is known now about the loans a question is about.
    pub things: &'a HashMap<i64, Vec<(String, String)>>,
    pub out: &'a [Out],
    pub rules: &'a [EventRule],
    pub outlook: &'a Outlook,
    pub people: &'a HashMap<i64, Person>,
    pub accounts: &'a [Account],
    pub became: &'a [Became],
    pub last_said: &'a HashMap<i64, OffsetDateTime>,
    /// The lines and link of everyone's call sheet.
    pub sheets: &'a CallSheets,
    pub now: OffsetDateTime,
}

impl Inputs<'_> {
    pub(super) fn wall(&self, at: OffsetDateTime) -> PrimitiveDateTime {
        self.event.details.zone.wall(at)
    }

    pub(super) fn calendar(&self) -> &Calendar {
        &self.outlook.calendar
    }

    /// All reminders that haven't been settled, by person.
    pub fn lines(&self) -> BTreeMap<i64, Vec<Line>> {
        let settled: HashSet<&str> = self.became.iter().map(|became| became.key.as_str()).collect();
        let mut lines: Vec<Line> = self.requests.iter().flat_map(|request| self.of_question(request)).collect();
        lines.extend(self.of_tasks());
        lines.extend(self.of_week());
        lines.extend(self.out.iter().flat_map(|out| self.of_loan(out)));
        let mut by_person: BTreeMap<i64, Vec<Line>> = BTreeMap::new();
        for line in lines.into_iter().filter(|line| !settled.contains(line.key.as_str())) {
            by_person.entry(line.person_id).or_default().push(line);
        }
        by_person
    }

    /// The education officers, oldest account first.
    pub(super) fn officers(&self) -> Vec<i64> {
        let officers = self.accounts.iter().filter(|a| a.role == Role::EducationOfficer && !a.disabled);
        let mut officers: Vec<&Account> = officers.collect();
        officers.sort_by_key(|account| account.id);
        officers.into_iter().map(|account| account.person_id).collect()
    }

    /// The person, if email reaches them.
    pub fn reaches(&self, person_id: i64) -> Option<&Person> {
        self.people.get(&person_id).filter(|person| person.has_mail())
    }

    fn limits(&self, person_id: i64) -> Limits {
        let last = self.last_said.get(&person_id);
        Limits {
            quiet: Quiet::default(),
            burn_on: self.event.details.burn_on,
            last_mail_on: last.map(|at| store::day(self.event, *at)),
        }
    }

    /// The emails one person will get if nothing changes.
    pub fn mails(&self, person_id: i64, lines: &[Line]) -> Vec<Mail> {
        let by_mail: Vec<Reminder> = lines.iter().map(|line| self.by_mail(line)).collect();
        mails(&by_mail, self.wall(self.now), self.limits(person_id))
    }

    /// What happens to them now.
    pub fn fates(&self, lines: &[Line]) -> Vec<Fate> {
        let by_mail: Vec<Reminder> = lines.iter().map(|line| self.by_mail(line)).collect();
        fates(&by_mail, self.wall(self.now))
    }

    /// The reminder as an email. One that needs a call isn't an email.
    fn by_mail(&self, line: &Line) -> Reminder {
        let goes = line.by == By::Mail && self.reaches(line.person_id).is_some();
        Reminder { still_true: line.reminder.still_true && goes, ..line.reminder }
    }

    /// Is it a call to make, because the rule says so or email doesn't reach them?
    pub fn is_call(&self, line: &Line) -> bool {
        let about_question = matches!(line.about, About::Question { .. });
        about_question && line.reminder.still_true && (line.by == By::Phone || self.reaches(line.person_id).is_none())
    }
}
