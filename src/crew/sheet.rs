//! Call sheets: what each person needs to know for the day, always up to date. They are
//! printed, emailed, and shown behind a private link.

mod content;
mod old;
mod routes;
mod sending;
mod store;

use self::content::{Content, PostContent};
use super::reply_status::ReplyStatus;
use super::snapshot::CrewSnapshot;
use crate::error::Result;
use crate::events::{Event, MAP, WEAR};
use crate::people::Person;
use crate::web::words::Reader;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, OffsetDateTime, Time};

pub use old::read_old_call_sheets;
pub(super) use routes::router;
pub use store::note_sheet;

/// What one person needs to know for burn day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    pub person_id: i64,
    pub name: String,
    pub day: String,
    pub site: String,
    /// Address, place on the map, parking and clothing, as far as they are known.
    pub visitors: Vec<(String, String)>,
    /// A link that opens a map. May be empty.
    pub map: String,
    pub posts: Vec<SheetPost>,
    /// What happens if burn day is postponed.
    pub rain: String,
    /// Who is in charge, each a duty and a name.
    pub in_charge: Vec<(String, String)>,
    /// "You said yes", their answer in words.
    pub stands: String,
    pub is_reconfirmed: bool,
    /// Another one if anything on it is different, and the same in other words.
    pub made_from: String,
}

/// One position on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetPost {
    pub name: String,
    pub is_standby: bool,
    /// When it starts.
    pub call_time: Time,
    pub hours: String,
    pub spot: String,
    pub reports_to: String,
    pub wear: String,
    pub bring: String,
    pub cautions: String,
    /// Who else is in the position.
    pub with: String,
    /// The rule that was overridden, why, and by whom.
    pub rule_override: String,
}

impl SheetPost {
    fn of(post: &PostContent) -> Self {
        let decided = post.overridden.as_ref();
        Self {
            name: post.name.clone(),
            is_standby: post.is_standby,
            call_time: post.hours.clocks().0,
            hours: post.hours.says_for(Reader::CallSheet),
            spot: post.spot.clone(),
            reports_to: post.reports_to.clone(),
            wear: post.wear.clone(),
            bring: post.bring.clone(),
            cautions: post.cautions.clone(),
            with: post.with.join(", "),
            rule_override: decided
                .map(|d| format!("{} {} ({})", d.rules.join(" "), d.reason, d.by))
                .unwrap_or_default(),
        }
    }

    /// Lines of a label and a text.
    #[must_use]
    pub fn lines(&self) -> Vec<(&'static str, &str)> {
        let lines = [
            ("Hours", self.hours.as_str()),
            ("Where", &self.spot),
            ("Reports to", &self.reports_to),
            ("Wear", &self.wear),
            ("Bring", &self.bring),
            ("Instructions", &self.cautions),
            ("With you", &self.with),
            ("Override", &self.rule_override),
        ];
        lines.into_iter().filter(|(_, text)| !text.is_empty()).collect()
    }
}

impl Sheet {
    /// Is this the line that a map can be opened from?
    #[must_use]
    pub fn is_map(&self, label: &str) -> bool {
        label == MAP && !self.map.is_empty()
    }

    /// None for someone without a position.
    #[must_use]
    pub fn of(snapshot: &CrewSnapshot, person: &Person, now: OffsetDateTime) -> Option<Self> {
        let today = snapshot.event.today(now);
        let content = Content::of(snapshot, person.id)?;
        let status = snapshot.first_post_of(person.id).map(|one| snapshot.status(one, content.burn_on))?;
        let mut visitors = content.visitors.lines();
        visitors.retain(|(label, _)| label != WEAR || !content.has_own_clothing());
        let named = content.in_charge.iter().filter(|(_, names)| !names.is_empty());
        Some(Self {
            person_id: person.id,
            name: person.details.name.clone(),
            day: Reader::CallSheet.day(content.burn_on),
            visitors,
            map: content.visitors.map_link(),
            posts: content.posts.iter().map(SheetPost::of).collect(),
            rain: rain_rule(content.rain, today),
            in_charge: named.map(|(duty, names)| (duty.label().to_owned(), names.join(", "))).collect(),
            stands: answered(status, today),
            is_reconfirmed: snapshot.reconfirmed(person.id),
            made_from: content.key(),
            site: content.site,
        })
    }

