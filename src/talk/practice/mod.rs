//! The talk practiced against one of the plan's fires, and what the practices showed.

mod store;

use super::routes::{event, href, under};
use super::says::{self, clock};
use super::snapshot::{TalkSnapshot, TimedLine};
use crate::accounts::{SignedIn, Visit, Worker};
use crate::calc::fire::bands::FireTimes;
use crate::calc::talk::{Audience, Burn, Mark, Pace, Part};
use crate::error::Result;
use crate::fire;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) use store::practices;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/talk/practice", get(index))
        .route("/events/{id}/burn-day/talk/practices", post(keep))
        .route("/events/{id}/burn-day/talk/practices/{practice}/remove", post(remove))
}

/// Nobody speaks slower or faster than this, in words a minute.
const SPEECH: std::ops::RangeInclusive<f64> = 40.0..=300.0;
/// A practice is at most so long, ms, and has at most so many words.
const MOST_MS: u32 = 4 * 3_600_000;
const MOST_WORDS: u32 = 60_000;

/// The talk, practiced once.
#[derive(Debug, Clone, PartialEq)]
pub struct Practice {
    pub id: i64,
    pub at: OffsetDateTime,
    pub by: Option<String>,
    /// Whose account.
    pub account: Option<i64>,
    /// The fires it was practiced against: room A's and room B's, or one for both.
    pub fires: Vec<FireTimes>,
    /// Words, and milliseconds, of finished lines: to children or to all, and to adults.
    pub children: (u32, u32),
    pub adults: (u32, u32),
    pub finished: u32,
    pub cut: u32,
    pub note: String,
}

/// Words a minute with all pauses; none if nothing was measured, or if it can't be speech.
fn rate((words, ms): (u32, u32)) -> Option<f64> {
    let rate = f64::from(words) * 60_000.0 / f64::from(ms);
    (words > 0 && SPEECH.contains(&rate)).then_some(rate)
}

/// What someone's practices showed, in words; empty if nothing was measured.
pub(super) fn own_rate(practices: &[Practice], account: i64) -> String {
    let all = |of: fn(&Practice) -> (u32, u32)| {
        let measured =
            practices.iter().filter(|one| one.account == Some(account)).map(of).filter(|one| rate(*one).is_some());
        rate(
            measured
                .fold((0, 0), |(words, ms): (u32, u32), one| (words.saturating_add(one.0), ms.saturating_add(one.1))),
        )
    };
    let says = [(all(|one| one.children), "to children and to all"), (all(|one| one.adults), "to adults")];
    let says: Vec<String> = says
        .into_iter()
        .filter_map(|(rate, whom)| Some(format!("{} words a minute {whom}", says::whole(rate?))))
        .collect();
    if says.is_empty() { String::new() } else { format!("{}, with all pauses", words::and(&says)) }
}

/// The planned rate with its pauses, to set beside a measured one.
fn planned(pace: &Pace, audience: Audience) -> u32 {
    let rate = match audience {
        Audience::Adults => pace.adults,
        Audience::Children => pace.children,
        Audience::All => pace.children.min(pace.adults),
    };
    says::whole(f64::from(rate) / (1.0 + f64::from(pace.pauses) / 100.0))
}

/// One clock to practice against.
struct Run {
    key: &'static str,
    name: &'static str,
    /// "alarm:23.4 flashover:140.2", for the script.
    marks: String,
    /// The same in words.
    says: String,
}

/// A part to practice.
struct Piece {
    key: &'static str,
    name: &'static str,
    /// The clock it belongs to; empty for what is said without one.
    burn: &'static str,
    /// The mark that begins it; empty for lighting.
    mark: &'static str,
    lines: Vec<Spoken>,
}

struct Spoken {
    number: usize,
    words: String,
    count: u32,
    is_for_adults: bool,
    facts: String,
}

/// What to say if a moment comes early, late, or never.
struct Turned {
    key: &'static str,
    name: &'static str,
    /// The moment; empty for a stop.
    mark: &'static str,
    side: &'static str,
    /// Seconds from lighting from which, or before which, it counts; 0 for a stop.
    at: String,
    words: String,
}

/// A practice in the list.
struct Kept {
    id: i64,
    when: String,
    lines: String,
    rates: String,
    fires: String,
    note: String,
}

