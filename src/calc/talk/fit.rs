//! How long lines take, and in how many simulated fires there is time for them.

use super::{Burn, Mark, Part};
use crate::calc::fire::bands::FireTimes;
use crate::calc::fire::sampling::{quantile, sort};
use crate::named::named;

named! {
    /// Who a line is for. What is for all is spoken as slowly as for children.
    Audience, "Choose who the line is for.", AUDIENCES: [
        Children = "children",
        Adults = "adults",
        All = "all",
    ]
}

/// How fast the presenter speaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pace {
    /// Words a minute.
    pub children: u32,
    /// Words a minute.
    pub adults: u32,
    /// Percent added for pauses and echo.
    pub pauses: u32,
}

impl Pace {
    /// Outdoors, with loudspeakers. Common practice, no source.
    pub const USUAL: Self = Self { children: 120, adults: 130, pauses: 20 };

    /// How long so many words take.
    #[must_use]
    pub fn seconds(&self, words: u32, audience: Audience) -> f64 {
        f64::from(words) * self.seconds_a_word(audience)
    }

    /// How many words fit, rounded down.
    ///
    /// ```
    /// use burnday::calc::talk::{Audience, Pace};
    ///
    /// let without_pauses = Pace { pauses: 0, ..Pace::USUAL };
    /// assert_eq!(without_pauses.words(30.0, Audience::Children), 60);
    /// assert_eq!(Pace::USUAL.words(30.0, Audience::Children), 50);
    /// ```
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the cast stops at both ends of the range"
    )]
    pub fn words(&self, seconds: f64, audience: Audience) -> u32 {
        // Rounding must not take the last word away.
        (seconds / self.seconds_a_word(audience) * (1.0 + 1e-9)).floor() as u32
    }

    fn seconds_a_word(&self, audience: Audience) -> f64 {
        let rate = match audience {
            Audience::Children => self.children,
            Audience::Adults => self.adults,
            Audience::All => self.children.min(self.adults),
        };
        60.0 / f64::from(rate.max(1)) * (1.0 + f64::from(self.pauses) / 100.0)
    }
}

/// One line of a talk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Where in the talk it belongs.
    pub part: Part,
    /// How long it takes; [`Pace::seconds`].
    pub seconds: f64,
}

/// How the burns run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// Both rooms at once; otherwise room A, and then room B.
    pub is_both: bool,
    /// How long the presenter lets the audience listen and look after a mark.
    pub listen: f64,
    /// Water from the hose, so long after flashover.
    pub attack: f64,
}

/// What came of all lines in all simulated fires.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// One for each line, in order.
    pub lines: Vec<LineFit>,
    /// One for each part of the burns, in order, with or without lines.
    pub sections: Vec<Section>,
}

/// What came of one line.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LineFit {
    /// Fires in which its part begins.
    pub comes: usize,
    /// Fires in which it is spoken to its end.
    pub full: usize,
    /// Fires in which it is begun, and a mark comes before its end.
    pub cut: usize,
    /// The mark that cuts it most often.
    pub cut_by: Option<Mark>,
    /// After its part begins.
    pub starts: f64,
    /// When its last word is said, in seconds after its part begins.
    pub ends: f64,
}

impl LineFit {
    /// In what share of the fires in which its part begins it is spoken to its end.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        (self.comes > 0).then(|| self.full as f64 / self.comes as f64)
    }

    /// Is it spoken to its end in at least 9 of 10 of them?
    #[must_use]
    pub const fn fits(&self) -> bool {
        self.comes > 0 && self.full * 10 >= self.comes * 9
    }
}

/// The time that fires leave for one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// The part.
    pub part: Part,
    /// Fires in which it begins.
    pub comes: usize,
    /// At least 9 in 10 of them leave this much. None if they leave any amount, or if it never
    /// begins.
    pub leaves: Option<f64>,
    /// What listening and all its lines take.
    pub wanted: f64,
    /// None if no mark ever ends it.
    pub silence: Option<Silence>,
    /// The mark that ends it most often.
    pub ended_by: Option<Mark>,
}

/// How long nothing is left to say before the next mark. If that mark cuts a line, there is no
/// silence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Silence {
    /// Half of the fires in which a mark ends the part are below this.
    pub half: f64,
    /// Nine in ten are below this.
    pub most: f64,
}

/// When to turn to a branch, s from lighting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turns {
    /// Sooner than in nine of ten fires in which it happens.
    pub early: f64,
    /// Later than in nine of ten.
    pub late: f64,
    /// Later than in 19 of 20: it will hardly come.
    pub gone: f64,
    /// Fires in which it doesn't happen.
    pub never: usize,
}

impl Turns {
    /// None if it never happens. A time that isn't finite is one that doesn't.
    #[must_use]
    pub fn of(times: impl Iterator<Item = f64>) -> Option<Self> {
        let (mut happens, never): (Vec<f64>, Vec<f64>) = times.partition(|time| time.is_finite());
        sort(&mut happens);
        let at = |part| quantile(&happens, part);
        Some(Self { early: at(0.1)?, late: at(0.9)?, gone: at(0.95)?, never: never.len() })
    }
}

