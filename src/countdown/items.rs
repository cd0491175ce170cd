//! What other places show in the countdown. They depend on it, so each one passes in
//! a function that reports how ready the place is and what is due.

use super::{Owner, Responsible, Strand};
use crate::accounts::{self, Holder, Private, User};
use crate::asks::Ledgers;
use crate::calc::calendar::Calendar;
use crate::db::journal::Actor;
use crate::db::{Latest, Tx};
use crate::error::{Error, Result};
use crate::events::{self, Details, Event};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::needs::Needs;
use crate::web::words::{self, Reader};
use futures_util::future::{BoxFuture, try_join_all};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;
use time::{Date, OffsetDateTime};

/// Lists what a place has to show in the countdown of an event.
pub type ListItems = fn(App, Event, OffsetDateTime) -> Pin<Box<dyn Future<Output = Result<CountdownItems>> + Send>>;

/// Lists what a place would lose or have to do again if the event changed to this:
/// another date, hour or site.
pub type ListMoves =
    fn(App, Event, Details, OffsetDateTime) -> Pin<Box<dyn Future<Output = Result<Vec<MoveLine>>> + Send>>;

/// One thing that a change to the event does in a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MoveLine {
    pub what: String,
    /// The smaller line beneath it; may be empty.
    pub beneath: String,
    pub href: String,
    /// Something that the burn needs would be open: a position, a loan, an item, a permit.
    pub is_open: bool,
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
    lists: Arc<[(&'static str, ListMoves)]>,
    follows: Arc<[Follow]>,
}

impl Moves {
    pub fn of(lists: &[(&'static str, ListMoves)], follows: &[Follow]) -> Self {
        Self { lists: lists.into(), follows: follows.into() }
    }

    /// What the change does, by place.
    pub async fn lines(
        &self,
        app: &App,
        event: &Event,
        to: &Details,
        now: OffsetDateTime,
    ) -> Result<Vec<(&'static str, Vec<MoveLine>)>> {
        let lines = self.lists.iter().map(|(name, list)| {
            let lines = list(app.clone(), event.clone(), to.clone(), now);
            async move { Ok((*name, lines.await?)) }
        });
        try_join_all(lines).await
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
pub struct CountdownItems {
    /// The tasks of this strand need what is reported here.
    pub strand: Option<Strand>,
    /// Replaces the line of the strand with the same name.
    pub ready: Vec<Ready>,
    pub due: Vec<Due>,
    pub needs: Vec<Need>,
    /// What the place's own page lists as wrong, whenever it must be settled: the address
    /// of each, as the countdown gives it too.
    pub problems: Vec<String>,
    /// Both rooms, small.
    pub rooms: Option<DrawnRooms>,
}

/// Both rooms from above, as they fill.
#[derive(Debug, Clone)]
pub struct DrawnRooms {
    pub href: String,
    /// How many of the items drawn are on hand, and how many are drawn.
    pub here: usize,
    pub all: usize,
    pub rooms: Vec<DrawnRoom>,
}

/// One room. The paths are SVG's.
#[derive(Debug, Clone)]
pub struct DrawnRoom {
    /// "A" or "B".
    pub letter: &'static str,
    pub width: f64,
    pub height: f64,
    pub walls: String,
    /// Each item, and whether it is "wanted", "promised", or "here".
    pub items: Vec<(String, &'static str)>,
}

/// Something that one task needs.
#[derive(Debug)]
pub struct Need {
    pub task: ForTask,
    pub title: String,
    /// How far it is, in a word or two.
    pub state: String,
    pub href: String,
}

/// Which task that is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ForTask {
    Id(i64),
    /// Its key in the template.
    Key(&'static str),
}

/// How ready one part of the burn is: one pip for each thing needed.
#[derive(Debug, Clone)]
pub struct Ready {
    pub name: &'static str,
    pub href: String,
    pub done: usize,
    pub waiting: usize,
    pub open: usize,
    /// What is counted, as it follows the numbers: "positions filled".
    pub what: &'static str,
    /// The same for the rain date, if the event has one and the place knows.
    pub rain: Option<OnRainDate>,
}

/// How ready a part would be if the rain date were used.
#[derive(Debug, Clone)]
pub struct OnRainDate {
    pub on: Date,
    pub done: usize,
    pub all: usize,
}

impl Ready {
    /// Its name, as people read it.
    pub(super) fn label(&self) -> &'static str {
        self.name.parse().map_or(self.name, Strand::label)
    }

    pub(super) fn all(&self) -> usize {
        self.done + self.waiting + self.open
    }

    /// "33 of 33 positions filled".
    pub(super) fn says(&self) -> String {
        format!("{} of {} {}", words::grouped(self.done), words::grouped(self.all()), self.what)
    }

    /// "rain date Sat, Jan 16: 28 of 33"; empty without one.
    pub(super) fn on_rain_date(&self, today: Date) -> String {
        self.rain.as_ref().map_or_else(String::new, |rain| {
            let (done, all) = (words::grouped(rain.done), words::grouped(rain.all));
            format!("rain date {}: {done} of {all}", Reader::App.near_day(rain.on, today))
        })
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
    pub call: Call,
    /// It is about something that the place also reports as a problem.
    pub is_problem: bool,
}

/// Whom to call about something.
#[derive(Debug, Clone, Default)]
pub enum Call {
    #[default]
    NoOne,
    /// Their numbers in People.
    People(Vec<i64>),
    /// Someone who isn't in People, such as an authority.
    Office { name: String, phone: String },
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
pub(super) struct AllItems {
    pub ready: Vec<Ready>,
    /// Soonest first.
    pub due: Vec<DueLine>,
    pub needs: Vec<Need>,
    /// What the places list as wrong: the address of each.
    pub problems: Vec<String>,
    /// How many people to call about a question.
    pub calls: usize,
    pub rooms: Option<DrawnRooms>,
}

/// Something that is due, and who is responsible.
#[derive(Debug)]
pub(super) struct DueLine {
    pub due: Due,
    pub responsible: Responsible,
    /// The tasks of this strand need it.
    pub strand: Option<Strand>,
    /// Name and phone of everyone to call about it.
    pub phones: Vec<(String, String)>,
}

impl DueLine {
    /// Whom this user may call about it.
    pub fn calls_for(&self, user: &User) -> Vec<(String, String)> {
        if user.sees(Private::Contact) { self.phones.clone() } else { Vec::new() }
    }
}

/// The functions of all places, and their latest reports.
#[derive(Debug, Clone)]
pub struct Places {
    lists: Arc<[ListItems]>,
    ledgers: Ledgers,
    /// By event and minute, because of words like "tomorrow".
    latest: Latest<(i64, i64), AllItems>,
}

impl Places {
    #[must_use]
    pub fn of(lists: &[ListItems], ledgers: Ledgers) -> Self {
        Self { lists: lists.into(), ledgers, latest: Latest::default() }
    }

    /// What needs someone, for the bar: what is late or due today, and what the places' own
    /// pages list as wrong.
    #[must_use]
    pub fn needs(&self) -> Needs {
        let places = self.clone();
        Needs::by(move |app, event_id, now| {
            let places = places.clone();
            Box::pin(async move {
                let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
                let (items, today) = (places.items(&app, &event, now).await?, event.today(now));
                let due = items.due.iter().map(|line| &line.due).filter(|due| due.on <= today);
                let due = due.filter(|due| !due.is_problem);
                let call = format!("{}/replies#calls", event.href());
                let hrefs = due.map(|due| &due.href).chain(&items.problems).chain(vec![&call; items.calls]);
                Ok(hrefs.cloned().collect())
            })
        })
    }

    /// All of it, soonest first. This takes dozens of queries.
    pub(super) async fn items(&self, app: &App, event: &Event, now: OffsetDateTime) -> Result<Arc<AllItems>> {
        let (event_id, minute) = (event.id, now.unix_timestamp() / 60);
        let ask = || async move {
            let event = events::find(app.db.read(), event_id).await?.ok_or(Error::NotFound)?;
            self.ask(app, &event, now).await
        };
        self.latest.of(&app.db, (event_id, minute), ask).await
    }

    async fn ask(&self, app: &App, event: &Event, now: OffsetDateTime) -> Result<AllItems> {
        let mut all = AllItems::default();
        let holders = accounts::holders(&mut *app.db.read().acquire().await?).await?;
        let lists = self.lists.iter().map(|list| list(app.clone(), event.clone(), now));
        for items in try_join_all(lists).await? {
            let strand = items.strand;
            all.ready.extend(items.ready);
            all.needs.extend(items.needs);
            all.problems.extend(items.problems);
            all.rooms = all.rooms.or(items.rooms);
            all.due.extend(items.due.into_iter().map(|due| line(due, strand, &holders)));
        }
        let ledger = self.ledgers.of(app, event.id).await?;
        all.calls = ledger.to_call(now);
        if ledger.to_tell() > 0 {
            let who = words::count(ledger.to_tell(), "person", "people");
            let due = Due {
                title: format!("Tell {who} what changed"),
                beneath: "What they know is out of date.".to_owned(),
                said: String::new(),
                href: format!("{}/replies#tell", event.href()),
                person: None,
                owner: Owner::EducationOfficer,
                on: event.today(now),
                call: Call::NoOne,
                is_problem: false,
            };
            all.due.push(line(due, None, &holders));
        }
        add_phones(&mut *app.db.read().acquire().await?, &mut all.due).await?;
        all.due.sort_by(|a, b| (a.due.on, &a.due.title).cmp(&(b.due.on, &b.due.title)));
        Ok(all)
    }
}

fn line(due: Due, strand: Option<Strand>, holders: &[Holder]) -> DueLine {
    let responsible = Responsible::of(due.owner, due.person.clone(), holders);
    DueLine { due, responsible, strand, phones: Vec::new() }
}

/// Looks up the phones of everyone to call, all at once.
async fn add_phones(db: &mut SqliteConnection, lines: &mut [DueLine]) -> Result<()> {
    let ids = lines.iter().flat_map(|line| match &line.due.call {
        Call::People(ids) => ids.as_slice(),
        Call::NoOne | Call::Office { .. } => &[],
    });
    let mut ids: Vec<i64> = ids.copied().collect();
    ids.sort_unstable();
    ids.dedup();
    let people = if ids.is_empty() { Vec::new() } else { people::some(db, &ids).await? };
    let people: HashMap<i64, Person> = people.into_iter().map(|person| (person.id, person)).collect();
    for line in lines {
        let phones = match &line.due.call {
            Call::NoOne => Vec::new(),
            Call::People(ids) => ids.iter().filter_map(|id| people.get(id)).map(name_and_phone).collect(),
            Call::Office { name, phone } => vec![(name.clone(), phone.clone())],
        };
        line.phones = phones.into_iter().filter(|(_, phone): &(String, String)| !phone.is_empty()).collect();
    }
    Ok(())
}

fn name_and_phone(person: &Person) -> (String, String) {
    (person.details.name.clone(), person.details.phone.clone())
}
