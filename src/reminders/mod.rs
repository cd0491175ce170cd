//! Who hears what when, without anyone having to remember it. Reminders aren't stored:
//! they are worked out each time from the rules, the plan and the answers, so they stop
//! when answered and move with the date. Only what happened to each one is stored.

mod due;
mod event_rule;
mod follow;
mod history;
mod letters;
mod line;
mod loaded;
mod page;
mod person_references;
mod routes;
mod rules;
mod store;
mod tick;

pub use follow::follow;
pub use history::HISTORY;
pub use person_references::PERSON_REFERENCES;
pub use routes::router;
pub use store::chase_before;
pub use tick::tick;