#[derive(Template)]
#[template(path = "talk/practice.html")]
struct PracticePage {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    /// "ready", "waiting", or "missing".
    clock: &'static str,
    fire: usize,
    pinned: i64,
    count: usize,
    runs: Vec<Run>,
    pieces: Vec<Piece>,
    turned: Vec<Turned>,
    planned: [u32; 2],
    own: String,
    kept: Vec<Kept>,
    form: PracticeForm,
    mistakes: Mistakes,
    is_bare: bool,
}

fn key(mark: Mark) -> &'static str {
    match mark {
        Mark::Alarm => "alarm",
        Mark::Sprinkler => "sprinkler",
        Mark::Flashover => "flashover",
        Mark::Attack => "attack",
    }
}

const fn burn_key(burn: Burn) -> (&'static str, &'static str) {
    match burn {
        Burn::A => ("a", "Room A"),
        Burn::B => ("b", "Room B"),
        Burn::Both => ("both", "Both rooms"),
    }
}

/// When a mark comes in a fire; attack follows flashover.
fn when(mark: Mark, fire: &FireTimes, attack: u32) -> Option<f64> {
    let time = match mark {
        Mark::Alarm => fire.alarm,
        Mark::Sprinkler => fire.sprinkler,
        Mark::Flashover => fire.flashover,
        Mark::Attack => fire.flashover + f64::from(attack),
    };
    time.is_finite().then_some(time)
}

/// The fires with these numbers: each room has its own, unless both burn at once.
fn drawn(snapshot: &TalkSnapshot, number: usize) -> Vec<FireTimes> {
    let Some(fires) = snapshot.fires().filter(|fires| !fires.times.is_empty()) else { return Vec::new() };
    let count = fires.times.len();
    // The second is another one, far from the first.
    (0..snapshot.burns().len()).map(|burn| fires.times[(number % count + burn * (count / 2 + 1)) % count]).collect()
}

fn runs(snapshot: &TalkSnapshot, fires: &[FireTimes]) -> Vec<Run> {
    let run = |(burn, fire): (&Burn, &FireTimes)| {
        let (key_, name) = burn_key(*burn);
        let times = burn.marks().iter().filter_map(|mark| Some((*mark, when(*mark, fire, snapshot.settings.attack)?)));
        let times: Vec<(Mark, f64)> = times.collect();
        let marks: Vec<String> = times.iter().map(|(mark, time)| format!("{}:{time:.1}", key(*mark))).collect();
        let says: Vec<String> =
            times.iter().map(|(mark, time)| format!("{} {}", says::mark(*mark), clock(*time))).collect();
        Run { key: key_, name, marks: marks.join(" "), says: words::and(&says) }
    };
    snapshot.burns().iter().zip(fires).map(run).collect()
}

fn pieces(snapshot: &TalkSnapshot) -> Vec<Piece> {
    let spoken = |(at, timed): (usize, &TimedLine)| Spoken {
        number: at + 1,
        words: timed.line.words.clone(),
        count: timed.checked.words,
        is_for_adults: timed.line.audience == Audience::Adults,
        facts: format!("{} · {}", timed.line.audience, says::cue(snapshot, timed)),
    };
    let piece = |part: &Part| Piece {
        key: part.as_str(),
        name: says::name(*part, snapshot.event.details.format),
        burn: part.burn(snapshot.is_both()).map_or("", |burn| burn_key(burn).0),
        mark: part.begun_by().map_or("", key),
        lines: snapshot.of_part(*part).map(spoken).collect(),
    };
    Part::sequence(snapshot.is_both()).iter().map(piece).collect()
}

fn turned(snapshot: &TalkSnapshot) -> Vec<Turned> {
    let one = |part: Part| {
        let words: Vec<String> = snapshot.of_part(part).map(|(_, timed)| timed.line.words.clone()).collect();
        let (mark, side) = says::turn(part).map_or(("", ""), |(mark, side)| (key(mark), side));
        let at = says::turn(part).and_then(|(mark, side)| {
            let turns = snapshot.turns(mark)?;
            Some(match side {
                "early" => turns.early,
                "late" => turns.late,
                _ => turns.gone,
            })
        });
        Turned {
            key: part.as_str(),
            name: says::name(part, snapshot.event.details.format),
            mark,
            side,
            at: at.map(|at| format!("{at:.1}")).unwrap_or_default(),
            words: words.join(" "),
        }
    };
    Part::BRANCHES.into_iter().map(one).collect()
}

