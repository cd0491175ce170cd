//! What the pages need of an event.

use super::dates::begins_at;
use super::letters::Written;
use super::reader::Reader;
use super::reasons::all_owed;
use super::{Day, Owed, Thanked, Whom, letters, store};
use crate::accounts::Visit;
use crate::asks::Sender;
use crate::error::Result;
use crate::events;
use crate::events::Event;
use crate::people::Person;
use crate::state::App;
use crate::web::page::Page;
use crate::web::words;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

/// Everything the pages need.
pub(super) struct ThanksContext {
    pub event: Event,
    pub owed: Vec<Owed>,
    pub people: HashMap<i64, Person>,
    pub day: Day,
    pub sentences: HashMap<Whom, (String, i64)>,
    pub thanked: Vec<Thanked>,
    pub sender: Sender,
    pub now: OffsetDateTime,
}

impl ThanksContext {
    pub async fn of(app: &App, visit: &Visit, event_id: i64, now: OffsetDateTime) -> Result<Self> {
        let event = events::found(app.db.read(), event_id).await?;
        let sender = Sender::of(app.db.read(), &visit.user).await?;
        let mut db = app.db.read().acquire().await?;
        let (owed, people) = all_owed(&mut db, &event).await?;
        let day = store::day(&mut db, event_id).await?;
        let drafts = store::drafts(&mut db, event_id).await?;
        let sentences = drafts.into_iter().map(|draft| (draft.whom, (draft.sentence, draft.version))).collect();
        let thanked = store::thanked(&mut db, event_id).await?;
        Ok(Self { event, owed, people, day, sentences, thanked, sender, now })
    }

    pub async fn page(&self, app: &App, visit: &Visit, title: &str) -> Result<Page> {
        Ok(events::page(app, visit, Some(&self.event), self.now).await?.titled(title))
    }

    pub fn burn_day(&self) -> String {
        words::Reader::App.day(self.event.details.burn_on)
    }

    /// Why no one can be thanked yet.
    pub fn too_early(&self) -> String {
        let begins = words::Reader::App.moment(self.event.details.zone.wall(begins_at(&self.event)));
        format!("Nothing was sent. You can send thanks once the burn starts: {begins}.")
    }

    pub fn today(&self) -> Date {
        self.event.today(self.now)
    }

    /// Has the burn begun? Until then no one can be thanked.
    pub fn has_begun(&self) -> bool {
        self.now >= begins_at(&self.event)
    }

    pub fn find(&self, whom: Whom) -> Option<&Owed> {
        self.owed.iter().find(|owed| owed.whom == whom)
    }

    pub fn reader(&self, owed: &Owed) -> Option<Reader> {
        self.people.get(&owed.whom.person_id).map(|person| Reader::of(owed, person))
    }

    pub fn sentence(&self, whom: Whom) -> &str {
        self.sentences.get(&whom).map_or("", |(sentence, _)| sentence)
    }

    /// The letter for what they haven't been thanked for yet; as a preview before the
    /// burn, for everything.
    pub fn write(&self, owed: &Owed) -> Option<Written> {
        let mut reasons = owed.open(&self.thanked);
        if reasons.is_empty() && !self.was_thanked(owed.whom) {
            reasons = owed.reasons.iter().collect();
        }
        let sentence = self.sentence(owed.whom);
        (!reasons.is_empty()).then(|| letters::write(&self.event, &self.day, &reasons, sentence))
    }

    fn was_thanked(&self, whom: Whom) -> bool {
        self.thanked.iter().any(|thanked| thanked.whom == whom && thanked.counts())
    }

    pub fn paper(&self, owed: &Owed) -> Option<Paper> {
        let (reader, written) = (self.reader(owed)?, self.write(owed)?);
        Some(Paper {
            reader,
            written,
            date: words::Reader::Public.day(self.today()),
            signature: letters::signature(&self.day, &self.sender),
            department: self.sender.department.clone(),
            phone: self.sender.phone.clone(),
        })
    }
}

/// A letter on paper.
#[derive(Debug)]
pub(super) struct Paper {
    pub reader: Reader,
    pub written: Written,
    pub date: String,
    pub signature: String,
    pub department: String,
    pub phone: String,
}
