//! What stands elsewhere in room B than in room A.

use super::quantities::inches;
use crate::calc::layout::{Grade, Likeness};
use crate::calc::site::INCH;
use crate::rooms::drawn::said::Said;

pub(in crate::rooms::drawn) fn alike(likeness: &Likeness, name: &impl Fn(u64) -> String) -> Vec<Said> {
    let said = |grade, mark, title: String, number: String, fix: &str, items: Vec<u64>| Said {
        grade,
        mark,
        room: None,
        title,
        number,
        rests_on: "up to 3 in apart is the same place: common practice, no source",
        fix: fix.to_owned(),
        items,
    };
    let mut all = Vec::new();
    if likeness.mirrored {
        let title = "Room B is a mirror image of room A".to_owned();
        all.push(said(
            Grade::Wrong,
            "mirrored",
            title,
            String::new(),
            "Build both rooms the same way around.",
            Vec::new(),
        ));
    }
    for moved in &likeness.moved {
        let title = format!("The {} is off in room B", name(moved.b));
        let number = match (moved.by > moved.raised.abs(), moved.turned) {
            (true, _) => inches(moved.by),
            (false, turned) if turned > 1.0 && moved.raised.abs() < INCH => format!("turned {turned:.0}°"),
            _ if moved.raised < 0.0 => format!("{} lower", inches(-moved.raised)),
            _ => format!("{} higher", inches(moved.raised)),
        };
        all.push(said(
            Grade::Wrong,
            "moved",
            title,
            number,
            "Put both in the same place. Critics notice this first.",
            vec![moved.a, moved.b],
        ));
    }
    if all.is_empty() && likeness.not_drawn.is_empty() {
        let title = "Both rooms are alike in place".to_owned();
        all.push(said(Grade::Good, "alike", title, String::new(), "", Vec::new()));
    }
    all
}
