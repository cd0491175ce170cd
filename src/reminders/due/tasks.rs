//! Reminders of tasks: before they are due, and once they are late.

use super::Inputs;
use super::keys::keyed;
use crate::calc::plan::PlanStatus;
use crate::calc::reminder::{By, Reminder};
use crate::countdown::Task;
use crate::reminders::line::{About, Line};
use crate::web::words::{self, Reader};
use time::macros::time;
use time::{Duration, PrimitiveDateTime, Time};

/// Owners hear about a task this many working days before it is due.
const SOON: u32 = 2;
const MORNING: Time = time!(9:00);
const EVENING: Time = time!(20:00);

impl Inputs<'_> {
    /// One for each person responsible for a task.
    pub(super) fn of_tasks(&self) -> Vec<Line> {
        self.outlook.tasks.iter().enumerate().flat_map(|(place, task)| self.of_task(place, task)).collect()
    }

    fn of_task(&self, place: usize, task: &Task) -> Vec<Line> {
        if task.is_burn || !task.is_open() {
            return Vec::new();
        }
        let (_, row) = self.outlook.row(place);
        let is_late = row.status == PlanStatus::Late;
        let (due, not_after, what) = if is_late {
            let first = self.calendar().after(row.due, 1);
            (PrimitiveDateTime::new(first, MORNING), row.due + Duration::days(30), "late")
        } else {
            (PrimitiveDateTime::new(self.calendar().before(row.due, SOON), MORNING), row.due, "soon")
        };
        // The Countdown shows what was due long before anyone could be reminded.
        if due < self.wall(self.now) - Duration::days(7) {
            return Vec::new();
        }
        let day = Reader::App.near_day(row.due, self.outlook.today);
        let line = |(person_id, key)| Line {
            key,
            person_id,
            by: By::Mail,
            reminder: Reminder {
                about: -task.id,
                due,
                not_after: PrimitiveDateTime::new(not_after, EVENING),
                still_true: true,
            },
            title: task.details.title.clone(),
            why: if is_late { format!("was due {day}") } else { format!("due {day}") },
            about: About::Task { id: task.id, title: task.details.title.clone(), due: row.due, is_late },
        };
        let key = format!("task/{}/{what}/{}", task.id, words::iso(row.due));
        keyed(task.responsible.people(), key).map(line).collect()
    }
}
