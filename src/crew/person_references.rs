//! What the crew keeps about people.

mod store;

use crate::people::{PersonColumn, PersonReferences};

pub const PERSON_REFERENCES: PersonReferences = PersonReferences {
    columns: &[
        PersonColumn::moves("assignment", "person_id").was_at(&["crew/assignments"]),
        PersonColumn::moves("crew_link", "person_id").was_at(&["crew/links"]),
        PersonColumn::moves("holding", "person_id").was_at(&["crew/holdings"]),
        PersonColumn::moves("attendance", "person_id").was_at(&["crew/attendances"]),
        PersonColumn::special(
            "crew_hours",
            "person_id",
            |tx, from, to| Box::pin(store::reassign(tx, from, to)),
            |tx, moved, from, to| Box::pin(store::undo(tx, moved, from, to)),
        )
        .was_at(&["crew/hours"]),
    ],
    blank: |tx, erasure| Box::pin(store::blank(tx, erasure)),
};