/// Speaks all lines in all fires.
#[must_use]
pub fn fit(lines: &[Line], fires: &[FireTimes], rules: &Rules) -> Fitted {
    let mut clocks = Part::ALL.map(|part| if part.begun_by().is_some() { rules.listen } else { 0.0 });
    let spoken = lines.iter().map(|line| {
        let clock = &mut clocks[line.part as usize];
        let starts = *clock;
        *clock += line.seconds;
        let is_outside = Part::sequence(rules.is_both).contains(&line.part) && line.part.burn(rules.is_both).is_none();
        let always = if is_outside { fires.len() } else { 0 };
        LineFit { comes: always, full: always, starts, ends: *clock, ..LineFit::default() }
    });
    let mut spoken: Vec<LineFit> = spoken.collect();
    let mut sections = Vec::new();
    for burn in Burn::of(rules.is_both) {
        for part in burn.parts() {
            let spans = Spans::of(*part, *burn, fires, rules.attack);
            let mut own: Vec<&mut LineFit> =
                spoken.iter_mut().zip(lines).filter(|(_, line)| line.part == *part).map(|(fit, _)| fit).collect();
            for line in &mut own {
                spans.count(line);
            }
            sections.push(Section {
                part: *part,
                comes: spans.all.len(),
                leaves: spans.leaves(),
                wanted: clocks[*part as usize],
                silence: spans.silence(&own),
                ended_by: spans.most_often(Vec::len),
            });
        }
    }
    Fitted { lines: spoken, sections }
}

/// How long one part lasts, in each fire in which it begins, in order.
#[derive(Default)]
struct Spans {
    all: Vec<f64>,
    /// The same by the mark that ends it.
    by_mark: [Vec<f64>; Mark::ALL.len()],
}

impl Spans {
    fn of(part: Part, burn: Burn, fires: &[FireTimes], attack: f64) -> Self {
        let mut spans = Self::default();
        for (length, mark) in fires.iter().filter_map(|fire| span(part, burn, fire, attack)) {
            spans.all.push(length);
            if let Some(mark) = mark {
                spans.by_mark[mark as usize].push(length);
            }
        }
        sort(&mut spans.all);
        spans.by_mark.iter_mut().for_each(|lengths| sort(lengths));
        spans
    }

    /// The mark with the highest count; of equal ones the first.
    fn most_often(&self, count: impl Fn(&Vec<f64>) -> usize) -> Option<Mark> {
        let counts = Mark::ALL.into_iter().zip(self.by_mark.iter().map(count)).filter(|(_, count)| *count > 0);
        counts.rev().max_by_key(|(_, count)| *count).map(|(mark, _)| mark)
    }

    /// The longest that at least nine in ten last.
    fn leaves(&self) -> Option<f64> {
        self.all.get(self.all.len() / 10).copied().filter(|length| length.is_finite())
    }

    fn count(&self, line: &mut LineFit) {
        let cut = |lengths: &Vec<f64>| {
            let begun = lengths.partition_point(|length| *length <= line.starts);
            lengths.partition_point(|length| *length < line.ends).saturating_sub(begun)
        };
        line.comes = self.all.len();
        line.full = line.comes - self.all.partition_point(|length| *length < line.ends);
        (line.cut, line.cut_by) = (cut(&self.all), self.most_often(cut));
    }

    fn silence(&self, lines: &[&mut LineFit]) -> Option<Silence> {
        let silent = |length: &f64| {
            let full = lines.partition_point(|line| line.ends <= *length);
            let is_cut = lines.get(full).is_some_and(|line| line.starts < *length);
            let last = full.checked_sub(1).map_or(0.0, |last| lines[last].ends);
            if is_cut { 0.0 } else { length - last }
        };
        let mut silences: Vec<f64> = self.by_mark.iter().flatten().map(silent).collect();
        sort(&mut silences);
        Some(Silence { half: quantile(&silences, 0.5)?, most: quantile(&silences, 0.9)? })
    }
}

/// How long a part lasts in one fire, and the mark that ends it. Without one it lasts for any
/// time. None if it doesn't begin.
fn span(part: Part, burn: Burn, fire: &FireTimes, attack: f64) -> Option<(f64, Option<Mark>)> {
    let time = |mark: Mark| match mark {
        Mark::Alarm => fire.alarm,
        Mark::Sprinkler => fire.sprinkler,
        Mark::Flashover => fire.flashover,
        Mark::Attack => fire.flashover + attack,
    };
    let own = part.begun_by();
    let begins = own.map_or(0.0, time);
    if !begins.is_finite() {
        return None;
    }
    // Lighting comes before any mark at the same time.
    let later = burn.marks().iter().map(|mark| (time(*mark), Some(*mark)));
    let later = later.filter(|(at, mark)| at.is_finite() && (*at, *mark) > (begins, own));
    let next = later.min_by(|(one, mark), (two, other)| one.total_cmp(two).then(other.cmp(mark)));
    Some(next.map_or((f64::INFINITY, None), |(at, mark)| (at - begins, mark)))
}
