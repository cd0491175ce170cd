//! What another burn day would do, worked out before anyone confirms it.

use super::form::MoveForm;
use super::verdict::{at_best_says, opens, signed_days, verdict, why};
use crate::calc::plan::{Move, Moved};
use crate::countdown::changing::ToUpdate;
use crate::countdown::earliest::Holding;
use crate::countdown::moves::{Moves, MovesByPlace};
use crate::countdown::{Outlook, covered};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::state::App;
use crate::web::words::{self, Reader};
use time::OffsetDateTime;

/// The change that is looked at.
#[derive(Clone, Copy)]
pub(super) struct Change<'a> {
    pub event: &'a Event,
    pub outlook: &'a Outlook,
    /// The event as it would be.
    pub to: &'a Details,
    pub form: &'a MoveForm,
}

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
    pub passed: Vec<TaskMove>,
    pub redo: Vec<TaskMove>,
    pub tell: Vec<TaskMove>,
    pub moved: Vec<TaskMove>,
    /// What it does in other places.
    pub places: MovesByPlace,
    pub told: ToUpdate,
    /// Deadlines that move by a different number of days than the burn.
    pub uneven: usize,
}

/// What it does to a task.
pub(super) struct TaskMove {
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

/// The tasks that are done and stay done, by their indexes.
struct StaysDone<'a> {
    kept: &'a [usize],
    /// What was done for them covers the new day, too.
    covered: &'a [usize],
}

impl Preview {
    pub async fn load(app: &App, moves: &Moves, change: Change<'_>, now: OffsetDateTime) -> Result<Self> {
        let Change { event, outlook, to, .. } = change;
        let mut db = app.db.read().acquire().await?;
        let covered = covered::by(&mut db, event, outlook, to.burn_on).await?;
        drop(db);
        let told = ToUpdate::load(app, event, to).await?;
        let places = moves.lines(app, event, to, now).await?;
        Ok(Self::of(change, &covered, told, places))
    }

    fn of(change: Change, covered: &[usize], told: ToUpdate, places: MovesByPlace) -> Self {
        let Change { outlook, to, .. } = change;
        // At first everything that must be redone is checked, but for what covers the day.
        let keeps = |place: &usize| {
            if change.form.chosen == "yes" {
                !change.form.redo.contains(&outlook.tasks[*place].id)
            } else {
                covered.contains(place)
            }
        };
        let kept: Vec<usize> = (0..outlook.tasks.len()).filter(keeps).collect();
        let done = StaysDone { kept: &kept, covered };
        let dates = (change.event.details.burn_on, to.burn_on);
        let found = outlook.plan.moved(&outlook.calendar, outlook.today, dates, &kept);
        let again: Vec<usize> = found.tasks.iter().filter(|moved| moved.redo).map(|moved| moved.task).collect();
        let at_best = outlook.plan.moved(&outlook.calendar, outlook.today, dates, &again);
        let lines = |wanted: &dyn Fn(&Moved) -> bool| -> Vec<TaskMove> {
            let mut chosen: Vec<&Moved> = found.tasks.iter().filter(|moved| wanted(moved)).collect();
            chosen.sort_by_key(|moved| (moved.new_due, moved.task));
            chosen.into_iter().map(|moved| TaskMove::of(outlook, &found, moved, &done)).collect()
        };
        let is_open =
            |moved: &Moved| outlook.tasks[moved.task].is_open() || (moved.redo && !kept.contains(&moved.task));
        let moved = lines(&|moved| is_open(moved) && moved.task != outlook.plan.burn());
        let (open, opens) = opens(&places);
        let holding = Holding::of(outlook, found.held_by);
        Self {
            to: Reader::App.day(to.burn_on),
            by: signed_days(found.days),
            verdict: verdict(&found, to.burn_on),
            opens,
            why: why(outlook, &found, &holding),
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
            held_by: holding.title,
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

impl TaskMove {
    fn of(outlook: &Outlook, found: &Move, moved: &Moved, done: &StaysDone) -> Self {
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
            is_kept: done.kept.contains(&moved.task),
            is_covered: done.covered.contains(&moved.task),
        }
    }
}
