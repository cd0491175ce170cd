//! All questions of an event, with what the list needs to know about them. Reading them
//! takes long when there are thousands, and people look at the list far more often than
//! anything changes, so the latest is kept.

use crate::asks::calls::{self, LeftMessage};
use crate::asks::changes::{self, Outdated};
use crate::asks::same_hours::{self, Settled};
use crate::asks::{Request, store};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::{self, Person};
use crate::state::App;
use std::collections::{BTreeSet, HashMap};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// An event's questions, and what is known about them.
#[derive(Debug)]
pub(in crate::asks) struct Ledger {
    pub event: Event,
    pub requests: Vec<Request>,
    /// The people asked, by number.
    pub people: HashMap<i64, Person>,
    /// Their places in a list by surname.
    pub places: HashMap<i64, usize>,
    /// Everyone who needs an update.
    pub outdated: Vec<Outdated>,
    /// The messages left, by question and oldest first.
    pub left: HashMap<i64, Vec<LeftMessage>>,
    pub settled: Vec<Settled>,
}

/// The latest ledger.
#[derive(Debug, Clone, Default)]
pub(in crate::asks) struct Ledgers(Arc<Mutex<Option<Kept>>>);

#[derive(Debug)]
struct Kept {
    event_id: i64,
    /// The store's version when it was read.
    version: i64,
    ledger: Arc<Ledger>,
}

impl Ledgers {
    /// An event's ledger as it is now.
    ///
    /// # Errors
    /// When there is no such event; the store's.
    pub(super) async fn of(&self, app: &App, event_id: i64) -> Result<Arc<Ledger>> {
        // Read first, so that what we keep is never older than its version says.
        let version = app.db.version().await?;
        let fits = |kept: &&Kept| (kept.event_id, kept.version) == (event_id, version);
        if let Some(kept) = self.kept().as_ref().filter(fits) {
            return Ok(Arc::clone(&kept.ledger));
        }
        let ledger = Arc::new(Ledger::load(app, event_id).await?);
        *self.kept() = Some(Kept { event_id, version, ledger: Arc::clone(&ledger) });
        Ok(ledger)
    }

    fn kept(&self) -> MutexGuard<'_, Option<Kept>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Ledger {
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
