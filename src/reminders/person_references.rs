//! What scheduled messages keep about people.

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        // What became of a message to this record.
        PersonColumn::stays("reminder", "person_id"),
    ],
    blank: PersonReferences::NOTHING_TO_BLANK,
};
