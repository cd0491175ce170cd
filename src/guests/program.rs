//! The program before ignition, as of now.

use super::form::{as_minutes, minutes};
use super::snapshot::{GuestRecord, GuestSnapshot};
use super::{Gives, Part, Program, ProgramItem, Side, follow, routes, store, views};
use crate::accounts::{Officer, SignedIn, Visit};
use crate::asks;
use crate::calc::program::{self, Fate, Item, fit};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use futures_util::future::BoxFuture;
use serde::Deserialize;
use sqlx::SqliteConnection;
use std::time::Duration;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/program", get(show_page))
        .route("/events/{id}/guests/program/edit", get(edit).merge(post(save)))
}

/// Empty lines at the end of the form, for new parts.
const SPARE: usize = 2;
const MOST_LATE: u32 = 120;

/// One entry of the program.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    /// The guest who speaks, if any.
    pub guest: Option<i64>,
    pub title: String,
    pub who: String,
    /// Names to read out under it.
    pub names: Vec<String>,
    pub seconds: u32,
    pub gives: Gives,
    pub least: u32,
    pub priority: u8,
}

/// An entry with its minutes.
#[derive(Debug, Clone)]
pub(super) struct Timed {
    pub entry: Entry,
    /// When it begins; empty if dropped.
    pub clock: String,
    pub seconds: u32,
    pub lasts: String,
    pub words: u32,
    /// How it was cut: "dropped, was 2 min", "cut from 2 min"; empty if it wasn't.
    pub gave: String,
    pub is_dropped: bool,
}

/// The program as of now: who is here, when each entry begins, what was cut.
#[derive(Debug, Clone)]
pub(super) struct ProgramTimes {
    pub lines: Vec<Timed>,
    /// Speakers who aren't here.
    pub missing: Vec<String>,
    pub planned: u32,
    pub total: u32,
    pub limit: u32,
    pub over: u32,
    pub ends: String,
}

impl ProgramTimes {
    fn over_says(&self) -> String {
        program::says(self.over)
    }

    fn limit_says(&self) -> String {
        program::says(self.limit)
    }

    fn total_says(&self) -> String {
        program::says(self.total)
    }

    /// Seconds that were cut.
    fn cut(&self) -> u32 {
        self.planned.saturating_sub(self.total)
    }

    fn cut_says(&self) -> String {
        program::says(self.cut())
    }

    /// Seconds that are left.
    fn left(&self) -> u32 {
        self.limit.saturating_sub(self.total)
    }

    fn left_says(&self) -> String {
        program::says(self.left())
    }
}

/// How long the program lets a guest speak.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Slot {
    /// Not a speaker.
    None,
    /// For this many seconds.
    Speaks(u32),
    /// No time is left for them.
    LeftOut,
}

impl Slot {
    /// How many seconds they speak; none if they don't.
    pub fn seconds(self) -> Option<u32> {
        match self {
            Self::None => None,
            Self::Speaks(seconds) => Some(seconds),
            Self::LeftOut => Some(0),
        }
    }
}

impl Program {
    /// How long a guest speaks if they come, by the program as of now. Everything that
    /// states someone's minutes gets them here.
    pub(super) fn slot(&self, snapshot: &GuestSnapshot, known: &GuestRecord) -> Slot {
        if known.guest.details.seconds == 0 {
            return Slot::None;
        }
        let lines = self.times_with(snapshot, 0, Some(known.guest.id)).lines;
        match lines.iter().find(|line| line.entry.guest == Some(known.guest.id)) {
            Some(line) if !line.is_dropped => Slot::Speaks(line.seconds),
            // A program without guests' remarks has no time for theirs.
            _ => Slot::LeftOut,
        }
    }

