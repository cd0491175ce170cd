//! The fires to practice against.

use crate::calc::fire::bands::FireTimes;
use crate::calc::talk::{Burn, Mark};
use crate::talk::says;
use crate::talk::says::clock;
use crate::talk::snapshot::TalkSnapshot;
use crate::web::words;

/// One clock to practice against.
pub(super) struct Run {
    pub key: &'static str,
    pub name: &'static str,
    /// "alarm:23.4 flashover:140.2", for the script.
    pub marks: String,
    /// The same in words.
    pub says: String,
}

pub(super) fn key(mark: Mark) -> &'static str {
    match mark {
        Mark::Alarm => "alarm",
        Mark::Sprinkler => "sprinkler",
        Mark::Flashover => "flashover",
        Mark::Attack => "attack",
    }
}

/// When a mark comes in a fire; attack follows flashover.
pub(super) fn when(mark: Mark, fire: &FireTimes, attack: u32) -> Option<f64> {
    let time = match mark {
        Mark::Alarm => fire.alarm,
        Mark::Sprinkler => fire.sprinkler,
        Mark::Flashover => fire.flashover,
        Mark::Attack => fire.flashover + f64::from(attack),
    };
    time.is_finite().then_some(time)
}

/// The fires with these numbers: each room has its own, unless both burn at once.
pub(super) fn drawn(snapshot: &TalkSnapshot, number: usize) -> Vec<FireTimes> {
    let Some(fires) = snapshot.fires().filter(|fires| !fires.times.is_empty()) else { return Vec::new() };
    let count = fires.times.len();
    // The second is another one, far from the first.
    (0..snapshot.burns().len()).map(|burn| fires.times[(number % count + burn * (count / 2 + 1)) % count]).collect()
}

pub(super) fn runs(snapshot: &TalkSnapshot, fires: &[FireTimes]) -> Vec<Run> {
    let run = |(burn, fire): (&Burn, &FireTimes)| {
        let (key_, name) = says::burn(*burn);
        let times = burn.marks().iter().filter_map(|mark| Some((*mark, when(*mark, fire, snapshot.settings.attack)?)));
        let times: Vec<(Mark, f64)> = times.collect();
        let marks: Vec<String> = times.iter().map(|(mark, time)| format!("{}:{time:.1}", key(*mark))).collect();
        let says: Vec<String> =
            times.iter().map(|(mark, time)| format!("{} {}", says::mark(*mark), clock(*time))).collect();
        Run { key: key_, name, marks: marks.join(" "), says: words::and(&says) }
    };
    snapshot.burns().iter().zip(fires).map(run).collect()
}
