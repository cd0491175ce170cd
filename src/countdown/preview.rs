//! What another burn day would do, worked out before anyone confirms it.

use super::changing::{self, ToUpdate};
use super::items::{MoveLine, Moves};
use super::moving::MoveForm;
use super::{Outlook, covered, explain};
use crate::calc::calendar::Basis;
use crate::calc::plan::{Move, Moved};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::state::App;
use crate::web::words::{self, Reader};
use std::collections::BTreeSet;
use time::{Date, OffsetDateTime};

/// Lines of other places, by the place's name.
type Places = Vec<(&'static str, Vec<MoveLine>)>;

/// Everything as it would be.
pub(super) struct Preview {
    pub to: String,
    pub by: String,
    /// Whether the plan can meet the day, first of all.
    pub verdict: String,
    /// What the burn needs and wouldn't have: "1 position and 3 loans would not be confirmed for that day."
    pub opens: String,
    /// What sets the earliest day.
    pub why: String,
    /// The verdict if nothing has to be done again; empty if it is the same.
    pub at_best: String,
    pub rain: String,
    pub is_short: bool,
    /// How many days later the new day is; negative for an earlier day.
    pub days: i64,
    /// Days from the first possible burn day to the new one; negative when the plan
    /// can't meet it.
    pub slack: i32,
    /// How many things would be open.
    pub open: usize,
    /// That first day, in ISO form.
    pub earliest: String,
    /// The title of the notice that sets it, or nothing.
    pub held_by: String,
    pub passed: Vec<Line>,
    pub redo: Vec<Line>,
    pub tell: Vec<Line>,
    pub moved: Vec<Line>,
    /// What it does in other places.
    pub places: Places,
    pub told: ToUpdate,
    /// Deadlines that move by a different number of days than the burn.
    pub uneven: usize,
}

/// A task.
pub(super) struct Line {
    pub id: i64,
    pub title: String,
    pub who: String,
    pub old: String,
    pub new: String,
    pub by: String,
    pub is_uneven: bool,
    pub is_notice: bool,
    /// Done, and it will stay done.
    pub is_kept: bool,
    /// What was done covers the new day, too.
    pub is_covered: bool,
}

impl Preview {
    pub async fn load(
        app: &App,
        moves: &Moves,
        (event, outlook): (&Event, &Outlook),
        (to, form): (&Details, &MoveForm),
        now: OffsetDateTime,
    ) -> Result<Self> {
        let mut db = app.db.read().acquire().await?;
        let covered = covered::by(&mut db, event, outlook, to.burn_on).await?;
        drop(db);
        let told = changing::to_tell(app, event, to).await?;
        let places = moves.lines(app, event, to, now).await?;
        Ok(Self::of((event, outlook), (to, form), &covered, (told, places)))
    }

    fn of(
        (event, outlook): (&Event, &Outlook),
        (to, form): (&Details, &MoveForm),
        covered: &[usize],
        (told, places): (ToUpdate, Places),
    ) -> Self {
        // At first everything that must be redone is checked, but for what covers the day.
        let keeps = |place: &usize| {
            if form.chosen == "yes" { !form.redo.contains(&outlook.tasks[*place].id) } else { covered.contains(place) }
        };
        let kept: Vec<usize> = (0..outlook.tasks.len()).filter(keeps).collect();
        let dates = (event.details.burn_on, to.burn_on);
        let found = outlook.plan.moved(&outlook.calendar, outlook.today, dates, &kept);
        let again: Vec<usize> = found.tasks.iter().filter(|moved| moved.redo).map(|moved| moved.task).collect();
        let at_best = outlook.plan.moved(&outlook.calendar, outlook.today, dates, &again);
        let lines = |wanted: &dyn Fn(&Moved) -> bool| -> Vec<Line> {
            let mut chosen: Vec<&Moved> = found.tasks.iter().filter(|moved| wanted(moved)).collect();
            chosen.sort_by_key(|moved| (moved.new_due, moved.task));
            chosen.into_iter().map(|moved| Line::of(outlook, &found, moved, (&kept, covered))).collect()
        };
        let is_open =
            |moved: &Moved| outlook.tasks[moved.task].is_open() || (moved.redo && !kept.contains(&moved.task));
        let moved = lines(&|moved| is_open(moved) && moved.task != outlook.plan.burn());
        let (open, opens) = opens(&places);
        Self {
            to: Reader::App.day(to.burn_on),
            by: signed_days(found.days),
            verdict: verdict(&found, to.burn_on),
            opens,
            why: why(outlook, &found),
            at_best: if at_best.spare == found.spare { String::new() } else { at_best_says(&at_best) },
            rain: match to.rain_on {
                None => "There will be no rain date.".to_owned(),
                Some(on) => format!("The rain date will be {}.", Reader::App.day(on)),
            },
            is_short: found.spare < 0,
            days: found.days,
            slack: found.spare,
            open,
            earliest: words::iso(found.earliest_burn_day),
            held_by: explain::holder(outlook, found.held_by),
            passed: lines(&|moved| moved.passed),
            redo: lines(&|moved| moved.redo),
            tell: lines(&|moved| moved.tell),
            uneven: moved.iter().filter(|line| line.is_uneven).count(),
            moved,
            places,
            told,
        }
    }
}

impl Line {
    fn of(outlook: &Outlook, found: &Move, moved: &Moved, (kept, covered): (&[usize], &[usize])) -> Self {
        let (task, _) = outlook.row(moved.task);
        let by = (moved.new_due - moved.old_due).whole_days();
        Self {
            id: task.id,
            title: task.details.title.clone(),
            who: task.who().to_owned(),
            old: Reader::App.near_day(moved.old_due, outlook.today),
            new: Reader::App.near_day(moved.new_due, outlook.today),
            by: signed_days(by),
            is_uneven: by != found.days,
            is_notice: !task.notices.is_empty(),
            is_kept: kept.contains(&moved.task),
            is_covered: covered.contains(&moved.task),
        }
    }
}

/// Whether the plan can meet the new day.
fn verdict(found: &Move, to: Date) -> String {
    let days = words::days(found.spare.unsigned_abs(), Basis::Calendar);
    match found.spare {
        ..0 => {
            let (day, earliest) = (Reader::App.day(to), Reader::App.day(found.earliest_burn_day));
            format!("{day} is not possible. The earliest possible day is {earliest}, {days} later.")
        }
        0 => "Possible, with no slack.".to_owned(),
        _ => format!("Possible, {days} of slack."),
    }
}

fn at_best_says(found: &Move) -> String {
    let days = words::days(found.spare.unsigned_abs(), Basis::Calendar);
    match found.spare {
        ..0 => {
            let earliest = Reader::App.day(found.earliest_burn_day);
            format!("Even if nothing has to be done again, the earliest possible day is {earliest}.")
        }
        0 => "If nothing has to be done again, it is possible, with no slack.".to_owned(),
        _ => format!("If nothing has to be done again, it is possible, with {days} of slack."),
    }
}

/// What sets the earliest day.
fn why(outlook: &Outlook, found: &Move) -> String {
    let first = found.chain.first().map(|step| outlook.tasks[step.task].details.title.as_str());
    let first = first.map(|title| format!("The first task on the critical path is “{title}”.")).unwrap_or_default();
    format!("{first} {}", explain::holds(outlook, found.held_by)).trim().to_owned()
}

/// How much would be open in all places, and in words.
fn opens(places: &[(&'static str, Vec<MoveLine>)]) -> (usize, String) {
    let (mut all, mut parts) = (0, Vec::new());
    for (place, lines) in places {
        // A permit may have two lines, and is one thing.
        let open: BTreeSet<&str> = lines.iter().filter(|line| line.is_open).map(|line| line.href.as_str()).collect();
        let (one, many) = match *place {
            "Crew" => ("position", "positions"),
            "Loans" => ("loan", "loans"),
            "Rooms" => ("item", "items"),
            _ => ("permit or notice", "permits and notices"),
        };
        if !open.is_empty() {
            all += open.len();
            parts.push(words::count(open.len(), one, many));
        }
    }
    let says = match parts.as_slice() {
        [] => String::new(),
        [one] => format!("{one} would not be confirmed for that day."),
        [rest @ .., last] => format!("{} and {last} would not be confirmed for that day.", rest.join(", ")),
    };
    (all, says)
}

fn signed_days(days: i64) -> String {
    let number = words::days(u32::try_from(days.abs()).unwrap_or(u32::MAX), Basis::Calendar);
    match days {
        0 => "no change".to_owned(),
        1.. => format!("{number} later"),
        _ => format!("{number} earlier"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_would_be_open_is_counted_once_each() {
        let line = |href: &str, is_open: bool| MoveLine {
            what: String::new(),
            beneath: String::new(),
            href: href.to_owned(),
            is_open,
        };
        let crew = vec![line("/crew/positions/1", true), line("/crew/ask", false)];
        assert_eq!(opens(&[("Crew", Vec::new())]), (0, String::new()));
        assert_eq!(opens(&[("Crew", crew.clone())]), (1, "1 position would not be confirmed for that day.".to_owned()));
        let loans = vec![line("/loans/1", true), line("/loans/2", true), line("/loans/3", false)];
        let permits = vec![line("/permits/1", true), line("/permits/1", true)];
        let (many, says) = opens(&[("Crew", crew), ("Loans", loans), ("Permits and notices", permits)]);
        assert_eq!((many, says.matches(" and ").count(), says.contains("2 loans")), (4, 1, true), "{says}");
    }
}
