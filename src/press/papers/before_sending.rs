//! What to look at in the plan before a release goes out, and the task that is done
//! once it is out.

use super::dateline;
use super::kind::PaperKind;
use super::paper::Paper;
use super::version::Version;
use crate::accounts::Visit;
use crate::countdown::{Outlook, Strand, Task};
use crate::error::Result;
use crate::events::Event;
use crate::press::facts::{self, FIELDS, strange_days};
use crate::state::App;
use crate::web::words::Reader;
use std::collections::BTreeSet;
use time::{Date, OffsetDateTime};

/// The task in which the media staging area is agreed on.
const PRESS_AREA_TASK: &str = "press-area";

/// Something to look at first, and where to fix it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Hint {
    pub says: String,
    pub href: String,
}

/// What to look at before sending it. It can be sent anyway.
pub(super) async fn hints(app: &App, event: &Event, paper: &Paper, now: OffsetDateTime) -> Result<Vec<Hint>> {
    let outlook = Outlook::load(app, event, now).await?;
    let known = facts::of_event(&mut *app.db.read().acquire().await?, event.id).await?;
    let mut hints = open_tasks(&outlook, event, paper.kind);
    let uses_area = paper.newest().and_then(|version| version.made_from.as_ref());
    let uses_area = uses_area.is_some_and(|made| made.facts.contains_key("press area"));
    if uses_area && let Some(task) = by_key(&outlook, PRESS_AREA_TASK).filter(|task| task.is_open()) {
        hints.push(Hint {
            says: format!(
                "The text gives the media staging area, but the task “{}” is still open.",
                task.details.title
            ),
            href: task_href(event, task),
        });
    }
    let dated = paper.newest().and_then(|version| dateline::day_near(&version.text, outlook.today));
    if let Some(on) = dated.filter(|on| *on > outlook.today) {
        hints.push(Hint {
            says: format!("The dateline says {}, which is still to come.", dateline::short_day(on)),
            href: paper.href(),
        });
    }
    for field in &FIELDS {
        for named in strange_days(event, (field.of)(&known)) {
            let label = field.label.to_lowercase();
            hints.push(Hint {
                says: format!("The press fact “{label}” says {named}, which is not burn day or the rain date."),
                href: format!("/events/{}/press/facts", event.id),
            });
        }
    }
    hints.dedup();
    Ok(hints)
}

/// The day in the dateline of a version, if it has passed. Whoever sends it anyway has to
/// say so.
pub(super) fn old_dateline(version: &Version, today: Date) -> Option<Date> {
    dateline::day_near(&version.text, today).filter(|on| *on < today)
}

fn task_href(event: &Event, task: &Task) -> String {
    format!("/events/{}/tasks/{}", event.id, task.id)
}

fn by_key<'a>(outlook: &'a Outlook, key: &str) -> Option<&'a Task> {
    outlook.tasks.iter().find(|task| task.key.as_deref() == Some(key))
}

/// The open tasks that must be done before the release's own task, and late permits
/// before those.
fn open_tasks(outlook: &Outlook, event: &Event, kind: PaperKind) -> Vec<Hint> {
    let Some(own) = by_key(outlook, kind.task()) else { return Vec::new() };
    let direct: BTreeSet<i64> = own.details.links.iter().map(|link| link.earlier).collect();
    let mut all = direct.clone();
    let mut next: Vec<i64> = direct.iter().copied().collect();
    while let Some(id) = next.pop() {
        let earlier = outlook.tasks.iter().find(|task| task.id == id).map(|task| &task.details.links);
        next.extend(earlier.into_iter().flatten().map(|link| link.earlier).filter(|id| all.insert(*id)));
    }
    let wanted = |task: &Task, is_late: bool| {
        task.is_open() && (direct.contains(&task.id) || (is_late && task.details.strand == Strand::Site))
    };
    let hint = |(task, row): (&Task, &crate::calc::plan::Row)| {
        let is_late = row.due < outlook.today;
        let was = if is_late { "late: it was due" } else { "open. It is due" };
        let due = Reader::App.near_day(row.due, outlook.today);
        (all.contains(&task.id) && wanted(task, is_late))
            .then(|| Hint {
                says: format!("“{}” is {was} {due}.", task.details.title), href: task_href(event, task)
            })
    };
    outlook.rows().filter_map(hint).collect()
}

/// A task that may be done now that a release is out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct TickOffer {
    pub task_id: i64,
    pub title: String,
    pub state: String,
}

/// The release's own task, if it is open and this person may change it.
pub(super) async fn offer(
    app: &App,
    visit: &Visit,
    event: &Event,
    kind: PaperKind,
    now: OffsetDateTime,
) -> Result<Option<TickOffer>> {
    let outlook = Outlook::load(app, event, now).await?;
    let task = by_key(&outlook, kind.task()).filter(|task| task.is_open() && task.is_open_to(&visit.user));
    Ok(task.map(|task| TickOffer {
        task_id: task.id,
        title: task.details.title.clone(),
        state: task.state.to_string(),
    }))
}
