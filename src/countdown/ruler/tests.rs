use super::*;
use crate::countdown::TaskState;
use crate::countdown::drawing::sample::{self, Rect, overlap};
use proptest::prelude::*;

fn bar_rect(bar: &Bar) -> Rect {
    [bar.x, bar.y, bar.x + bar.width + flag(bar.kind), bar.y + BAR]
}

/// From the tallest letter to the lowest, in Public Sans.
fn name_rect(bar: &Bar) -> Option<Rect> {
    let (name, room) = (bar.name.as_ref()?, width(&bar.title, NAMES));
    let left = if name.anchor == "end" { name.x - room } else { name.x };
    Some([left, name.y - 0.74 * NAMES, left + room, name.y + 0.22 * NAMES])
}

fn check(outlook: &Outlook, ruler: &Ruler) {
    let is_shown = |task: &&crate::countdown::Task| task.state != TaskState::NotNeeded && !task.is_burn;
    assert_eq!(ruler.bars.len(), outlook.tasks.iter().filter(is_shown).count());
    let names = ruler.bars.iter().filter_map(|bar| Some((&bar.title, name_rect(bar)?)));
    let all: Vec<(&String, Rect)> = ruler.bars.iter().map(|bar| (&bar.title, bar_rect(bar))).chain(names).collect();
    for (place, (title, rect)) in all.iter().enumerate() {
        for (other, other_rect) in &all[place + 1..] {
            assert!(!overlap(*rect, *other_rect), "{title} {rect:?} and {other} {other_rect:?}");
        }
        assert!(rect[0] >= LEFT - 0.1 && rect[2] <= WIDTH + 0.1, "{title} {rect:?}");
        assert!(rect[1] >= TOP - 2.0 && rect[3] <= ruler.floor, "{title} {rect:?}");
    }
    assert!(ruler.bars.iter().all(|bar| bar.in_chain || bar.name.is_none()));
}

#[test]
fn the_usual_plan_is_low_and_names_its_critical_path() {
    let (days, outlook) = sample::usual();
    let ruler = Ruler::of(&days, &outlook);
    assert!(ruler.height <= 330.0, "{}", ruler.height);
    check(&outlook, &ruler);
    let in_chain = ruler.bars.iter().filter(|bar| bar.in_chain).count();
    let named = ruler.bars.iter().filter(|bar| bar.name.is_some()).count();
    assert!(in_chain >= 3 && named + 1 >= in_chain, "{named} of {in_chain}");
    assert_eq!(ruler.uprights.len(), 3);
}

proptest! {
    #[test]
    fn nothing_overlaps_in_any_plan((days, outlook) in sample::any()) {
        check(&outlook, &Ruler::of(&days, &outlook));
    }
}
