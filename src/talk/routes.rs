//! The talk on a page, how fast it is spoken, and the starter.

use super::drawing::Chart;
use super::mends::{self, Mend};
use super::says::{self, ShownPart, lasts};
use super::snapshot::TalkSnapshot;
use super::{Settings, store};
use crate::accounts::{SignedIn, Visit, Worker};
use crate::calc::talk::{Audience, Pace, Part};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::fire::{self, Clock};
use crate::guests::Following;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Both, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use futures_util::future::BoxFuture;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/talk", get(index))
        .route("/events/{id}/burn-day/talk/start", post(start))
        .route("/events/{id}/burn-day/talk/pace", get(pace).merge(post(save_pace)))
}

pub(super) fn href(event_id: i64) -> String {
    format!("/events/{event_id}/burn-day/talk")
}

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

/// A page of the talk.
pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), app.clock.now()).await?.titled(title))
}

/// A page below the talk's own.
pub(super) async fn under(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    Ok(page(app, visit, event, title).await?.under(href(event.id), "The talk"))
}

/// One line of the timeline before ignition.
struct Timed {
    clock: String,
    what: String,
    who: String,
    lasts: String,
    is_talk: bool,
}

/// A grade for a group of people.
struct Grade {
    who: &'static str,
    grade: String,
    limit: String,
    is_over: bool,
}

#[derive(Template)]
#[template(path = "talk/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    /// Nothing is written yet.
    is_bare: bool,
    is_full: bool,
    /// "ready", "waiting", or "missing".
    clock: &'static str,
    plan: String,
    /// How many fires the plan has: "2,000".
    count: String,
    verdict: Vec<String>,
    chart: Option<Chart>,
    mends: Vec<Mend>,
    summary: String,
    parts: Vec<ShownPart>,
    branches: Vec<ShownPart>,
    timeline: Vec<Timed>,
    grades: Vec<Grade>,
    smog: String,
    pace: String,
    practiced: String,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let mends = mends::mends(&snapshot);
    let of = |grade| mends.iter().filter(|mend| mend.grade == grade).count();
    let summary = words::to_fix(of("wrong"), of("look"));
    let (parts, branches) = says::parts(&snapshot);
    let fires = snapshot.fires();
    let pace = &snapshot.settings.pace;
    show(&Index {
        page: page(&app, &visit, &snapshot.event, "The talk").await?,
        event_id: id,
        may: visit.user.works(),
        decides: fire::DECIDES,
        is_bare: snapshot.lines.is_empty(),
        is_full: snapshot.lines.len() >= super::MOST_LINES,
        clock: match snapshot.clock {
            Clock::NotPinned => "missing",
            Clock::Waiting => "waiting",
            Clock::Ready(_) => "ready",
        },
        plan: fires.map(|fires| fires.plan.clone()).unwrap_or_default(),
        count: fires.map(|fires| words::grouped(fires.times.len())).unwrap_or_default(),
        verdict: verdict(&snapshot),
        chart: Chart::of(&snapshot),
        summary,
        mends: if snapshot.lines.is_empty() { Vec::new() } else { mends },
        parts,
        branches,
        timeline: timeline(&snapshot),
        grades: grades(&snapshot),
        smog: smog(&snapshot),
        pace: format!(
            "{} words a minute to children, {} to adults, and {} % for pauses and echo; lines for all at the slower pace.",
            pace.children, pace.adults, pace.pauses
        ),
        practiced: match snapshot.practices.len() {
            0 => "Not practiced yet".to_owned(),
            count => format!("Practiced {}", words::count(count, "time", "times")),
        },
    })
}

/// How long there is to talk, in a sentence or two.
fn verdict(snapshot: &TalkSnapshot) -> Vec<String> {
    let mut all = Vec::new();
    let leaves = |part| snapshot.fitted.sections.iter().find(|one| one.part == part).and_then(|one| one.leaves);
    let (first, then) = if snapshot.is_both() {
        (Part::Lit, (Part::Alarm, "between the alarm and the sprinkler"))
    } else {
        (Part::Lit, (Part::AlarmB, "between the alarm and the sprinkler in room B"))
    };
    if let Some(seconds) = leaves(first) {
        all.push(format!(
            "In 9 of 10 simulated fires you have at least {} before the smoke alarm.",
            lasts(seconds.floor())
        ));
    }
    if let Some(seconds) = leaves(then.0) {
        let has = if seconds < 1.0 { "no time".to_owned() } else { format!("at least {}", lasts(seconds.floor())) };
        all.push(format!("In 9 of 10 you have {has} {}.", then.1));
    }
    let cut = snapshot.fitted.lines.iter().filter(|fit| fit.comes > 0 && !fit.fits()).count();
    if snapshot.fires().is_some() && !snapshot.lines.is_empty() {
        all.push(match cut {
            0 if snapshot.has_unspoken() => "Some lines are for moments that never come.".to_owned(),
            0 => "Every line fits.".to_owned(),
            cut => format!("{} may be cut off.", words::count(cut, "line", "lines")),
        });
    }
    all
}

