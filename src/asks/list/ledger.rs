//! All questions of an event, with what the list needs to know about them. Reading them
//! takes long when there are thousands, so the latest is kept.

use crate::asks::calls::{self, Asked, LeftMessage};
use crate::asks::changes::{self, Outdated};
use crate::asks::same_hours::{self, Settled};
use crate::asks::{Request, store};
use crate::db::Latest;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::{self, Person};
use crate::state::App;
use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;
use time::OffsetDateTime;

/// An event's questions, and what is known about them.
#[derive(Debug)]
pub struct Ledger {
    pub(in crate::asks) event: Event,
    pub(in crate::asks) requests: Vec<Request>,
    /// The people asked, by number.
    pub(in crate::asks) people: HashMap<i64, Person>,
    /// Their places in a list by surname.
    pub(in crate::asks) places: HashMap<i64, usize>,
    /// Everyone who needs an update.
    pub(in crate::asks) outdated: Vec<Outdated>,
    /// The messages left, by question and oldest first.
    pub(in crate::asks) left: HashMap<i64, Vec<LeftMessage>>,
    pub(in crate::asks) settled: Vec<Settled>,
}

/// The latest ledger.
#[derive(Debug, Clone, Default)]
pub struct Ledgers(Latest<i64, Ledger>);

impl Ledgers {
    /// An event's ledger as it is now.
    ///
    /// # Errors
    /// When there is no such event; the store's.
    pub async fn of(&self, app: &App, event_id: i64) -> Result<Arc<Ledger>> {
        self.0.of(&app.db, event_id, || Ledger::load(app, event_id)).await
    }
}

impl Ledger {
    /// How many people need an update.
    #[must_use]
    pub fn to_tell(&self) -> usize {
        self.outdated.len()
    }

    /// How many people to call who didn't get a message today.
    #[must_use]
    pub fn to_call(&self, now: OffsetDateTime) -> usize {
        let due = calls::all(self.requests.iter(), self.asked(), &self.event, now);
        due.iter().filter(|due| !due.was_called).count()
    }

    pub(in crate::asks) fn asked(&self) -> Asked<'_> {
        Asked { people: &self.people, places: &self.places, left: &self.left }
    }

    async fn load(app: &App, event_id: i64) -> Result<Self> {
        let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
        let mut db = app.db.read().acquire().await?;
        let requests = store::of_event(&mut db, event_id).await?;
        let ids: BTreeSet<i64> = requests.iter().map(|request| request.person_id).collect();
        let ids: Vec<i64> = ids.into_iter().collect();
        let mut people = people::some(&mut db, &ids).await?;
        people.sort_by_cached_key(Person::listing);
        let outdated = changes::outdated(&mut db, &event, &requests).await?;
        let mut left: HashMap<i64, Vec<LeftMessage>> = HashMap::new();
        for one in calls::store::of_event(&mut db, event_id).await? {
            left.entry(one.request_id).or_default().push(one);
        }
        Ok(Self {
            settled: same_hours::all(&requests),
            event,
            requests,
            places: people.iter().enumerate().map(|(place, person)| (person.id, place)).collect(),
            people: people.into_iter().map(|person| (person.id, person)).collect(),
            outdated,
            left,
        })
    }
}
