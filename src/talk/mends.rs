//! What to mend in the talk, and where.

mod lesson;
mod mend;
mod timing;
mod wording;

use super::snapshot::TalkSnapshot;
use lesson::lesson;
use timing::timing;
use wording::wording;

pub(super) use mend::Mend;

/// Everything to mend, worst first.
pub(super) fn mends(snapshot: &TalkSnapshot) -> Vec<Mend> {
    let mut all = timing(snapshot);
    all.extend(lesson(snapshot));
    all.extend(wording(snapshot));
    all.sort_by_key(|mend| mend.grade != "wrong");
    all
}