/// What follows the program, for the pages about it: when it begins, what it is, how long it
/// takes, and by how much it is too long. Nothing before a talk is written.
///
/// # Errors
/// The store's.
#[must_use]
pub fn before_lighting(app: App, event: Event) -> BoxFuture<'static, Result<Vec<Following>>> {
    Box::pin(async move {
        let snapshot = TalkSnapshot::of(&mut *app.db.read().acquire().await?, event).await?;
        if snapshot.lines.is_empty() {
            return Ok(Vec::new());
        }
        let over = snapshot.seconds(Part::Before) - snapshot.before_ignition();
        let rows = timeline(&snapshot).into_iter().skip(snapshot.program.parts.len());
        let rows = rows.map(|row| Following {
            over: if row.is_talk && over > 0.5 { lasts(over) } else { String::new() },
            href: if row.is_talk { href(snapshot.event.id) } else { String::new() },
            clock: row.clock,
            what: row.what,
            lasts: row.lasts,
        });
        Ok(rows.collect())
    })
}

/// The program and the talk up to ignition, on one clock.
fn timeline(snapshot: &TalkSnapshot) -> Vec<Timed> {
    let details = &snapshot.event.details;
    let burns = details.burn_on.with_time(details.burn_time);
    let clock = |before: i64| Reader::App.time((burns - time::Duration::seconds(before)).time());
    let mut all: Vec<Timed> = snapshot
        .program
        .parts
        .iter()
        .map(|part| Timed {
            clock: part.clock.clone(),
            what: part.title.clone(),
            who: part.who.clone(),
            lasts: lasts(f64::from(part.seconds)),
            is_talk: false,
        })
        .collect();
    let row = |clock, what: &str, lasts: String, is_talk| Timed {
        clock,
        what: what.to_owned(),
        who: String::new(),
        lasts,
        is_talk,
    };
    let ends = i64::from(snapshot.program.begins) * 60 - i64::from(snapshot.program.seconds);
    all.push(row(clock(ends), "The talk before lighting", lasts(snapshot.seconds(Part::Before)), true));
    let clear = snapshot.settings.clear;
    if clear > 0 {
        let lasts = lasts(f64::from(clear) * 60.0);
        all.push(row(clock(i64::from(clear) * 60), "Search of both rooms, go/no-go poll", lasts, false));
    }
    let lit = if snapshot.is_both() { "Both rooms are lit" } else { "Room A is lit" };
    all.push(row(clock(0), lit, String::new(), false));
    all
}

fn grades(snapshot: &TalkSnapshot) -> Vec<Grade> {
    let groups = [(Audience::Children, "Children"), (Audience::Adults, "Adults"), (Audience::All, "Everyone")];
    let grade = |(audience, who): (Audience, &'static str)| {
        let grade = snapshot.reading(|line| line.audience == audience).grade()?;
        let limit = audience.grade_limit();
        Some(Grade { who, grade: says::grade(grade), limit: format!("{limit}"), is_over: grade > limit })
    };
    groups.into_iter().filter_map(grade).collect()
}

/// The SMOG grade of the whole talk.
fn smog(snapshot: &TalkSnapshot) -> String {
    use crate::calc::reading::{SMOG_SENTENCES, complex_words, smog};
    let sentences = snapshot.reading(|_| true).sentences;
    let complex = snapshot.lines.iter().map(|timed| complex_words(&timed.line.words)).sum();
    let Some(grade) = smog(complex, sentences) else { return String::new() };
    let few = if sentences < SMOG_SENTENCES { ", from fewer than 30 sentences: not certain" } else { "" };
    format!("{grade:.1}{few}")
}

