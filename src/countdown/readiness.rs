//! How ready each part of the burn is.

use super::{Outlook, Ready, Strand, TaskState};
use crate::events::Event;
use crate::web::query::query_escape;

/// One line for each strand with something to do before burn day, or the report of
/// the place with that name. What it would be on the rain date is put in words.
pub(super) fn ready(event: &Event, outlook: &Outlook, items: &[Ready]) -> Vec<(Ready, String)> {
    let lines = Strand::ALL.into_iter().map(|strand| {
        if let Some(items) = items.iter().find(|items| items.name == strand.as_str() && items.all() > 0) {
            return items.clone();
        }
        let here = |state: TaskState| {
            let counts = |&place: &usize| {
                let (task, _) = outlook.row(place);
                task.details.strand == strand
                    && task.state == state
                    && !task.is_burn
                    && (!outlook.plan.follows_burn(place) || outlook.today > event.details.burn_on)
            };
            (0..outlook.tasks.len()).filter(counts).count()
        };
        Ready {
            name: strand.as_str(),
            href: format!("/events/{}/tasks?strand={}&state=all", event.id, query_escape(strand.as_str())),
            done: here(TaskState::Done),
            waiting: here(TaskState::Waiting),
            open: here(TaskState::ToDo),
            what: "tasks done",
            rain: None,
        }
    });
    let with_rain = |line: Ready| {
        let rain = line.on_rain_date(outlook.today);
        (line, rain)
    };
    lines.filter(|line| line.all() > 0).map(with_rain).collect()
}
