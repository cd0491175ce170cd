//! The talk of an event, and how it fits.

use super::practice::{Practice, practices};
use super::{Objective, Settings, TalkLine, store};
use crate::calc::reading::Reading;
use crate::calc::talk::{Burn, Checked, Coverage, Fitted, Line, Mark, Part, Turns, check, coverage, fit};
use crate::error::Result;
use crate::events::{self, Event, Format};
use crate::fire::{self, Clock, Fires};
use crate::guests::{self, Timeline};
use crate::state::App;
use sqlx::SqliteConnection;

/// Everything the pages need of one event.
pub(super) struct TalkSnapshot {
    pub event: Event,
    pub settings: Settings,
    pub objectives: Vec<Objective>,
    /// In the order in which they are spoken, and then those for when something goes differently.
    pub lines: Vec<TimedLine>,
    pub clock: Clock,
    pub program: Timeline,
    pub practices: Vec<Practice>,
    pub fitted: Fitted,
    pub coverage: Vec<Coverage>,
}

/// A line, and what the checks say about its words.
pub(super) struct TimedLine {
    pub line: TalkLine,
    pub checked: Checked,
    /// How long it takes, s.
    pub seconds: f64,
}

impl TalkSnapshot {
    pub async fn load(app: &App, id: i64) -> Result<Self> {
        let event = events::found(app.db.read(), id).await?;
        Self::of(&mut *app.db.read().acquire().await?, event).await
    }

    pub async fn of(db: &mut SqliteConnection, event: Event) -> Result<Self> {
        let settings = store::settings(db, event.id).await?;
        let objectives = store::objectives(db, event.id).await?;
        let clock = fire::clock(db, event.id).await?;
        let format = event.details.format;
        let mut lines: Vec<TimedLine> = Vec::new();
        let stored = store::lines(db, event.id).await?;
        let timed = |line: TalkLine| {
            let checked = check(&line.words);
            TimedLine { seconds: settings.pace.seconds(checked.words, line.audience), checked, line }
        };
        lines.extend(stored.into_iter().map(timed));
        lines.sort_by_key(|timed| place(timed.line.part, format));
        let fires: &[_] = if let Clock::Ready(fires) = &clock { &fires.times } else { &[] };
        let timed: Vec<Line> =
            lines.iter().map(|timed| Line { part: timed.line.part, seconds: timed.seconds }).collect();
        let taught: Vec<(Option<usize>, Part)> = lines
            .iter()
            .map(|timed| (objectives.iter().position(|one| Some(one.id) == timed.line.objective), timed.line.part))
            .collect();
        Ok(Self {
            fitted: fit(&timed, fires, &settings.rules(format)),
            coverage: coverage(objectives.len(), &taught, format == Format::BothAtOnce),
            program: guests::timeline(db, &event).await?,
            practices: practices(db, event.id).await?,
            event,
            settings,
            objectives,
            lines,
            clock,
        })
    }

    pub fn is_both(&self) -> bool {
        self.event.details.format == Format::BothAtOnce
    }

    /// The plan's fires, if there are any.
    pub fn fires(&self) -> Option<&Fires> {
        if let Clock::Ready(fires) = &self.clock { Some(fires) } else { None }
    }

    /// The lines of a part with their places in the talk.
    pub fn of_part(&self, part: Part) -> impl Iterator<Item = (usize, &TimedLine)> {
        self.lines.iter().enumerate().filter(move |(_, timed)| timed.line.part == part)
    }

    /// Are there lines whose moment comes in none of the fires?
    pub fn has_unspoken(&self) -> bool {
        let fits = self.lines.iter().zip(&self.fitted.lines);
        fits.into_iter().any(|(timed, fit)| fit.comes == 0 && timed.line.part.burn(self.is_both()).is_some())
    }

    /// How long a part takes, s.
    pub fn seconds(&self, part: Part) -> f64 {
        self.of_part(part).map(|(_, timed)| timed.seconds).sum()
    }

    /// When a key moment counts as early, late, and not coming anymore.
    pub fn turns(&self, mark: Mark) -> Option<Turns> {
        let times = &self.fires()?.times;
        match mark {
            Mark::Alarm => Turns::of(times.iter().map(|fire| fire.alarm)),
            Mark::Sprinkler => Turns::of(times.iter().map(|fire| fire.sprinkler)),
            Mark::Flashover => Turns::of(times.iter().map(|fire| fire.flashover)),
            Mark::Attack => None,
        }
    }

    /// The burns of this event's format.
    pub fn burns(&self) -> &'static [Burn] {
        Burn::of(self.is_both())
    }

    /// Seconds between the end of the program and the minutes that stay free before ignition.
    pub fn before_ignition(&self) -> f64 {
        let minutes = f64::from(self.program.begins) - f64::from(self.settings.clear);
        minutes * 60.0 - f64::from(self.program.seconds)
    }

    /// All words to these people together, as one text.
    pub fn reading(&self, is_wanted: impl Fn(&TalkLine) -> bool) -> Reading {
        let wanted = self.lines.iter().filter(|timed| is_wanted(&timed.line));
        Reading::of(&wanted.map(|timed| timed.line.words.as_str()).collect::<Vec<_>>().join("\n\n"))
    }
}

/// Where a part comes in the talk: first those of this format, then those that it doesn't have,
/// and branches last.
fn place(part: Part, format: Format) -> (u8, usize) {
    let at = |parts: &[Part]| parts.iter().position(|one| *one == part);
    let spoken = at(Part::sequence(format == Format::BothAtOnce)).map(|at| (0, at));
    let branch = || at(&Part::BRANCHES).map(|at| (2, at));
    spoken.or_else(branch).unwrap_or_else(|| (1, at(&Part::ALL).unwrap_or_default()))
}
