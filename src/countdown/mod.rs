//! The countdown: an event's tasks, with due dates counted back from burn day.

mod changes;
mod changing;
mod closings;
mod covered;
mod drawing;
mod explain;
mod form;
mod items;
mod late;
mod lists;
mod moving;
mod needed;
mod outlook;
mod planning;
mod preview;
mod responsible;
mod routes;
mod ruler;
mod store;
mod task_page;
mod tasks;
mod template;
mod views;
mod wall;

use crate::accounts::{Role, User};
use crate::calc::calendar::Basis;
use crate::calc::notice::Notice;
use crate::calc::plan::{Lead, RainRule};
use crate::named::named;
use crate::web::words;
use axum::{Extension, Router};
use serde_json::{Value, json};
use time::{Date, OffsetDateTime};

pub use closings::closings;
pub use form::SIDES;
pub use items::{
    Call, CountdownItems, DrawnRoom, DrawnRooms, Due, Follow, Following, ForTask, ListItems, ListMoves, MoveLine, Need,
    OnRainDate, Places, Ready,
};
pub use outlook::Outlook;
pub use responsible::Responsible;
pub use store::{
    NewState, Refused, Set, add_template, hand_back, hand_over, read as tasks_in, save as save_task, set_state,
};
pub use template::{Entry as TemplateEntry, tasks as template_tasks};
pub use views::SHOWN;

use crate::state::App;

/// The countdown and everything about tasks. Other places report what they have to
/// show here and what a change to the event would do to them, and then carry out
/// their part of the change.
pub fn router(places: Places, moves: &[(&'static str, ListMoves)], follows: &[Follow]) -> Router<App> {
    let routes =
        routes::router().merge(lists::router()).merge(tasks::router()).merge(wall::router()).layer(Extension(places));
    let changes = planning::router().merge(moving::router()).merge(changing::router());
    routes.merge(changes.layer(Extension(items::Moves::of(moves, follows))))
}

named! {
    /// A group of tasks.
    Strand, "Choose a strand.", STRANDS: [
        Approval = "Approval",
        Site = "Site and permits",
        Rooms = "Rooms",
        Loans = "Loans",
        Crew = "Crew",
        Guests = "Guests",
        Press = "Press",
        Teaching = "Teaching",
        Rehearsal = "Rehearsal",
        BurnDay = "Burn day",
        Afterwards = "Afterwards",
    ]
}

named! {
    /// Who is responsible for a task, by role in the burn.
    Owner, "Choose who is responsible.", OWNERS: [
        EducationOfficer = "education officer",
        InformationOfficer = "information officer",
        SafetyOfficer = "safety officer",
        BurnBoss = "burn boss",
        Presenter = "presenter",
        Timekeeper = "timekeeper",
        CrewLead = "crew lead",
        FireChief = "fire chief",
        Volunteers = "volunteers",
        WholeCrew = "whole crew",
    ]
}

named! {
    /// The status of a task.
    TaskState, "Choose a status.", STATES: [
        ToDo = "to do",
        Waiting = "waiting",
        Done = "done",
        NotNeeded = "not needed",
    ]
}

named! {
    /// How days are counted, in forms and in the store.
    Days, "Choose calendar or working days.", DAYS: [
        Calendar = "calendar",
        Working = "working",
    ]
}

named! {
    /// What using the rain date does to a task that is done.
    Rain, "Choose what happens if the rain date is used.", RAINS: [
        Keep = "keep",
        Redo = "redo",
        Shift = "shift",
    ]
}

impl Strand {
    /// What people read.
    #[must_use]
    pub const fn label(self) -> &'static str {
        match self {
            Self::Afterwards => "After the burn",
            other => other.as_str(),
        }
    }
}

impl Days {
    fn basis(self) -> Basis {
        if self == Self::Working { Basis::Working } else { Basis::Calendar }
    }

    fn of(basis: Basis) -> Self {
        if basis == Basis::Working { Self::Working } else { Self::Calendar }
    }
}

impl Rain {
    fn rule(self) -> RainRule {
        match self {
            Self::Keep => RainRule::Keep,
            Self::Redo => RainRule::Redo,
            Self::Shift => RainRule::Shift,
        }
    }

    fn says(self) -> &'static str {
        match self {
            Self::Keep => "stays done",
            Self::Redo => "must be done again",
            Self::Shift => "moves with the date; tell the people involved",
        }
    }
}

/// What a task waits for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LinkTo {
    pub earlier: i64,
    pub lag: u16,
    pub basis: Basis,
}

/// What people decide about a task.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    pub strand: Strand,
    pub title: String,
    /// What to do, in a few sentences.
    pub takes: String,
    pub owner: Owner,
    /// The name of the person responsible, if one is named.
    pub person: Option<String>,
    pub lead: Lead,
    pub duration: u16,
    pub basis: Basis,
    pub rain: Rain,
    pub links: Vec<LinkTo>,
}

/// A notice that must go out with a task, as its permit record has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaskNotice {
    pub title: String,
    pub href: String,
    pub notice: Notice,
}

/// A task of an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    pub id: i64,
    /// The template's key, if it came from there.
    pub key: Option<String>,
    pub details: Details,
    /// The notices on its permit records that must name burn day.
    pub notices: Vec<TaskNotice>,
    pub person_id: Option<i64>,
    pub responsible: Responsible,
    pub state: TaskState,
    pub waiting_for: String,
    pub started_on: Option<Date>,
    pub done_on: Option<Date>,
    /// When its status was set, and by whom.
    pub state_at: OffsetDateTime,
    pub state_by: Option<String>,
    /// Burn day itself.
    pub is_burn: bool,
    pub version: i64,
}

impl Task {
    /// Who is responsible, by name if there is one.
    #[must_use]
    pub fn who(&self) -> &str {
        self.responsible.says()
    }

    /// Is it this user's own?
    #[must_use]
    pub fn is_of(&self, user: &User) -> bool {
        self.responsible.is_of(user)
    }

    /// May this user update its status? The officer may for any task, others for
    /// their own, a reader for none.
    #[must_use]
    pub fn is_open_to(&self, user: &User) -> bool {
        user.is_officer() || (user.role != Role::Reader && self.is_of(user))
    }

    /// Is it still to be done?
    #[must_use]
    pub fn is_open(&self) -> bool {
        matches!(self.state, TaskState::ToDo | TaskState::Waiting)
    }
}

/// "60 days before burn day", "2 working days after burn day".
#[must_use]
pub fn lead_says(lead: Lead) -> String {
    let days = words::days(lead.days.unsigned_abs(), lead.basis);
    match lead.days {
        0 => "on burn day".to_owned(),
        1.. => format!("{days} before burn day"),
        _ => format!("{days} after burn day"),
    }
}

impl Details {
    /// The task as the history records it; `title_of` names the earlier tasks.
    fn snapshot(&self, title_of: impl Fn(i64) -> String) -> Value {
        let mut after: Vec<String> = self
            .links
            .iter()
            .map(|link| match link.lag {
                0 => title_of(link.earlier),
                lag => {
                    format!("{}, then {} of waiting", title_of(link.earlier), words::days(u32::from(lag), link.basis))
                }
            })
            .collect();
        after.sort();
        json!({
            "strand": self.strand.label(),
            "title": self.title,
            "what to do": self.takes,
            "responsible": self.owner.as_str(),
            "person": self.person,
            "due": lead_says(self.lead),
            "effort": words::days(u32::from(self.duration), self.basis),
            "rain date": self.rain.says(),
            "waits for": after.join("; "),
        })
    }
}
