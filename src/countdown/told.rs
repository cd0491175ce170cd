//! What other places show in the countdown. They depend on it, so each one passes in
//! a function that reports how ready the place is and what is due.

use super::{Owner, Responsible, Strand};
use crate::accounts::{self, Private, User};
use crate::asks;
use crate::calc::calendar::Calendar;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::{self, Details, Event};
use crate::state::App;
use crate::web::words;
use futures_util::future::{BoxFuture, try_join_all};
use std::future::Future;
use std::pin::Pin;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use time::{Date, OffsetDateTime};

/// Reports what a place has to show for an event.
pub type Tell = fn(App, Event, OffsetDateTime) -> Pin<Box<dyn Future<Output = Result<Told>> + Send>>;

/// Reports what a place would lose or have to do again if the event changed to this:
/// another date, hour or site.
pub type TellMove =
    fn(App, Event, Details, OffsetDateTime) -> Pin<Box<dyn Future<Output = Result<Vec<MoveLine>>> + Send>>;

/// One thing that a change to the event does in a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoveLine {
    pub what: String,
    /// The smaller line beneath it; may be empty.
    pub beneath: String,
    pub href: String,
}

/// A change to an event, during the write that saves it.
#[derive(Debug, Clone, Copy)]
pub struct Following<'a> {
    pub actor: Actor,
    pub old: &'a Event,
    pub new: &'a Event,
    /// Other times that day move along with first ignition.
    pub moves_times: bool,
    /// All events, with this one already changed.
    pub events: &'a [Event],
    pub calendar: &'a Arc<Calendar>,
    pub now: OffsetDateTime,
}

impl Following<'_> {
    /// How many minutes later first ignition is, for times that move along.
    #[must_use]
    pub fn minutes_later(&self) -> Option<i64> {
        let later = (self.new.details.burn_time - self.old.details.burn_time).whole_minutes();
        (self.moves_times && later != 0).then_some(later)
    }
}

/// Updates whatever in a place depends on the event's facts, once those have
/// changed.
pub type Follow = for<'a> fn(&'a mut Tx, Following<'a>) -> BoxFuture<'a, Result<()>>;

