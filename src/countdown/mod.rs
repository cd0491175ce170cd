//! The spine: an event's tasks counted back from its burn day.

mod changes;
mod changing;
mod closings;
mod explain;
mod form;
mod outlook;
mod planning;
mod responsible;
mod routes;
mod ruler;
mod store;
mod tasks;
mod template;
mod told;
mod views;

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
pub use outlook::Outlook;
pub use responsible::Responsible;
pub use store::{
    NewState, Refused, Set, add_template, hand_back, hand_over, read as tasks_in, save as save_task, set_state,
};
pub use template::{Entry as TemplateEntry, tasks as template_tasks};
pub use told::{Due, Follow, Following, MoveLine, Ready, Tell, TellMove, Told};
pub use views::SHOWN;

use crate::state::App;

/// The countdown and everything about tasks. The other places tell what they
/// have to show in it, what a change of the event would do to them, and follow it.
pub fn router(places: &[Tell], moves: &[(&'static str, TellMove)], follows: &[Follow]) -> Router<App> {
    let routes = routes::router().layer(Extension(told::Places::of(places)));
    let changes = planning::router().merge(changing::router());
    routes.merge(tasks::router()).merge(changes.layer(Extension(told::Moves::of(moves, follows))))
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
    /// Who sees to a task, by their part in the burn.
    Owner, "Choose who sees to it.", OWNERS: [
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
    /// How far a task is.
    TaskState, "Choose a state.", STATES: [
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
    /// What a rain date does to a task that is done.
    Rain, "Choose what a rain date does.", RAINS: [
        Keep = "keep",
        Redo = "redo",
        Shift = "shift",
    ]
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
            Self::Keep => "done stays done",
            Self::Redo => "must be done again",
            Self::Shift => "moves with the date; tell whoever is concerned",
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
pub struct Draft {
    pub strand: Strand,
    pub title: String,
    /// What it takes.
    pub takes: String,
    pub owner: Owner,
    /// Name of the person who sees to it, if one is named.
    pub person: Option<String>,
    pub lead: Lead,
    pub duration: u16,
    pub basis: Basis,
    pub rain: Rain,
    pub links: Vec<LinkTo>,
}

/// A notice that must be given with a task, as its record has it.
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
    pub draft: Draft,
    /// The notices of its permit records that must name the burn day.
    pub notices: Vec<TaskNotice>,
    pub person_id: Option<i64>,
    pub responsible: Responsible,
    pub state: TaskState,
    pub waiting_for: String,
    pub started_on: Option<Date>,
    pub done_on: Option<Date>,
    /// When its state was set, and by whom.
    pub state_at: OffsetDateTime,
    pub state_by: Option<String>,
    /// The burn day itself.
    pub is_burn: bool,
    pub version: i64,
}

impl Task {
    /// Who answers for it, by name if there is one.
    #[must_use]
    pub fn who(&self) -> &str {
        self.responsible.says()
    }

    /// Is it this user's own?
    #[must_use]
    pub fn is_of(&self, user: &User) -> bool {
        self.responsible.is_of(user)
    }

    /// May this user say how far it is? The officer of any, others of their
    /// own, a reader of none.
    #[must_use]
    pub fn is_open_to(&self, user: &User) -> bool {
        user.is_officer() || (user.role != Role::Reader && self.is_of(user))
    }

    /// Neither done nor dropped.
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

impl Draft {
    /// The task as the journal keeps it; `title_of` names the earlier tasks.
    fn snapshot(&self, title_of: impl Fn(i64) -> String) -> Value {
        let mut after: Vec<String> = self
            .links
            .iter()
            .map(|link| match link.lag {
                0 => title_of(link.earlier),
                lag => format!("{} and {} of waiting", title_of(link.earlier), words::days(u32::from(lag), link.basis)),
            })
            .collect();
        after.sort();
        json!({
            "strand": self.strand.as_str(),
            "title": self.title,
            "what it takes": self.takes,
            "owner": self.owner.as_str(),
            "person": self.person,
            "finished": lead_says(self.lead),
            "effort": words::days(u32::from(self.duration), self.basis),
            "rain date": self.rain.says(),
            "waits for": after.join("; "),
        })
    }
}