fn kept(snapshot: &TalkSnapshot, practice: &Practice, now: OffsetDateTime) -> Kept {
    let (event, pace) = (&snapshot.event, &snapshot.settings.pace);
    let today = event.today(now);
    let by = practice.by.as_ref().map(|by| format!(", {by}")).unwrap_or_default();
    let rates = [
        (practice.children, Audience::All, "to children and to all"),
        (practice.adults, Audience::Adults, "to adults"),
    ];
    let rates: Vec<String> = rates
        .into_iter()
        .filter_map(|(measured, audience, whom)| {
            let rate = says::whole(rate(measured)?);
            Some(format!("{rate} words a minute {whom}, planned {}", planned(pace, audience)))
        })
        .collect();
    // Each room's own moments; of a practice in another format, all of them.
    let is_same = practice.fires.len() == snapshot.burns().len();
    let fire = |(place, fire): (usize, &FireTimes)| {
        let marks = if is_same { snapshot.burns()[place].marks() } else { &Mark::ALL };
        let times = marks.iter().filter(|mark| **mark != Mark::Attack);
        let times = times.filter_map(|mark| Some(format!("{} {}", says::mark(*mark), clock(when(*mark, fire, 0)?))));
        times.collect::<Vec<_>>().join(", ")
    };
    Kept {
        id: practice.id,
        when: format!("{}{by}", Reader::App.near_moment(event.details.zone.wall(practice.at), today)),
        lines: format!(
            "{} finished, {} cut off",
            words::count(practice.finished as usize, "line", "lines"),
            practice.cut
        ),
        rates: if rates.is_empty() { "no pace measured".to_owned() } else { rates.join("; ") },
        fires: practice.fires.iter().enumerate().map(fire).collect::<Vec<_>>().join(" / "),
        note: practice.note.clone(),
    }
}

#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Which {
    fire: Option<usize>,
}

async fn practice_page(
    app: &App,
    visit: &Visit,
    snapshot: &TalkSnapshot,
    fire: usize,
    (form, mistakes): (PracticeForm, Mistakes),
) -> Result<PracticePage> {
    let now = app.clock.now();
    let fires = drawn(snapshot, fire);
    let pace = &snapshot.settings.pace;
    Ok(PracticePage {
        page: under(app, visit, &snapshot.event, "Practice").await?,
        event_id: snapshot.event.id,
        may: visit.user.works(),
        decides: fire::DECIDES,
        clock: match snapshot.clock {
            fire::Clock::NotPinned => "missing",
            fire::Clock::Waiting => "waiting",
            fire::Clock::Ready(_) => "ready",
        },
        fire,
        pinned: snapshot.fires().map_or(0, |fires| fires.pinned_at),
        count: snapshot.fires().map_or(0, |fires| fires.times.len()),
        runs: runs(snapshot, &fires),
        pieces: pieces(snapshot),
        turned: turned(snapshot),
        planned: [planned(pace, Audience::All), planned(pace, Audience::Adults)],
        own: own_rate(&snapshot.practices, visit.user.account_id),
        kept: snapshot.practices.iter().map(|practice| kept(snapshot, practice, now)).collect(),
        form,
        mistakes,
        is_bare: snapshot.lines.is_empty(),
    })
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(Which { fire }): Query<Which>,
) -> Result<Response> {
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let count = snapshot.fires().map_or(1, |fires| fires.times.len().max(1));
    // Another fire each time; a number in the address brings one back.
    let by_clock = usize::try_from(app.clock.now().unix_timestamp()).unwrap_or_default().wrapping_mul(7_919);
    let fire = fire.unwrap_or(by_clock) % count;
    let form = (PracticeForm::default(), Mistakes::default());
    show(&practice_page(&app, &visit, &snapshot, fire, form).await?)
}

/// What a practice gave. Without scripts, someone types which part they read and how long it
/// took.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Default)]
#[serde(default)]
struct PracticeForm {
    fire: String,
    /// When the plan that the fire is from was pinned.
    pinned: String,
    children_words: String,
    children_ms: String,
    adults_words: String,
    adults_ms: String,
    finished: String,
    cut: String,
    part: String,
    took: String,
    note: String,
}

