//! What the countdown keeps about people.

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[PersonColumn::moves_with_version("task", "owner_id").was_at(&["tasks"])],
    blank: PersonReferences::NOTHING_TO_BLANK,
};
