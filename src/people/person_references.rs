//! What People itself keeps about people. Their own records are blanked last, by `erase`.

use super::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    // A record that was merged into one that goes is still found by way of it.
    columns: &[PersonColumn::stays("person", "merged_into")],
    blank: PersonReferences::NOTHING_TO_BLANK,
};