/// "3:20", or "200" seconds.
fn seconds(text: &str) -> Result<u32, String> {
    let wrong = || "Enter minutes and seconds, as in 3:20.".to_owned();
    let text = text.trim();
    let number = |text: &str| text.parse::<u32>().map_err(|_| wrong());
    let seconds = match text.split_once(':') {
        Some((minutes, seconds)) if seconds.len() == 2 => {
            let (minutes, seconds) = (number(minutes)?, number(seconds)?);
            if seconds > 59 || minutes > 240 {
                return Err(wrong());
            }
            minutes * 60 + seconds
        }
        Some(_) => return Err(wrong()),
        None => number(text)?,
    };
    if seconds == 0 || seconds > 4 * 3_600 { Err(wrong()) } else { Ok(seconds) }
}

impl PracticeForm {
    fn is_by_hand(&self) -> bool {
        self.finished.trim().is_empty()
    }

    fn read(&self, snapshot: &TalkSnapshot, now: OffsetDateTime) -> Result<Practice, Mistakes> {
        let mut wrong = Mistakes::default();
        let note = wrong.note("note", form::paragraph(&self.note, 1_000)).unwrap_or_default();
        let mut new = Practice {
            id: 0,
            at: now,
            by: None,
            account: None,
            fires: Vec::new(),
            children: (0, 0),
            adults: (0, 0),
            finished: 0,
            cut: 0,
            note,
        };
        if self.is_by_hand() {
            let part = wrong.note("part", self.part.parse::<Part>());
            let took = wrong.note("took", seconds(&self.took));
            if let (Some(part), Some(took)) = (part, took) {
                new.by_hand(snapshot, part, took);
            }
        } else {
            let mut number = |text: &str, most: u32| {
                let text = if text.trim().is_empty() { "0" } else { text };
                wrong.note("took", form::number(text, 0, most)).unwrap_or_default()
            };
            new.children = (number(&self.children_words, MOST_WORDS), number(&self.children_ms, MOST_MS));
            new.adults = (number(&self.adults_words, MOST_WORDS), number(&self.adults_ms, MOST_MS));
            new.finished = number(&self.finished, 10_000);
            new.cut = number(&self.cut, 10_000);
            // Another plan's fire with this number is another fire.
            let is_same = snapshot.fires().is_some_and(|fires| fires.pinned_at.to_string() == self.pinned);
            if is_same {
                new.fires = drawn(snapshot, self.fire.parse().unwrap_or_default());
            }
        }
        if wrong.is_empty() { Ok(new) } else { Err(wrong) }
    }
}

impl Practice {
    /// One part, read in one go and timed by hand: the time is shared out as planned.
    fn by_hand(&mut self, snapshot: &TalkSnapshot, part: Part, took: u32) {
        let (mut planned, mut words) = ([0.0, 0.0], [0, 0]);
        for (_, timed) in snapshot.of_part(part) {
            let place = usize::from(timed.line.audience == Audience::Adults);
            planned[place] += timed.seconds;
            words[place] += timed.checked.words;
            self.finished += 1;
        }
        let all: f64 = planned.iter().sum();
        let ms = |place: usize| {
            if all > 0.0 { says::whole(f64::from(took) * 1_000.0 * planned[place] / all) } else { 0 }
        };
        (self.children, self.adults) = ((words[0], ms(0)), (words[1], ms(1)));
    }
}

async fn keep(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Form(typed): Form<PracticeForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let new = match typed.read(&snapshot, now) {
        Ok(new) => new,
        Err(mistakes) => {
            let count = snapshot.fires().map_or(1, |fires| fires.times.len().max(1));
            let fire = typed.fire.parse::<usize>().unwrap_or_default() % count;
            let page = practice_page(&app, &visit, &snapshot, fire, (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let measured = rate(new.children).is_some() || rate(new.adults).is_some();
    let account = visit.user.account_id;
    app.db.write(move |tx| Box::pin(async move { store::add_practice(tx, account, id, &new, now).await })).await?;
    let said = if measured {
        "Practice saved. Your pace is below."
    } else {
        "Practice saved. It doesn't count for your pace: nothing was finished, or not at the speed of speech."
    };
    Ok(flash::redirect(&format!("{}/practice", href(id)), said))
}

async fn remove(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, practice)): Path<(i64, i64)>,
) -> Result<Response> {
    event(&app, id).await?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write =
        app.db.write(move |tx| Box::pin(async move { store::remove_practice(tx, actor, id, practice, now).await }));
    let said = if write.await? { "Practice removed." } else { "This practice is gone already." };
    Ok(flash::redirect(&format!("{}/practice", href(id)), said))
}