    /// The entries, with the guests who are coming and perhaps one more.
    fn entries(&self, snapshot: &GuestSnapshot, also: Option<i64>) -> Vec<Entry> {
        let on = snapshot.event.details.burn_on;
        let come = |side: fn(Side) -> bool| -> Vec<&GuestRecord> {
            let counts = |known: &GuestRecord| known.is_counted_on(on) || also == Some(known.guest.id);
            let order = snapshot.order(on, |known| counts(known) && side(known.guest.details.side));
            order.iter().map(|placed| &snapshot.guests[placed.of]).collect()
        };
        let mut entries = Vec::new();
        for item in &self.items {
            let one = |seconds, least, names: Vec<String>| Entry {
                guest: None,
                title: item.title.clone(),
                who: item.who.clone(),
                names,
                seconds,
                gives: item.gives,
                least,
                priority: item.priority,
            };
            let each = |guests: Vec<&GuestRecord>| {
                let many = u32::try_from(guests.len()).unwrap_or(u32::MAX);
                let names = guests.iter().map(|known| views::introduced(known, on)).collect();
                one(item.seconds.saturating_mul(many), item.least.min(item.seconds).saturating_mul(many), names)
            };
            match item.kind {
                Part::Words => entries.push(one(item.seconds, item.least.min(item.seconds), Vec::new())),
                Part::Introductions => entries.push(each(come(|side| side == Side::Official))),
                Part::Thanks => entries.push(each(come(|side| side != Side::Official))),
                Part::Talks => entries.extend(come(|_| true).into_iter().filter_map(|known| talk(known, snapshot))),
            }
        }
        entries.retain(|entry| entry.seconds > 0);
        entries
    }

    /// The program, started this many minutes late.
    pub(super) fn times(&self, snapshot: &GuestSnapshot, late: u32) -> ProgramTimes {
        self.times_with(snapshot, late, None)
    }

    fn times_with(&self, snapshot: &GuestSnapshot, late: u32, also: Option<i64>) -> ProgramTimes {
        let entries = self.entries(snapshot, also);
        let items: Vec<Item> = entries
            .iter()
            .map(|entry| Item { seconds: entry.seconds, give: entry.gives.give(entry.least), priority: entry.priority })
            .collect();
        let limit = self.minutes.saturating_sub(late) * 60;
        let fitted = fit(&items, limit);
        let burns = snapshot.event.details.burn_on.with_time(snapshot.event.details.burn_time);
        let begins = burns - Duration::from_secs(u64::from(self.begins) * 60);
        let mut at = begins + Duration::from_secs(u64::from(late) * 60);
        let clock = |at: time::PrimitiveDateTime| Reader::App.time(at.time());
        let mut lines = Vec::new();
        for ((entry, item), fate) in entries.into_iter().zip(&items).zip(&fitted.fates) {
            let seconds = fate.seconds(item);
            let is_dropped = *fate == Fate::Dropped;
            lines.push(Timed {
                clock: if is_dropped { String::new() } else { clock(at) },
                seconds,
                lasts: if is_dropped { String::new() } else { program::says(seconds) },
                words: program::words(seconds, snapshot.settings.rate),
                gave: match fate {
                    Fate::Kept => String::new(),
                    Fate::Shortened(_) => format!("cut from {}", program::says(item.seconds)),
                    Fate::Dropped => format!("dropped, was {}", program::says(item.seconds)),
                },
                is_dropped,
                entry,
            });
            at += Duration::from_secs(u64::from(seconds));
        }
        let on = snapshot.event.details.burn_on;
        let speaks = |known: &&GuestRecord| {
            known.guest.details.seconds > 0 && !known.is_counted_on(on) && known.status(on).is_expected()
        };
        ProgramTimes {
            lines,
            missing: snapshot.guests.iter().filter(speaks).map(|known| views::introduced(known, on)).collect(),
            planned: items.iter().map(|item| item.seconds).sum(),
            total: fitted.total,
            limit,
            over: fitted.over,
            ends: clock(at),
        }
    }
}

/// The program up to where the presenter's talk begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Timeline {
    pub parts: Vec<TimelinePart>,
    /// Minutes before ignition when it begins.
    pub begins: u32,
    /// Seconds from its beginning to its end.
    pub seconds: u32,
    /// Seconds by which it is longer than it may be.
    pub over: u32,
}

/// One part of the program that isn't dropped.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TimelinePart {
    /// When it begins.
    pub clock: String,
    pub title: String,
    pub who: String,
    pub seconds: u32,
}

/// Something that comes after the program, up to ignition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Following {
    pub clock: String,
    pub what: String,
    pub lasts: String,
    /// By how much it is too long; empty if it fits.
    pub over: String,
    /// Its page; empty if it has none.
    pub href: String,
}

/// Finds out what follows the program. Guests come before the talk, so it is passed in.
pub type ReadFollowing = fn(App, Event) -> BoxFuture<'static, Result<Vec<Following>>>;

/// The program of an event as of now, with its times.
///
/// # Errors
/// The store's.
pub async fn timeline(db: &mut SqliteConnection, event: &Event) -> Result<Timeline> {
    let snapshot = GuestSnapshot::load(db, event).await?;
    let times = snapshot.program.times(&snapshot, 0);
    let part = |line: Timed| TimelinePart {
        clock: line.clock,
        title: line.entry.title,
        who: line.entry.who,
        seconds: line.seconds,
    };
    Ok(Timeline {
        parts: times.lines.into_iter().filter(|line| !line.is_dropped).map(part).collect(),
        begins: snapshot.program.begins,
        seconds: times.total,
        over: times.over,
    })
}

