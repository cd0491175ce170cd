//! What the directory keeps about people.

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        // Said about two records, whoever they are merged with.
        PersonColumn::stays("not_double", "one_id"),
        PersonColumn::stays("not_double", "other_id"),
    ],
    blank: PersonReferences::NOTHING_TO_BLANK,
};
