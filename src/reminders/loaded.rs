//! Everything that an event's reminders are made from, read at once.

use super::due::Inputs;
use super::event_rule::EventRule;
use super::store::{self, Became};
use crate::accounts::{self, Account};
use crate::asks::{self, Request};
use crate::countdown::Outlook;
use crate::crew::{self, CallSheets};
use crate::error::Result;
use crate::events::Event;
use crate::loans::{LoanSnapshot, Out};
use crate::people::{self, Person};
use crate::state::App;
use std::collections::HashMap;
use time::OffsetDateTime;

/// Everything read for one event.
pub(super) struct Loaded {
    pub requests: Vec<Request>,
    pub things: HashMap<i64, Vec<(String, String)>>,
    pub out: Vec<Out>,
    pub rules: Vec<EventRule>,
    pub outlook: Outlook,
    pub people: HashMap<i64, Person>,
    pub accounts: Vec<Account>,
    pub became: Vec<Became>,
    pub last_said: HashMap<i64, OffsetDateTime>,
    /// The lines and link of everyone's call sheet.
    pub sheets: CallSheets,
}

impl Loaded {
    pub async fn of(app: &App, event: &Event, now: OffsetDateTime) -> Result<Self> {
        let outlook = Outlook::load(app, event, now).await?;
        let accounts = accounts::list(app.db.read()).await?;
        let loans = LoanSnapshot::of_event(app, event.clone(), now).await?;
        let mut db = app.db.read().acquire().await?;
        let people = people::everyone(&mut db).await?.into_iter().map(|person| (person.id, person)).collect();
        Ok(Self {
            requests: asks::of_event(&mut db, event.id).await?,
            rules: store::rules(&mut db, event.id).await?,
            became: store::became(&mut db, event.id).await?,
            last_said: store::last_said(&mut db).await?,
            sheets: crew::call_sheets(&mut db, event, now).await?,
            things: loans.facts_of_requests(),
            out: loans.out(),
            outlook,
            people,
            accounts,
        })
    }

    pub fn known<'a>(&'a self, event: &'a Event, now: OffsetDateTime) -> Inputs<'a> {
        Inputs {
            event,
            requests: &self.requests,
            things: &self.things,
            out: &self.out,
            rules: &self.rules,
            outlook: &self.outlook,
            people: &self.people,
            accounts: &self.accounts,
            became: &self.became,
            last_said: &self.last_said,
            sheets: &self.sheets,
            now,
        }
    }
}
