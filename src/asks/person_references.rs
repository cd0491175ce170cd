//! What questions keep about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        PersonColumn::moves("request", "person_id").was_at(&["requests"]),
        // The address of a record's calendar. Both work while they are merged.
        PersonColumn::stays("feed", "person_id"),
    ],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