/// A guest's remarks, if they speak.
fn talk(known: &GuestRecord, snapshot: &GuestSnapshot) -> Option<Entry> {
    let details = &known.guest.details;
    let of = || [views::headed(known), views::subtitle(snapshot, known)].into_iter().filter(|text| !text.is_empty());
    let (title, who) = match known.deputy(snapshot.event.details.burn_on) {
        Some((name, title)) => {
            let behalf = format!("on behalf of {}", of().collect::<Vec<_>>().join(", "));
            let who = [title, behalf].into_iter().filter(|text| !text.is_empty());
            (name, who.collect::<Vec<_>>().join(", "))
        }
        None => (views::headed(known), views::subtitle(snapshot, known)),
    };
    (details.seconds > 0).then_some(Entry {
        guest: Some(known.guest.id),
        title,
        who,
        names: Vec::new(),
        seconds: details.seconds,
        gives: details.gives,
        least: details.least,
        priority: details.priority,
    })
}

#[derive(Template)]
#[template(path = "guests/program.html")]
struct ProgramPage {
    page: Page,
    event_id: i64,
    late: String,
    mistakes: Mistakes,
    is_kept: bool,
    begins: u32,
    rate: u32,
    times: ProgramTimes,
    following: Vec<Following>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Late {
    late: String,
}

async fn show_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Extension(following): Extension<ReadFollowing>,
    Query(late): Query<Late>,
) -> Result<Response> {
    let snapshot = routes::snapshot(&app, id).await?;
    let kept = store::program(&mut *app.db.read().acquire().await?, id).await?;
    let mut mistakes = Mistakes::default();
    let minutes = if late.late.trim().is_empty() { Ok(0) } else { form::number(&late.late, 0, MOST_LATE) };
    let minutes = mistakes.note("late", minutes);
    let page = ProgramPage {
        page: routes::page(&app, &visit, &snapshot.event, "Program").await?,
        event_id: id,
        late: late.late,
        is_kept: kept.version > 0,
        begins: kept.begins,
        rate: snapshot.settings.rate,
        times: kept.times(&snapshot, minutes.unwrap_or(0)),
        // The talk's own times are those of a program on time.
        following: if minutes.unwrap_or(0) == 0 {
            following(app.clone(), snapshot.event.clone()).await?
        } else {
            Vec::new()
        },
        mistakes,
    };
    let status = if page.mistakes.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    show_as(status, &page)
}

/// The form, with one field value per part.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct ProgramForm {
    begins: String,
    minutes: String,
    number: Vec<String>,
    kind: Vec<String>,
    title: Vec<String>,
    who: Vec<String>,
    lasts: Vec<String>,
    gives: Vec<String>,
    least: Vec<String>,
    priority: Vec<String>,
    version: i64,
}

struct PartLine {
    number: String,
    kind: String,
    title: String,
    who: String,
    lasts: String,
    gives: String,
    least: String,
    priority: String,
}

#[derive(Template)]
#[template(path = "guests/program_edit.html")]
struct EditPage {
    page: Page,
    event_id: i64,
    form: ProgramForm,
    mistakes: Mistakes,
}

impl ProgramForm {
    fn of(program: &Program) -> Self {
        let mut form = Self {
            begins: program.begins.to_string(),
            minutes: program.minutes.to_string(),
            version: program.version,
            ..Self::default()
        };
        let spare = ProgramItem {
            kind: Part::Words,
            title: String::new(),
            who: String::new(),
            seconds: 60,
            gives: Gives::Either,
            least: 30,
            priority: 3,
        };
        let spare = std::iter::repeat_n(&spare, SPARE);
        for (number, item) in (1..).zip(program.items.iter().chain(spare)) {
            form.number.push(if item.title.is_empty() { String::new() } else { number.to_string() });
            form.kind.push(item.kind.to_string());
            form.title.push(item.title.clone());
            form.who.push(item.who.clone());
            form.lasts.push(as_minutes(item.seconds));
            form.gives.push(item.gives.to_string());
            form.least.push(as_minutes(item.least));
            form.priority.push(item.priority.to_string());
        }
        form
    }