/// What the places do when the event changes: each reports it beforehand under its
/// name, and some then update what they hold.
#[derive(Debug, Clone)]
pub(super) struct Moves {
    tells: Arc<[(&'static str, TellMove)]>,
    follows: Arc<[Follow]>,
}

impl Moves {
    pub fn of(tells: &[(&'static str, TellMove)], follows: &[Follow]) -> Self {
        Self { tells: tells.into(), follows: follows.into() }
    }

    /// What the change does, by place.
    pub async fn told(
        &self,
        app: &App,
        event: &Event,
        to: &Details,
        now: OffsetDateTime,
    ) -> Result<Vec<(&'static str, Vec<MoveLine>)>> {
        let told = self.tells.iter().map(|(name, tell)| {
            let lines = tell(app.clone(), event.clone(), to.clone(), now);
            async move { Ok((*name, lines.await?)) }
        });
        try_join_all(told).await
    }

    /// Has the places update what they hold.
    pub async fn follow(&self, tx: &mut Tx, following: Following<'_>) -> Result<()> {
        for follow in self.follows.iter() {
            follow(tx, following).await?;
        }
        Ok(())
    }
}

/// What a place has to show.
#[derive(Debug, Default)]
pub struct Told {
    /// Replaces the line of the strand with the same name.
    pub ready: Vec<Ready>,
    pub due: Vec<Due>,
}

/// How ready one part of the burn is: one pip for each thing needed.
#[derive(Debug, Clone)]
pub struct Ready {
    pub name: &'static str,
    pub href: String,
    pub done: usize,
    pub waiting: usize,
    pub open: usize,
}

impl Ready {
    /// Its name, as people read it.
    pub(super) fn label(&self) -> &'static str {
        self.name.parse().map_or(self.name, Strand::label)
    }

    pub(super) fn all(&self) -> usize {
        self.done + self.waiting + self.open
    }
}

/// Something to do that isn't a task in the plan, such as a follow-up call.
#[derive(Debug)]
pub struct Due {
    pub title: String,
    /// The smaller line beneath it.
    pub beneath: String,
    /// What someone said, for those who may read it; may be empty.
    pub said: String,
    /// Where to do it.
    pub href: String,
    /// Who is responsible: a person, or else whoever has this role in the burn.
    pub person: Option<(i64, String)>,
    pub owner: Owner,
    pub on: Date,
}

impl Due {
    /// What this user may read beneath the title.
    pub(super) fn beneath_for(&self, user: &User) -> String {
        let said = user.shown(Private::Notes, &self.said);
        if said.is_empty() { self.beneath.clone() } else { format!("{}: {said}", self.beneath) }
    }
}

/// What all places have to show.
#[derive(Debug, Default)]
pub(super) struct AllTold {
    pub ready: Vec<Ready>,
    /// Soonest first.
    pub due: Vec<DueLine>,
}

/// Something that is due, and who is responsible.
#[derive(Debug)]
pub(super) struct DueLine {
    pub due: Due,
    pub responsible: Responsible,
}

/// The functions of all places, and their latest reports.
#[derive(Debug, Clone)]
pub(super) struct Places {
    tells: Arc<[Tell]>,
    kept: Arc<Mutex<Option<Kept>>>,
}

/// Valid until the store changes, and for a minute at most because of words like
/// "tomorrow".
#[derive(Debug)]
struct Kept {
    event_id: i64,
    version: i64,
    minute: i64,
    told: Arc<AllTold>,
}

impl Places {
    pub fn of(tells: &[Tell]) -> Self {
        Self { tells: tells.into(), kept: Arc::default() }
    }

    /// All of it, soonest first. This takes dozens of queries, and people look at the
    /// countdown far more often than anything changes, so the result is reused.
    pub async fn told(&self, app: &App, event: &Event, now: OffsetDateTime) -> Result<Arc<AllTold>> {
        let (event_id, minute) = (event.id, now.unix_timestamp() / 60);
        // Read first, so that what we store is never older than its version says.
        let version = app.db.version().await?;
        let fits = |kept: &&Kept| (kept.event_id, kept.version, kept.minute) == (event_id, version, minute);
        if let Some(kept) = self.kept().as_ref().filter(fits) {
            return Ok(Arc::clone(&kept.told));
        }
        // The event was read before the version and may have changed in between.
        let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
        let told = Arc::new(self.ask(app, &event, now).await?);
        *self.kept() = Some(Kept { event_id, version, minute, told: Arc::clone(&told) });
        Ok(told)
    }

    fn kept(&self) -> MutexGuard<'_, Option<Kept>> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    async fn ask(&self, app: &App, event: &Event, now: OffsetDateTime) -> Result<AllTold> {
        let mut all = AllTold::default();
        let holders = accounts::holders(&mut *app.db.read().acquire().await?).await?;
        let tells = self.tells.iter().map(|tell| tell(app.clone(), event.clone(), now));
        for told in try_join_all(tells).await? {
            all.ready.extend(told.ready);
            all.due.extend(told.due.into_iter().map(|due| {
                let responsible = Responsible::of(due.owner, due.person.clone(), &holders);
                DueLine { due, responsible }
            }));
        }
        let mut db = app.db.read().acquire().await?;
        let outdated = asks::count_outdated(&mut db, event).await?;
        drop(db);
        if outdated > 0 {
            let who = words::count(outdated, "person", "people");
            let due = Due {
                title: format!("Tell {who} what changed"),
                beneath: "What they know is out of date.".to_owned(),
                said: String::new(),
                href: format!("{}/asks#tell", event.href()),
                person: None,
                owner: Owner::EducationOfficer,
                on: event.today(now),
            };
            let responsible = Responsible::of(due.owner, due.person.clone(), &holders);
            all.due.push(DueLine { due, responsible });
        }
        all.due.sort_by(|a, b| (a.due.on, &a.due.title).cmp(&(b.due.on, &b.due.title)));
        Ok(all)
    }
}
