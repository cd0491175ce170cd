//! Permits, notices and written answers that the burn needs, each with the notice it
//! requires, if someone has asked. The notice rule is kept only here; the plan reads it
//! from here, and `permits` has the pages.

mod kinds;
mod permit;
mod person_references;
mod problem;
mod problems;
mod rule;
mod says;
mod store;
mod usual;

pub use kinds::{COUNTED_WHEN, CountedWhen, DATES_ON_IT, DAY_KINDS, DatesOnIt, DayKind, KINDS, Kind, RULES, RuleKind};
pub use permit::{Details, Permit, PermitId, Sending};
pub use person_references::PERSON_REFERENCES;
pub use problem::{ASK, Problem};
pub use rule::{Learned, Rule};
pub use says::{deadline_says, heard_says, notice_says, rule_says};
pub use store::{
    Refused, add, add_sending, add_usual, find, known_rules, of_event, read_back, receive, remove, remove_sending, save,
};
pub use usual::{KnownRules, Usual, usual};
