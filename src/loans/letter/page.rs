//! A letter to a lender: its form, its sheet, and its email.

use super::draft::{paragraphs, subject};
use crate::accounts::Visit;
use crate::asks::{Sender, greeted};
use crate::error::Result;
use crate::loans::loan::Loan;
use crate::loans::page;
use crate::loans::snapshot::LoanSnapshot;
use crate::loans::store::{self, Written};
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::form::{self, Mistakes};
use crate::web::page::Page;
use crate::web::words::Reader;
use askama::Template;
use serde::Deserialize;
use time::{Duration, OffsetDateTime};

/// After this long without getting an email out, a person must follow up.
const TRIED_FOR: Duration = Duration::days(7);

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct LetterForm {
    pub about: String,
    pub text: String,
    pub act: String,
}

#[derive(Template)]
#[template(path = "loans/letter.html")]
pub(super) struct LetterPage {
    page: Page,
    href: String,
    about: String,
    heading: String,
    form: LetterForm,
    mistakes: Mistakes,
    department: String,
    date: String,
    to: Vec<String>,
    /// How it begins.
    dear: String,
    paragraphs: Vec<String>,
    signed: String,
    /// The title of whoever signs; may be empty.
    signed_as: String,
    phone: String,
    /// The lender's email address; empty without one.
    mail: String,
    person: String,
}

/// Everything needed to show or send a letter.
pub(super) struct LetterContext {
    pub snapshot: LoanSnapshot,
    pub loan: Loan,
    pub person: Option<Person>,
    pub sender: Sender,
    pub written: Vec<Written>,
    pub now: OffsetDateTime,
}

impl LetterForm {
    /// The text of the letter.
    pub fn read(&self) -> Result<String, Mistakes> {
        let mut mistakes = Mistakes::default();
        let text = mistakes.note("text", form::paragraph(&self.text, 4_000)).unwrap_or_default();
        if text.is_empty() {
            mistakes.add("text", "Write the letter first.");
        } else if text.contains("[day and time]") {
            mistakes.add("text", "Replace “[day and time]” with the day and the time.");
        }
        if mistakes.is_empty() { Ok(text) } else { Err(mistakes) }
    }
}

impl LetterContext {
    pub async fn of(app: &App, visit: &Visit, (id, loan): (i64, i64)) -> Result<Self> {
        let now = app.clock.now();
        let (snapshot, loan) = page::found(app, id, loan, now).await?;
        let sender = Sender::of(app.db.read(), &visit.user).await?;
        let mut db = app.db.read().acquire().await?;
        let person = people::find(&mut db, loan.details.lender_id).await?;
        let written = store::letters(&mut db, loan.id).await?;
        Ok(Self { snapshot, loan, person, sender, written, now })
    }

    pub async fn page(&self, app: &App, visit: &Visit, form: LetterForm, mistakes: Mistakes) -> Result<LetterPage> {
        let (loan, sender) = (&self.loan, &self.sender);
        let heading = subject(loan, &form.about);
        let person = self.person.as_ref();
        let lender = person.map_or_else(|| loan.person.clone(), |person| person.details.in_full());
        let to = [lender, loan.organization.clone()].into_iter().filter(|line| !line.is_empty());
        let page = page::page(app, visit, &self.snapshot.event, "Letter to the lender").await?;
        Ok(LetterPage {
            page: page.under(loan.href(), loan.title()),
            href: loan.href(),
            about: form.about.clone(),
            heading,
            paragraphs: paragraphs(&form.text),
            form,
            mistakes,
            department: sender.department.clone(),
            date: Reader::Public.day(self.snapshot.today),
            to: to.collect(),
            dear: person.map_or_else(|| format!("Dear {}:", loan.person), |person| person.details.salutation()),
            signed: sender.name.clone(),
            signed_as: sender.title.clone(),
            phone: sender.phone.clone(),
            mail: person.filter(|person| person.has_mail()).map(|p| p.details.mail.clone()).unwrap_or_default(),
            person: loan.person.clone(),
        })
    }

    /// Sending twice makes one letter.
    pub fn letter(&self, person: &Person, about: &str, text: &str) -> Result<Letter> {
        let (loan, sender, now) = (&self.loan, &self.sender, self.now);
        let mut words = paragraphs(text);
        let lead = if words.is_empty() { String::new() } else { words.remove(0) };
        let parts = Parts {
            hello: greeted(person),
            dear: &person.details.salutation(),
            lead: &lead,
            words: &words,
            from: &sender.name,
            title: &sender.title,
            phone: &sender.phone,
            department: &sender.department,
            ..Parts::default()
        };
        Ok(Letter {
            kind: Kind::Notice,
            event_id: Some(loan.event_id),
            person_id: Some(person.id),
            request_id: None,
            facts_revision: None,
            dedup: format!("loan/{}/{}", loan.id, self.written.len()),
            to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
            reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
            subject: subject(loan, about),
            body: mail::body(&parts)?,
            calendars: Vec::new(),
            in_reply_to: None,
            urgent: false,
            due_at: now,
            not_after: now + TRIED_FOR,
        })
    }
}
