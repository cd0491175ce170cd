//! All places, and what they have to show in the countdown.

use super::{Call, DrawnRooms, Due, ListItems, Need, Owner, Ready, Responsible, Strand};
use crate::accounts::{self, Holder, Private, User};
use crate::asks::Ledgers;
use crate::db::Latest;
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::needs::Needs;
use crate::web::words;
use futures_util::future::try_join_all;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use std::sync::Arc;
use time::OffsetDateTime;

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
    pub fn needs(&self, app: &App) -> Needs {
        let (places, app) = (self.clone(), app.clone());
        Needs::by(move |event_id, now| {
            let (places, app) = (places.clone(), app.clone());
            Box::pin(async move {
                let event = events::found(app.db.read(), event_id).await?;
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
            let event = events::found(app.db.read(), event_id).await?;
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
        all.due.extend(tell_due(ledger.to_tell(), event, now).map(|due| line(due, None, &holders)));
        add_phones(&mut *app.db.read().acquire().await?, &mut all.due).await?;
        all.due.sort_by(|a, b| (a.due.on, &a.due.title).cmp(&(b.due.on, &b.due.title)));
        Ok(all)
    }
}

/// The call to tell so many people what changed.
fn tell_due(people: usize, event: &Event, now: OffsetDateTime) -> Option<Due> {
    (people > 0).then(|| Due {
        title: format!("Tell {} what changed", words::count(people, "person", "people")),
        beneath: "What they know is out of date.".to_owned(),
        said: String::new(),
        href: format!("{}/replies#tell", event.href()),
        person: None,
        owner: Owner::EducationOfficer,
        on: event.today(now),
        call: Call::NoOne,
        is_problem: false,
    })
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
