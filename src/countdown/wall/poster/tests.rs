use super::super::measures::{ASPECT, FLAG};
use super::*;
use crate::countdown::drawing::sample::{self, Rect, overlap};
use crate::countdown::drawing::width;
use crate::countdown::{Task, TaskState};
use proptest::prelude::*;
use time::Duration;

/// From the tallest letter to the lowest, in Public Sans.
fn of_text(text: &str, (x, y): (f64, f64), anchor: &str, size: f64) -> Rect {
    let room = width(text, size);
    let left = match anchor {
        "end" => x - room,
        "middle" => x - room / 2.0,
        _ => x,
    };
    [left, y - 0.74 * size, left + room, y + 0.22 * size]
}

fn of_name(name: &Name) -> Rect {
    of_text(&name.text, (name.x, name.y), name.anchor, NAMES)
}

/// Everything in the lanes, each with the name it belongs to.
fn in_lanes(poster: &Poster) -> Vec<(&str, Rect)> {
    let bars = poster.bars.iter().flat_map(|bar| {
        let flag = if bar.triangle.is_empty() { 0.0 } else { FLAG };
        let rect = [bar.x, bar.y, bar.x + bar.width + flag, bar.y + BAR];
        [(bar.name.text.as_str(), rect), (bar.name.text.as_str(), of_name(&bar.name))]
    });
    let points = poster.points.iter().flat_map(|point| {
        let half = POINT / 2.0;
        let rect = [point.x - half, point.y - half, point.x + half, point.y + half];
        [(point.name.text.as_str(), rect), (point.name.text.as_str(), of_name(&point.name))]
    });
    bars.chain(points).collect()
}

fn none_overlap(all: &[(&str, Rect)]) {
    for (place, (name, rect)) in all.iter().enumerate() {
        for (other, other_rect) in &all[place + 1..] {
            assert!(!overlap(*rect, *other_rect), "{name} {rect:?} and {other} {other_rect:?}");
        }
    }
}

fn check(outlook: &Outlook, poster: &Poster) {
    let is_shown = |task: &&Task| task.state != TaskState::NotNeeded && !task.is_burn;
    let mut tasks: Vec<&Task> = outlook.tasks.iter().filter(is_shown).collect();
    let mut bars: Vec<&Bar> = poster.bars.iter().collect();
    tasks.sort_by_key(|task| task.id);
    bars.sort_by_key(|bar| bar.id);
    assert_eq!(tasks.iter().map(|task| task.id).collect::<Vec<_>>(), bars.iter().map(|bar| bar.id).collect::<Vec<_>>());
    for (task, bar) in tasks.iter().zip(bars) {
        let (name, says) = (&bar.name.text, format!("{} · {}", task.details.title, task.responsible.short()));
        let is_short = width(&says, NAMES) > poster.width - EDGE - LEFT - 0.1;
        let is_start = name.strip_suffix('…').is_some_and(|start| says.starts_with(start));
        assert!(*name == says || (is_short && is_start), "{name} for {says}");
    }
    let all = in_lanes(poster);
    none_overlap(&all);
    for (name, [left, top, right, bottom]) in all {
        assert!(left >= LEFT - 0.1 && right <= poster.width + 0.1, "{name}: {left} to {right}");
        assert!(top >= TOP && bottom <= poster.floor, "{name}: {top} to {bottom}");
    }
    let label = |line: &Upright| of_text(&line.label, (line.text_x, line.text_y), "middle", UPRIGHTS);
    let labels: Vec<(&str, Rect)> = poster.uprights.iter().map(|line| (line.kind, label(line))).collect();
    none_overlap(&labels);
    for (kind, [left, top, right, bottom]) in labels {
        assert!(left >= -0.1 && right <= poster.width + 0.1, "{kind}: {left} to {right}");
        assert!(top > poster.floor && bottom < poster.height, "{kind}: {top} to {bottom}");
    }
    assert!((poster.width / poster.height - ASPECT).abs() < 0.01);
}

#[test]
fn the_usual_plan_is_legible_and_nothing_overlaps() {
    let (days, outlook) = sample::usual();
    let on = days.burn.date();
    let dates = [
        (on - Duration::days(14), "Answers from crew by Sat, Dec 19".to_owned()),
        (on - Duration::days(13), "Answers from guests and lenders by Sun, Dec 20".to_owned()),
        (on + Duration::days(4), "Burn permit expires Wed, Jan 6".to_owned()),
        (on + Duration::days(900), "Far too late to matter".to_owned()),
    ];
    let poster = Poster::draw(&days, &outlook, &dates);
    check(&outlook, &poster);
    assert_eq!(poster.points.len(), 3);
    assert_eq!(poster.uprights.iter().map(|line| line.kind).collect::<Vec<_>>(), ["burn", "today", "rain"]);
    assert!(poster.bars.iter().all(|bar| !bar.name.text.ends_with('…')));
    // On a sheet of 17 inches, less its margins, in points.
    let points = 412.0 / 25.4 * 72.0 * NAMES / poster.width;
    assert!(points >= 6.5, "{points}");
}

#[test]
fn names_of_lanes_end_before_the_bars() {
    let (days, outlook) = sample::usual();
    let poster = Poster::draw(&days, &outlook, &[(days.today, "Today".to_owned())]);
    assert_eq!(poster.lanes.len(), 11, "ten strands, and other dates");
    // Their type is the largest on the sheet.
    assert!(poster.lanes.iter().all(|lane| width(lane.name, 13.0) < LEFT));
    for pair in poster.lanes.windows(2) {
        assert!(pair[0].y < pair[0].rule && pair[0].rule < pair[1].y);
    }
}

#[test]
fn what_sets_the_date_is_marked_and_joined_up_to_burn_day() {
    let (days, outlook) = sample::usual();
    let poster = Poster::draw(&days, &outlook, &[]);
    let marked = poster.bars.iter().filter(|bar| bar.in_chain).count();
    assert!(marked >= 3, "{marked}");
    assert_eq!(poster.chain.matches('L').count(), marked, "from each to the next, and from the last to burn day");
    let late: Vec<&Bar> = poster.bars.iter().filter(|bar| bar.kind == "late").collect();
    assert!(late.len() >= 2 && late.iter().all(|bar| !bar.triangle.is_empty()));
    for kind in ["done", "waiting", "todo"] {
        assert!(poster.bars.iter().any(|bar| bar.kind == kind && bar.triangle.is_empty()), "{kind}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]
    #[test]
    fn nothing_overlaps_or_leaves_the_sheet_in_any_plan(
        (days, outlook) in sample::any(),
        dates in prop::collection::vec((-90..90i64, "[A-Z][a-z ]{0,60}"), 0..8),
    ) {
        let mut dates: Vec<(Date, String)> = dates
            .into_iter()
            .map(|(away, name)| (days.burn.date() + Duration::days(away), name))
            .collect();
        dates.sort();
        check(&outlook, &Poster::draw(&days, &outlook, &dates));
    }
}
