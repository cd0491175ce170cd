//! What every handler gets: the store, the clock, and the settings. Knows no slice.

use crate::calc::calendar::Calendar;
use crate::clock::Clock;
use crate::config::Config;
use crate::db::Db;
use crate::hashing::Hashing;
use crate::heavy::Heavy;
use crate::mail::{Mailer, Pace};
use crate::web::history::History;
use crate::web::limits::Limits;
use crate::web::link::LinkKey;
use crate::web::needs::Needs;
use crate::web::once::Answers;
use std::sync::{Arc, Mutex, PoisonError};
use time::Date;

/// Cheap to clone.
#[derive(Clone)]
pub struct App {
    pub db: Db,
    pub clock: Clock,
    pub config: Arc<Config>,
    pub limits: Arc<Limits>,
    /// Responses to forms that were sent.
    pub answers: Arc<Answers>,
    pub link_key: LinkKey,
    pub mailer: Arc<Mailer>,
    pub hashing: Arc<Hashing>,
    /// Where long computations run.
    pub heavy: Arc<Heavy>,
    /// What needs someone today, for the bar at the top of every page.
    pub needs: Needs,
    /// What the slices call their entries in the journal.
    pub history: History,
    calendar: Arc<Mutex<(Vec<Date>, Arc<Calendar>)>>,
}

impl App {
    /// # Errors
    /// When the key in the data folder can't be read, or the email settings don't fit
    /// together.
    pub fn new(db: Db, clock: Clock, config: Config) -> anyhow::Result<Self> {
        Ok(Self {
            db,
            clock,
            link_key: LinkKey::of(&config.data)?,
            mailer: Arc::new(Mailer::new(&config, Pace::of(&config))?),
            config: Arc::new(config),
            limits: Arc::default(),
            answers: Arc::default(),
            hashing: Arc::default(),
            heavy: Arc::default(),
            needs: Needs::default(),
            history: History::default(),
            calendar: Arc::new(Mutex::new((Vec::new(), Arc::new(Calendar::federal())))),
        })
    }

    /// The calendar with these closed days. Its table is rebuilt only when they differ
    /// from last time.
    #[must_use]
    pub fn calendar(&self, closed: Vec<Date>) -> Arc<Calendar> {
        let mut kept = self.calendar.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.0 != closed {
            let calendar = Arc::new(Calendar::new(closed.iter().copied()));
            *kept = (closed, calendar);
        }
        Arc::clone(&kept.1)
    }
}