    fn lines(&self) -> Vec<PartLine> {
        let at = |list: &[String], place: usize| list.get(place).cloned().unwrap_or_default();
        let line = |place| PartLine {
            number: at(&self.number, place),
            kind: at(&self.kind, place),
            title: at(&self.title, place),
            who: at(&self.who, place),
            lasts: at(&self.lasts, place),
            gives: at(&self.gives, place),
            least: at(&self.least, place),
            priority: at(&self.priority, place),
        };
        (0..self.title.len()).map(line).collect()
    }

    fn read(&self) -> Result<Program, Mistakes> {
        let mut mistakes = Mistakes::default();
        let begins = mistakes.note("begins", form::number(&self.begins, 1u32, 240));
        let whole = mistakes.note("minutes", form::number(&self.minutes, 1u32, 240));
        if begins.zip(whole).is_some_and(|(begins, minutes)| minutes > begins) {
            mistakes.add("minutes", "This runs past ignition. Start earlier or make it shorter.");
        }
        let mut items = Vec::new();
        for line in self.lines() {
            let Some(title) = mistakes.note("part", form::optional_line(&line.title, 100)) else { continue };
            if title.is_empty() {
                continue;
            }
            let number = if line.number.trim().is_empty() { Ok(u32::MAX) } else { form::number(&line.number, 1, 99) };
            let number = mistakes.note("part", number);
            let kind = mistakes.note("part", line.kind.parse::<Part>());
            let who = mistakes.note("part", form::optional_line(&line.who, 100));
            let times = mistakes.note("part", minutes(&line.lasts)).zip(mistakes.note("part", minutes(&line.least)));
            let gives = mistakes.note("part", line.gives.parse::<Gives>());
            let priority = mistakes.note("part", form::number(&line.priority, 1u8, 9));
            let rest = gives.zip(priority).zip(times);
            if let (Some(number), Some(kind), Some(who), Some(((gives, priority), (seconds, least)))) =
                (number, kind, who, rest)
            {
                items.push((number, ProgramItem { kind, title, who, seconds, gives, least, priority }));
            }
        }
        if items.is_empty() {
            mistakes.add("part", "Enter at least one part.");
        }
        items.sort_by_key(|(number, _)| *number);
        match (begins, whole, mistakes.is_empty()) {
            (Some(begins), Some(minutes), true) => {
                let items = items.into_iter().map(|(_, item)| item).collect();
                Ok(Program { begins, minutes, items, version: self.version })
            }
            _ => Err(mistakes),
        }
    }
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    routes::event(&app, id).await?;
    let kept = store::program(&mut *app.db.read().acquire().await?, id).await?;
    show(&edit_page(&app, &visit, id, ProgramForm::of(&kept), Mistakes::default()).await?)
}

async fn edit_page(app: &App, visit: &Visit, id: i64, form: ProgramForm, mistakes: Mistakes) -> Result<EditPage> {
    let event = routes::event(app, id).await?;
    Ok(EditPage { page: routes::page(app, visit, &event, "Edit the program").await?, event_id: id, form, mistakes })
}

async fn save(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<ProgramForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = routes::event(&app, id).await?;
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => {
            let page = edit_page(&app, &visit, id, form, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, keep) = (visit.user.actor(), new.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if !store::put_program(tx, actor, id, &keep, now).await? {
                return Ok(None);
            }
            Ok(Some(follow::refresh(tx, id, now).await?))
        })
    });
    if let Some(outdated) = write.await? {
        let said = format!("Program saved.{}", asks::tell_next(outdated));
        return Ok(flash::redirect(&format!("/events/{id}/guests/program"), &said));
    }
    let theirs = store::program(&mut *app.db.read().acquire().await?, id).await?;
    let mut conflict = Conflict::new("Program", format!("/events/{id}/guests/program/edit"), theirs.version);
    conflict.field("begins", "Begins, minutes before ignition", &theirs.begins.to_string(), &form.begins);
    conflict.field("minutes", "Total minutes", &theirs.minutes.to_string(), &form.minutes);
    let parts = |program: &Program| program.snapshot()["parts"].as_str().unwrap_or_default().to_owned();
    conflict.compare("Parts", &parts(&theirs), &parts(&new));
    for line in form.lines() {
        let fields = [
            ("number", line.number),
            ("kind", line.kind),
            ("title", line.title),
            ("who", line.who),
            ("lasts", line.lasts),
            ("gives", line.gives),
            ("least", line.least),
            ("priority", line.priority),
        ];
        for (name, value) in fields {
            conflict.silent(name, &value);
        }
    }
    conflict::show(routes::page(&app, &visit, &event, "Program").await?, &conflict)
}