async fn start(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let (now, actor, event) = (app.clock.now(), visit.user.actor(), event(&app, id).await?);
    let format = event.details.format;
    let started =
        app.db.write(move |tx| Box::pin(async move { store::start(tx, actor, id, format, now).await })).await?;
    let said = if started {
        "The starter talk is here. Change it until it is yours."
    } else {
        "There is a talk already. Nothing was changed."
    };
    Ok(flash::redirect(&href(id), said))
}

/// The pace as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Default)]
#[serde(default)]
struct PaceForm {
    children: String,
    adults: String,
    pauses: String,
    listen: String,
    attack: String,
    clear: String,
}

type Field = (&'static str, &'static str, fn(&PaceForm) -> &String);

const FIELDS: [Field; 6] = [
    ("children", "Words a minute, to children", |form| &form.children),
    ("adults", "Words a minute, to adults", |form| &form.adults),
    ("pauses", "Added for pauses and echo, percent", |form| &form.pauses),
    ("listen", "Quiet after a key moment, seconds", |form| &form.listen),
    ("attack", "From flashover to the crew's water, seconds", |form| &form.attack),
    ("clear", "Free before ignition, minutes", |form| &form.clear),
];

impl PaceForm {
    fn of(settings: &Settings) -> Self {
        Self {
            children: settings.pace.children.to_string(),
            adults: settings.pace.adults.to_string(),
            pauses: settings.pace.pauses.to_string(),
            listen: settings.listen.to_string(),
            attack: settings.attack.to_string(),
            clear: settings.clear.to_string(),
        }
    }

    fn read(&self, version: i64) -> Result<Settings, Mistakes> {
        let mut wrong = Mistakes::default();
        let children = wrong.note("children", form::number(&self.children, 40, 300));
        let adults = wrong.note("adults", form::number(&self.adults, 40, 300));
        let pauses = wrong.note("pauses", form::number(&self.pauses, 0, 200));
        let listen = wrong.note("listen", form::number(&self.listen, 0, 60));
        let attack = wrong.note("attack", form::number(&self.attack, 0, 600));
        let clear = wrong.note("clear", form::number(&self.clear, 0, 60));
        match (children.zip(adults).zip(pauses), listen.zip(attack).zip(clear)) {
            (Some(((children, adults), pauses)), Some(((listen, attack), clear))) => {
                Ok(Settings { pace: Pace { children, adults, pauses }, listen, attack, clear, version })
            }
            _ => Err(wrong),
        }
    }
}

#[derive(Debug, Deserialize)]
pub(super) struct Version {
    pub version: Option<i64>,
}

#[derive(Template)]
#[template(path = "talk/pace.html")]
struct PacePage {
    page: Page,
    event_id: i64,
    form: PaceForm,
    version: i64,
    mistakes: Mistakes,
    /// What practices showed.
    own: String,
}

async fn pace_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    version: i64,
    (form, mistakes): (PaceForm, Mistakes),
) -> Result<PacePage> {
    let practices = super::practice::practices(&mut *app.db.read().acquire().await?, event.id).await?;
    let own = super::practice::own_rate(&practices, visit.user.account_id);
    Ok(PacePage {
        page: under(app, visit, event, "Pace and times").await?,
        event_id: event.id,
        form,
        version,
        mistakes,
        own,
    })
}

async fn pace(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let settings = store::settings(&mut *app.db.read().acquire().await?, id).await?;
    let form = (PaceForm::of(&settings), Mistakes::default());
    show(&pace_page(&app, &visit, &event, settings.version, form).await?)
}

async fn save_pace(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Both(typed, Version { version }): Both<PaceForm, Version>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let new = match typed.read(version) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = pace_page(&app, &visit, &event, version, (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| Box::pin(async move { store::put_settings(tx, actor, id, &new, now).await }));
    if write.await? {
        return Ok(flash::redirect(&href(id), "Saved. The lines are timed with these numbers."));
    }
    let theirs = store::settings(&mut *app.db.read().acquire().await?, id).await?;
    let mut conflict = Conflict::new("Pace and times", format!("{}/pace", href(id)), theirs.version);
    let shown = PaceForm::of(&theirs);
    for (name, label, of) in FIELDS {
        conflict.field(name, label, of(&shown), of(&typed));
    }
    conflict::show(page(&app, &visit, &event, "The talk").await?, &conflict)
}