    /// The same as lines of an email.
    #[must_use]
    pub fn facts(&self) -> Vec<(String, String)> {
        let mut facts = vec![("Day".to_owned(), self.day.clone())];
        if !self.site.is_empty() {
            facts.push(("Site".to_owned(), self.site.clone()));
        }
        facts.extend(self.visitors.iter().cloned());
        for post in &self.posts {
            let standby = if post.is_standby { ", as an alternate" } else { "" };
            facts.push(("Position".to_owned(), format!("{}{standby}", post.name)));
            facts.extend(post.lines().into_iter().map(|(label, text)| (label.to_owned(), text.to_owned())));
        }
        facts.push(("If postponed".to_owned(), self.rain.clone()));
        facts.extend(self.in_charge.iter().cloned());
        facts
    }
}

/// Their own answer for burn day, in words.
fn answered(status: ReplyStatus, today: Date) -> String {
    match status {
        ReplyStatus::Confirmed => "You said yes".to_owned(),
        ReplyStatus::Maybe => "You said maybe".to_owned(),
        ReplyStatus::Declined => "You said no".to_owned(),
        ReplyStatus::Waiting => "You haven't answered yet".to_owned(),
        ReplyStatus::OtherDate(on) => format!("You said yes to {}", Reader::CallSheet.near_day(on, today)),
        ReplyStatus::NotAsked => "You haven't been asked yet".to_owned(),
    }
}

/// What happens if burn day is postponed, given the rain date and their answer for it.
fn rain_rule(rain: Option<(Date, ReplyStatus)>, today: Date) -> String {
    let Some((rain, said)) = rain else {
        return "There is no rain date. We will tell you what happens next.".to_owned();
    };
    let day = Reader::CallSheet.near_day(rain, today);
    let said = match said {
        ReplyStatus::Confirmed => "You said yes to that day too.",
        ReplyStatus::Declined => "You said no to that day.",
        ReplyStatus::Maybe => "You said maybe to that day.",
        ReplyStatus::Waiting => "You haven't answered for that day yet.",
        ReplyStatus::NotAsked | ReplyStatus::OtherDate(_) => "You haven't been asked about that day yet.",
    };
    format!("{day}, same hours. {said} We will let you know. If you aren't sure, call before you leave home.")
}

/// A call sheet for an email.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CallSheet {
    /// Each a label and a text.
    pub lines: Vec<(String, String)>,
    /// The number that the link is made with.
    pub link: i64,
    /// The sheet's key, for [`note_sheet`].
    pub made_from: String,
}

/// Call sheets by person.
pub type CallSheets = HashMap<i64, CallSheet>;

/// For reminders: everyone's call sheet. Only people with a position and a link are
/// included.
pub async fn call_sheets(db: &mut SqliteConnection, event: &Event, now: OffsetDateTime) -> Result<CallSheets> {
    let snapshot = CrewSnapshot::load(&mut *db, event).await?;
    let links = super::store::links(db, event.id).await?;
    let one = |(person_id, link): (&i64, &i64)| {
        let sheet = Sheet::of(&snapshot, snapshot.people.get(person_id)?, now)?;
        Some((*person_id, CallSheet { lines: sheet.facts(), link: *link, made_from: sheet.made_from }))
    };
    Ok(links.iter().filter_map(one).collect())
}

/// Everyone with a position, sorted by surname, or just one of them.
fn of_all(snapshot: &CrewSnapshot, person: Option<i64>, now: OffsetDateTime) -> Vec<Sheet> {
    let mut people: Vec<&Person> = snapshot.people.values().collect();
    people.sort_by_cached_key(|person| person.listing());
    let chosen = people.into_iter().filter(|one| person.is_none_or(|id| one.id == id));
    chosen.filter_map(|person| Sheet::of(snapshot, person, now)).filter(|sheet| !sheet.posts.is_empty()).collect()
}
